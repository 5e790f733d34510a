#include "document.hpp"

#include <algorithm>
#include <filesystem>

#include "bench.hpp"
#include "data_files.hpp"
#include "log/log_reader.hpp"
#include "plot.hpp"
#include "quantity/json_fields.hpp"
#include "quantity/whole_file.hpp"

namespace railseep::gui {

namespace {

constexpr std::size_t most_steps = 200;

/// The part of a job that its logs depend on.
std::string logs_of(const Job& job) {
  Job part;
  part.logs = job.logs;
  for (JobLog& log : part.logs) log.condition = {};
  return job.folder + "\n" + job_text(part);
}

void take(LogPreview& preview, const Log& log) {
  preview.readable = true;
  preview.layout = log.layout;
  for (const Channel& channel : log.channels) {
    PreviewChannel& shown = preview.channels.emplace_back();
    shown.kind = channel.kind, shown.quantity = channel.quantity;
    if (channel.time.empty()) continue;
    for (const Sample& sample :
         thinned(channel.time, channel.value, channel.time.front(), channel.time.back() + 1e-9, preview_pieces))
      shown.time.push_back(sample.time), shown.value.push_back(sample.value);
    std::string words(kind_name(channel.kind));
    std::ranges::replace(words, '_', ' ');
    for (const Flag& flag : channel.flags) preview.remarks.push_back(words + ", " + sentence({flag.line, flag.text}));
  }
  for (const Note& note : log.notes) preview.remarks.push_back(sentence(note));
}

/// A file that makes no log is read again for its columns: to keep a long one's text beside what is read of it would
/// take much memory.
LogPreview read_preview(const JobLog& log, const std::string& path, std::string told, const EngineHints& engine) {
  LogPreview preview;
  preview.file = log.file, preview.told = std::move(told);
  LogOptions options = log.options;
  options.engine = engine;
  try {
    const Log read = read_log(path, options);
    take(preview, read);
    require_nothing_open(read);
    return preview;
  } catch (const Error& error) {
    preview.trouble = error;
  }
  try {
    preview.layout = describe_log(read_bytes(path, most_log_bytes), path, options);
  } catch (const Error&) {  // its first trouble is told already
    preview.layout = {};
  }
  return preview;
}

/// What the preview of one log depends on.
std::string told_of(const JobLog& log, const std::string& path, const EngineHints& engine) {
  Job part;
  part.logs = {log};
  part.logs.front().condition = {}, part.logs.front().started.reset(),
  part.logs.front().stage = railseep::Stage::before;
  std::string hints;
  for (const std::optional<double>& hint : {engine.sensor_zero, engine.sensor_gain, engine.enable_pressure})
    hints += (hint ? std::to_string(*hint) : "-") + " ";
  return path + "\n" + hints + "\n" + job_text(part);
}

/// The entry of a list that was changed, added or removed: the first that differs.
std::size_t differing(const Json& before, const Json& after) {
  std::size_t i = 0;
  while (i < before.size() && i < after.size() && before[i] == after[i]) ++i;
  return i;
}

struct PartWords {
  const char* key;  // in a job file
  Change::Part part;
  const char* words;
  const char* name;  // key of what an entry of the list is called; empty: no list
};
constexpr PartWords part_words[] = {
    {"name", Change::Part::complaint, "the name of the job", ""},
    {"complaint", Change::Part::complaint, "the complaint", ""},
    {"about", Change::Part::complaint, "the notes", ""},
    {"circuit", Change::Part::engine, "the engine", ""},
    {"readings", Change::Part::readings, "a reading", "when"},
    {"logs", Change::Part::logs, "a log", "name"},
    {"starts", Change::Part::starts, "a try to start it", ""},
    {"findings", Change::Part::findings, "a finding", "check"},
    {"air_tests", Change::Part::air, "an air test", ""},
    {"open", Change::Part::engine, "what stands open", ""},
    {"set_up", Change::Part::engine, "what is set up", ""},
    {"proof", Change::Part::proof, "what the comparison said", ""},
};

}  // namespace

std::string found_file(const Job& job, const std::string& file) { return data_file(job_path(job, file)); }

const PreviewChannel* LogPreview::find(ChannelKind kind) const {
  const auto found = std::ranges::find(channels, kind, &PreviewChannel::kind);
  return found == channels.end() ? nullptr : &*found;
}

Document new_document(const std::string& circuit) {
  Document document;
  document.job.name = "New job";
  document.job.circuit = circuit;
  document.saved = document.text();
  document.past = {document.job};
  return document;
}

Document open_document(const std::string& path) {
  Document document;
  document.job = read_job(path);
  document.path = path;
  document.on_disk = file_fingerprint(path);
  document.circuit_chosen = true;
  document.saved = document.text();
  document.past = {document.job};
  return document;
}

void save_document(Document& document, const std::string& path, bool replace) {
  const Job moved = moved_to(document.job, std::filesystem::path(path).parent_path().string());
  const bool own = !replace && path == document.path && !file_fingerprint(path).empty();
  write_job(path, moved, own ? std::optional(document.on_disk) : std::nullopt);
  document.job = moved;
  document.path = path;
  document.saved = document.text();
  document.on_disk = file_fingerprint(path);
}

bool changed_on_disk(const Document& document) {
  if (document.path.empty()) return false;
  const std::string now = file_fingerprint(document.path);
  return !now.empty() && now != document.on_disk;  // a file that went away is written anew
}

Change change_between(const Job& before, const Job& after) {
  const Json a = Json::parse(job_text(before)), b = Json::parse(job_text(after));
  for (const PartWords& part : part_words) {
    const Json none = Json::array(), &was = a.contains(part.key) ? a[part.key] : none,
               &is = b.contains(part.key) ? b[part.key] : none;
    if (was == is) continue;
    if (!*part.name) return {part.part, part.words, was.is_array() && is.is_array() ? differing(was, is) : 0};
    const std::size_t i = differing(was, is);
    const Json& entry = i < is.size() && is.size() >= was.size() ? is[i] : was[i];
    const std::string name = entry.value(part.name, "");
    return {part.part, part.words + (name.empty() ? std::string() : " (" + name + ")"), i};
  }
  return {};
}

void note_change(Document& document, bool held) {
  if (held || (!document.past.empty() && job_text(document.past.back()) == document.text())) return;
  document.past.push_back(document.job);
  document.future.clear();
  if (document.past.size() > most_steps) document.past.erase(document.past.begin());
}

// The last step of the past is the present.
Change undo(Document& document) {
  if (document.past.size() < 2) return {};
  document.future.push_back(document.past.back());
  document.past.pop_back();
  document.job = document.past.back();
  return change_between(document.future.back(), document.job);
}

Change redo(Document& document) {
  if (document.future.empty()) return {};
  document.job = document.future.back();
  document.past.push_back(document.job);
  document.future.pop_back();
  return change_between(document.past[document.past.size() - 2], document.job);
}

std::string file_in_job(const Job& job, const std::string& file) {
  namespace fs = std::filesystem;
  const fs::path relative =
      job.folder.empty() ? fs::path() : fs::relative(fs::absolute(file), fs::absolute(job.folder));
  const bool inside = !relative.empty() && *relative.begin() != "..";
  return inside ? relative.string() : fs::absolute(file).lexically_normal().string();
}

std::size_t add_log(Document& document, const std::string& file) {
  namespace fs = std::filesystem;
  JobLog log;
  log.file = file_in_job(document.job, file);
  if (is_repaired(document.job)) log.stage = railseep::Stage::after;
  std::string name = fs::path(file).stem().string();
  std::replace(name.begin(), name.end(), '_', ' ');
  log.condition.name = name;
  document.job.logs.push_back(log);
  return document.job.logs.size() - 1;
}

ColumnOptions& told_column(JobLog& log, const ColumnLayout& column) {
  const std::string number = std::to_string(column.number);
  for (ColumnOptions& told : log.options.columns)
    if (told.column == column.header || told.column == number) return told;
  log.options.columns.push_back({});
  log.options.columns.back().column = number;
  return log.options.columns.back();
}

std::vector<LogPreview> read_previews(const Job& job, const std::vector<LogPreview>& known, const EngineHints& engine) {
  std::vector<LogPreview> previews;
  for (const JobLog& log : job.logs) {
    LogPreview missing;
    missing.file = log.file;
    try {
      const std::string path = found_file(job, log.file);
      std::string told = told_of(log, path, engine);
      const auto same = std::ranges::find(known, told, &LogPreview::told);
      previews.push_back(same != known.end() && same->readable ? *same
                                                               : read_preview(log, path, std::move(told), engine));
    } catch (const Error& error) {
      missing.trouble = error;
      previews.push_back(std::move(missing));
    }
  }
  return previews;
}

void read_logs(Document& document, const std::shared_ptr<const Circuit>& circuit, Worker& worker) {
  const std::string wanted = document.job.circuit + "\n" + logs_of(document.job);
  if (document.logs_read == wanted) return;
  document.logs_read = wanted;
  worker.submit(
      [&document, wanted, job = document.job, known = document.logs,
       engine = circuit ? engine_hints(*circuit) : EngineHints{}](const Worker::Cancelled&) -> Worker::Deliver {
        return [&document, wanted, previews = read_previews(job, known, engine)] {
          if (document.logs_read == wanted) document.logs = previews;
        };
      },
      [](const Error&) {});
}

}  // namespace railseep::gui

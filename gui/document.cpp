#include "document.hpp"

#include <algorithm>
#include <filesystem>

#include "data_files.hpp"
#include "log/log_reader.hpp"
#include "quantity/json_fields.hpp"

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

LogPreview read_preview(const Job& job, const JobLog& log) {
  LogPreview preview;
  preview.file = log.file;
  try {
    const std::string path = found_file(job, log.file);
    try {
      preview.log = std::make_shared<const Log>(read_log(path, log.options));
      preview.layout = preview.log->layout;
    } catch (const Error& error) {
      preview.trouble = error;
      preview.layout = describe_log(read_bytes(path, most_log_bytes), path, log.options);
    }
  } catch (const Error& error) {
    if (!preview.trouble) preview.trouble = error;
  }
  return preview;
}

}  // namespace

std::string found_file(const Job& job, const std::string& file) { return data_file(job_path(job, file)); }

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
  document.saved = document.text();
  document.past = {document.job};
  return document;
}

void save_document(Document& document, const std::string& path) {
  const Job moved = moved_to(document.job, std::filesystem::path(path).parent_path().string());
  write_job(path, moved);
  document.job = moved;
  document.path = path;
  document.saved = document.text();
}

void note_change(Document& document, bool held) {
  if (held || (!document.past.empty() && job_text(document.past.back()) == document.text())) return;
  document.past.push_back(document.job);
  document.future.clear();
  if (document.past.size() > most_steps) document.past.erase(document.past.begin());
}

// The last step of the past is the present.
void undo(Document& document) {
  if (document.past.size() < 2) return;
  document.future.push_back(document.past.back());
  document.past.pop_back();
  document.job = document.past.back();
}

void redo(Document& document) {
  if (document.future.empty()) return;
  document.job = document.future.back();
  document.past.push_back(document.job);
  document.future.pop_back();
}

std::size_t add_log(Document& document, const std::string& file) {
  namespace fs = std::filesystem;
  JobLog log;
  const std::string folder = document.job.folder;
  const fs::path relative = folder.empty() ? fs::path() : fs::relative(fs::absolute(file), fs::absolute(folder));
  const bool inside = !relative.empty() && *relative.begin() != "..";
  log.file = inside ? relative.string() : fs::absolute(file).lexically_normal().string();
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

std::vector<LogPreview> read_previews(const Job& job) {
  std::vector<LogPreview> previews;
  for (const JobLog& log : job.logs) previews.push_back(read_preview(job, log));
  return previews;
}

void read_logs(Document& document, Worker& worker) {
  const std::string wanted = logs_of(document.job);
  if (document.logs_read == wanted) return;
  document.logs_read = wanted;
  worker.submit(
      [&document, wanted, job = document.job](const Worker::Cancelled&) -> Worker::Deliver {
        return [&document, wanted, previews = read_previews(job)] {
          if (document.logs_read == wanted) document.logs = previews;
        };
      },
      [](const Error&) {});
}

}  // namespace railseep::gui

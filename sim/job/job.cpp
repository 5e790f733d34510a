#include "job/job.hpp"

#include <filesystem>

#include "job/job_air.hpp"
#include "job/kept_proof.hpp"
#include "job/noted_checks.hpp"
#include "job/value_in_words.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

std::optional<double> maybe(JsonFields& fields, const char* key, Quantity quantity) {
  if (!fields.has(key)) return std::nullopt;
  return fields.quantity(key, quantity);
}

/// What a key tells in one word; its troubles named with the place of the key.
template <typename Parse>
auto read_word(JsonFields& fields, const char* key, Parse parse) {
  try {
    return parse(fields.text(key));
  } catch (const Error& error) {
    throw error.within(fields.place_of(key));
  }
}

ChannelKind read_kind(JsonFields& fields) { return read_word(fields, "kind", parse_channel_kind); }

ColumnOptions read_column(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  ColumnOptions column;
  column.column = fields.text("column");
  if (fields.has("kind")) column.kind = read_kind(fields);
  if (fields.has("unit")) column.unit = fields.text("unit");
  if (fields.has("decimal")) column.numbers = read_word(fields, "decimal", parse_number_style);
  column.factor = fields.quantity("factor", Quantity::ratio, 1.0);
  column.time_shift = fields.quantity("time_shift", Quantity::time, 0.0);
  column.sensor_zero = maybe(fields, "sensor_zero", Quantity::voltage);
  column.sensor_gain = maybe(fields, "pressure_per_volt", Quantity::pressure);
  fields.finish();
  return column;
}

Moment read_moment(JsonFields& fields) {
  if (!fields.has("moment")) return Moment::unsaid;
  const std::string text = fields.text("moment");
  std::string listed;
  for (const Moment moment :
       {Moment::key_on, Moment::cranking, Moment::highest_cranking, Moment::idle, Moment::key_off}) {
    if (word(moment) == text) return moment;
    listed += (listed.empty() ? "\"" : ", \"") + std::string(word(moment)) + "\"";
  }
  throw Error(fields.place_of("moment"), "there is no moment \"" + text + "\"", "write one of " + listed);
}

Stage read_stage(JsonFields& fields) {
  const std::string text = fields.text("stage", "before");
  for (const Stage stage : {Stage::good, Stage::before, Stage::after})
    if (word(stage) == text) return stage;
  throw Error(fields.place_of("stage"), "\"" + text + "\" is no stage of a job",
              "write \"before\" or \"after\" (the repair), or of a log \"good\" (known to be)");
}

/// Of a reading or a start: those of the good engine tell no fault from another.
Stage read_stage_of_trouble(JsonFields& fields) {
  const Stage stage = read_stage(fields);
  if (stage == Stage::good)
    throw Error(fields.place_of("stage"), "only a log can be of the good engine",
                "write \"before\" or \"after\" (the repair), or leave this entry out");
  return stage;
}

std::optional<double> maybe(JsonFields& fields, const char* key, const QuantityRange& range) {
  if (!fields.has(key)) return std::nullopt;
  return within_range(fields.quantity(key, range.quantity), range, fields.place_of(key));
}

/// The keys that tell a condition; all may be missing.
LogCondition read_condition(JsonFields& fields) {
  LogCondition condition;
  condition.oil = fields.text("oil", "");
  condition.oil_temperature = maybe(fields, "oil_temperature", condition_range::oil_temperature);
  condition.speed = maybe(fields, "speed", condition_range::speed);
  condition.battery = maybe(fields, "battery", condition_range::battery);
  condition.rest_air = maybe(fields, "rest_air", condition_range::rest_air);
  condition.rest_time = maybe(fields, "rest_time", condition_range::rest_time).value_or(0);
  condition.block = fields.text("block", "");
  return condition;
}

JobReading read_reading(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  JobReading reading;
  reading.when = fields.text("when", "");
  reading.kind = read_kind(fields);
  reading.value = fields.quantity("value", kind_quantity(reading.kind));
  reading.at_least = maybe(fields, "at_least", kind_quantity(reading.kind));
  reading.at_most = maybe(fields, "at_most", kind_quantity(reading.kind));
  if (reading.at_least && reading.at_most && *reading.at_least >= *reading.at_most)
    throw Error(fields.place_of("at_most"), "the range ends where it begins or before", "write more than \"at_least\"");
  reading.moment = read_moment(fields);
  if (kind_quantity(reading.kind) != Quantity::temperature && fields.has("tolerance"))
    reading.tolerance = fields.quantity("tolerance", kind_quantity(reading.kind));
  reading.later = maybe(fields, "later", Quantity::time);
  reading.cranked = maybe(fields, "cranked", Quantity::time);
  reading.condition = read_condition(fields);
  reading.stage = read_stage_of_trouble(fields);
  reading.check = fields.text("check", "");
  fields.finish();
  return reading;
}

JobStart read_start(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  JobStart start;
  if (!fields.has("started"))
    throw Error(fields.place_of("started"), "it is not said whether it started", "write true or false");
  start.started = fields.flag("started", false);
  start.cranked = maybe(fields, "cranked", Quantity::time);
  start.condition = read_condition(fields);
  start.stage = read_stage_of_trouble(fields);
  fields.finish();
  return start;
}

/// A finding that says good or bad is of a check the match knows.
void check_finding(const JobFinding& finding, const JsonFields& fields) {
  try {
    const InspectionKind& kind = find_inspection_kind(finding.check);
    if (kind.at_place && finding.place.empty())
      throw Error("place", "it is not said which place was looked at",
                  "name a site, a link or an access group of the circuit");
    if (finding.resistance && finding.check != "coil resistance")
      throw Error("check", "a resistance belongs to \"coil resistance\"", "write that, or leave the resistance out");
  } catch (const Error& error) {
    throw error.within(fields.place());
  }
}

JobFinding read_finding(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  JobFinding finding;
  finding.check = fields.text("check", "");
  if (fields.has("outcome")) {
    const std::string outcome = fields.text("outcome");
    if (outcome != "good" && outcome != "bad")
      throw Error(fields.place_of("outcome"), "\"" + outcome + "\" is no outcome", "write \"good\" or \"bad\"");
    finding.bad = outcome == "bad";
  }
  finding.resistance = maybe(fields, "resistance", Quantity::resistance);
  finding.place = fields.text("place", "");
  finding.text = finding.in_words() ? fields.text("text") : fields.text("text", "");
  finding.done = fields.text("done", "");
  if (!finding.done.empty()) check_done_id(finding.done, fields.place_of("done"));
  if (!finding.in_words()) check_finding(finding, fields);
  if (const std::string better = better_told(finding); finding.done.empty() && !better.empty())
    throw Error(fields.place_of("text"), "\"" + finding.text + "\" is a measured value in words: no evidence", better);
  fields.finish();
  return finding;
}

std::vector<std::string> read_names(JsonFields& fields, const char* key, const std::string& of_what) {
  std::vector<std::string> names;
  fields.each(key, [&](const Json& name, const std::string& at) {
    if (!name.is_string())
      throw Error(at, name.dump().substr(0, 40) + " is not a name", "write that of " + of_what + " in quotes");
    names.push_back(name.get<std::string>());
  });
  return names;
}

/// How a log is to be read, where the reader would have to guess.
void read_log_options(JsonFields& fields, LogOptions& options) {
  options.interval = maybe(fields, "interval", Quantity::time);
  if (fields.has("separator")) options.separator = read_word(fields, "separator", parse_separator);
  if (fields.has("decimal")) options.numbers = read_word(fields, "decimal", parse_number_style);
  if (fields.has("encoding")) options.encoding = read_word(fields, "encoding", parse_encoding);
  if (fields.has("time_unit")) options.time_unit = read_word(fields, "time_unit", parse_time_unit);
  if (fields.has("long_form")) options.long_form = fields.flag("long_form", false);
  if (!fields.has("header_line")) return;
  const Json& line = fields.raw("header_line");
  if (!line.is_number_unsigned() || line.get<double>() > 1e6)
    throw Error(fields.place_of("header_line"), line.dump() + " is no line",
                "write the number of the line with the headers, 0 if there is none");
  options.header_line = line.get<int>();
}

JobLog read_job_log(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  JobLog log;
  log.condition = read_condition(fields);
  log.condition.name = fields.text("name");
  log.file = fields.text("file");
  if (fields.has("started")) log.started = fields.flag("started", false);
  log.stage = read_stage(fields);
  read_log_options(fields, log.options);
  fields.each("columns", [&](const Json& column, const std::string& at) {
    log.options.columns.push_back(read_column(column, at));
  });
  fields.finish();
  return log;
}

}  // namespace

std::string_view word(Moment moment) {
  switch (moment) {
    case Moment::key_on:
      return "key on";
    case Moment::cranking:
      return "cranking";
    case Moment::highest_cranking:
      return "highest while cranking";
    case Moment::idle:
      return "idle";
    case Moment::key_off:
      return "after key off";
    default:
      return "";
  }
}

std::string_view word(Stage stage) {
  switch (stage) {
    case Stage::good:
      return "good";
    case Stage::after:
      return "after";
    case Stage::before:
      break;
  }
  return "before";
}

Job read_job(const std::string& path) {
  const Json json = read_json(path);
  JsonFields fields = JsonFields::top(json, path);
  if (fields.text("railseep") != "job")
    throw Error(fields.place_of("railseep"), "this is not a job file", "write \"railseep\": \"job\"");
  Job job;
  job.folder = std::filesystem::path(path).parent_path().string();
  job.name = fields.text("name");
  job.about = fields.text("about", "");
  job.complaint = fields.text("complaint");
  job.circuit = fields.text("circuit");
  fields.each("readings",
              [&](const Json& reading, const std::string& at) { job.readings.push_back(read_reading(reading, at)); });
  fields.each(
      "logs", [&](const Json& log, const std::string& at) { job.logs.push_back(read_job_log(log, at)); }, true);
  fields.each("starts", [&](const Json& start, const std::string& at) { job.starts.push_back(read_start(start, at)); });
  fields.each("air_tests",
              [&](const Json& test, const std::string& at) { job.air_tests.push_back(read_air_findings(test, at)); });
  fields.each("findings",
              [&](const Json& finding, const std::string& at) { job.findings.push_back(read_finding(finding, at)); });
  job.open = read_names(fields, "open", "an access group"), job.set_up = read_names(fields, "set_up", "a set-up");
  if (fields.has("proof")) job.proof = read_kept_proof(fields.raw("proof"), fields.place_of("proof"));
  fields.finish();
  return job;
}

std::string job_path(const Job& job, const std::string& file) {
  const std::filesystem::path beside = std::filesystem::path(job.folder) / file;
  std::error_code trouble;
  return std::filesystem::exists(beside, trouble) ? beside.string() : file;
}

}  // namespace railseep

#include <filesystem>

#include "job/job.hpp"
#include "job/job_air.hpp"
#include "job/kept_proof.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

std::string_view written_unit(Quantity quantity) {
  switch (quantity) {
    case Quantity::pressure:
      return "MPa";
    case Quantity::temperature:
      return "degC";
    case Quantity::speed:
      return "rpm";
    case Quantity::ratio:
      return "%";
    default:
      return info(quantity).si_unit;
  }
}

std::string text(double si, Quantity quantity) { return write_quantity(si, quantity, written_unit(quantity)); }

void put(Json& json, const char* key, const std::string& words) {
  if (!words.empty()) json[key] = words;
}

void put(Json& json, const char* key, const std::optional<double>& value, Quantity quantity) {
  if (value) json[key] = text(*value, quantity);
}

Json column_json(const ColumnOptions& column) {
  Json json = {{"column", column.column}};
  if (column.kind) json["kind"] = kind_name(*column.kind);
  if (column.unit) json["unit"] = *column.unit;
  if (column.numbers) json["decimal"] = word(*column.numbers);
  if (column.factor != 1) json["factor"] = column.factor;
  if (column.time_shift != 0) json["time_shift"] = text(column.time_shift, Quantity::time);
  put(json, "sensor_zero", column.sensor_zero, Quantity::voltage);
  put(json, "pressure_per_volt", column.sensor_gain, Quantity::pressure);
  return json;
}

void put_condition(Json& json, const LogCondition& condition) {
  put(json, "oil", condition.oil);
  put(json, "oil_temperature", condition.oil_temperature, Quantity::temperature);
  put(json, "speed", condition.speed, Quantity::speed);
  put(json, "battery", condition.battery, Quantity::voltage);
  put(json, "rest_air", condition.rest_air, Quantity::ratio);
  if (condition.rest_time > 0) json["rest_time"] = text(condition.rest_time, Quantity::time);
  put(json, "block", condition.block);
}

void put_stage(Json& json, Stage stage) {
  if (stage != Stage::before) json["stage"] = word(stage);
}

void put_log_options(Json& json, const LogOptions& options) {
  put(json, "interval", options.interval, Quantity::time);
  if (options.separator) json["separator"] = separator_word(*options.separator);
  if (options.numbers) json["decimal"] = word(*options.numbers);
  if (options.encoding) json["encoding"] = word(*options.encoding);
  if (options.time_unit) json["time_unit"] = *options.time_unit;
  if (options.long_form) json["long_form"] = *options.long_form;
  if (options.header_line) json["header_line"] = *options.header_line;
}

Json log_json(const JobLog& log) {
  Json json = {{"name", log.condition.name}, {"file", log.file}};
  if (log.started) json["started"] = *log.started;
  put_stage(json, log.stage);
  put_condition(json, log.condition);
  put_log_options(json, log.options);
  for (const ColumnOptions& column : log.options.columns) json["columns"].push_back(column_json(column));
  return json;
}

Json reading_json(const JobReading& reading) {
  const Quantity quantity = kind_quantity(reading.kind);
  Json json = {{"when", reading.when}, {"kind", kind_name(reading.kind)}, {"value", text(reading.value, quantity)}};
  put(json, "at_least", reading.at_least, quantity);
  put(json, "at_most", reading.at_most, quantity);
  put(json, "moment", std::string(word(reading.moment)));
  put(json, "tolerance", reading.tolerance, quantity);
  put(json, "later", reading.later, Quantity::time);
  put(json, "cranked", reading.cranked, Quantity::time);
  put_condition(json, reading.condition);
  put_stage(json, reading.stage);
  put(json, "check", reading.check);
  return json;
}

Json start_json(const JobStart& start) {
  Json json = {{"started", start.started}};
  put(json, "cranked", start.cranked, Quantity::time);
  put_condition(json, start.condition);
  put_stage(json, start.stage);
  return json;
}

Json finding_json(const JobFinding& finding) {
  Json json = {{"check", finding.check}};
  if (finding.bad) json["outcome"] = *finding.bad ? "bad" : "good";
  put(json, "place", finding.place);
  put(json, "resistance", finding.resistance, Quantity::resistance);
  if (!finding.text.empty() || finding.in_words()) json["text"] = finding.text;
  put(json, "done", finding.done);
  return json;
}

}  // namespace

std::string job_text(const Job& job) {
  Json json = {{"railseep", "job"}, {"name", job.name}};
  put(json, "about", job.about);
  json["complaint"] = job.complaint;
  json["circuit"] = job.circuit;
  for (const JobReading& reading : job.readings) json["readings"].push_back(reading_json(reading));
  json["logs"] = Json::array();
  for (const JobLog& log : job.logs) json["logs"].push_back(log_json(log));
  for (const JobStart& start : job.starts) json["starts"].push_back(start_json(start));
  for (const AirFindings& test : job.air_tests) json["air_tests"].push_back(air_json(test));
  for (const JobFinding& finding : job.findings) json["findings"].push_back(finding_json(finding));
  if (!job.open.empty()) json["open"] = job.open;
  if (!job.set_up.empty()) json["set_up"] = job.set_up;
  if (job.proof) json["proof"] = kept_proof_json(*job.proof);
  // Text typed somewhere else may hold bytes that are no UTF-8: they are written as the replacement sign.
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

void write_job(const std::string& path, const Job& job, const std::optional<std::string>& known) {
  write_text(path, job_text(job), true, known);
}

Job moved_to(const Job& job, const std::string& folder) {
  namespace fs = std::filesystem;
  Job moved = job;
  moved.folder = folder;
  const auto rename = [&](std::string& file) {
    const fs::path beside = fs::path(job.folder) / file;
    std::error_code trouble;
    if (file.empty() || !fs::exists(beside, trouble))
      return;  // a shipped file, or one that is not there: its name stays
    const fs::path relative = fs::relative(fs::absolute(beside), fs::absolute(folder.empty() ? "." : folder));
    // A file outside the folder is named in full: the job may travel, the way up from it may not.
    file = relative.empty() || *relative.begin() == ".." ? fs::absolute(beside).lexically_normal().string()
                                                         : relative.string();
  };
  for (JobLog& log : moved.logs) rename(log.file);
  rename(moved.circuit);
  return moved;
}

}  // namespace railseep

#include "job/job.hpp"

#include <filesystem>

#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

std::optional<double> maybe(JsonFields& fields, const char* key, Quantity quantity) {
  if (!fields.has(key)) return std::nullopt;
  return fields.quantity(key, quantity);
}

ChannelKind read_kind(JsonFields& fields) {
  try {
    return parse_channel_kind(fields.text("kind"));
  } catch (const Error& error) {
    throw error.within(fields.place_of("kind"));
  }
}

ColumnOptions read_column(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  ColumnOptions column;
  column.column = fields.text("column");
  if (fields.has("kind")) column.kind = read_kind(fields);
  if (fields.has("unit")) column.unit = fields.text("unit");
  column.factor = fields.quantity("factor", Quantity::ratio, 1.0);
  column.time_shift = fields.quantity("time_shift", Quantity::time, 0.0);
  column.sensor_zero = maybe(fields, "sensor_zero", Quantity::voltage);
  column.sensor_gain = maybe(fields, "pressure_per_volt", Quantity::pressure);
  fields.finish();
  return column;
}

JobReading read_reading(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  JobReading reading;
  reading.when = fields.text("when", "");
  reading.kind = read_kind(fields);
  reading.value = fields.quantity("value", kind_quantity(reading.kind));
  fields.finish();
  return reading;
}

JobFinding read_finding(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  JobFinding finding{fields.text("check", ""), fields.text("text")};
  fields.finish();
  return finding;
}

JobLog read_job_log(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  JobLog log;
  log.condition.name = fields.text("name");
  log.file = fields.text("file");
  log.condition.oil = fields.text("oil", "");
  log.condition.oil_temperature = maybe(fields, "oil_temperature", Quantity::temperature);
  log.condition.speed = maybe(fields, "speed", Quantity::speed);
  log.condition.battery = maybe(fields, "battery", Quantity::voltage);
  log.condition.rest_air = maybe(fields, "rest_air", Quantity::ratio);
  log.options.interval = maybe(fields, "interval", Quantity::time);
  fields.each("columns", [&](const Json& column, const std::string& at) { log.options.columns.push_back(read_column(column, at)); });
  fields.finish();
  return log;
}

}  // namespace

Job read_job(const std::string& path) {
  const Json json = read_json(path);
  JsonFields fields(json, path + ", ");
  if (fields.text("railseep") != "job") throw Error(fields.place_of("railseep"), "this is not a job file", "write \"railseep\": \"job\"");
  Job job;
  job.folder = std::filesystem::path(path).parent_path().string();
  job.name = fields.text("name");
  job.about = fields.text("about", "");
  job.complaint = fields.text("complaint");
  job.circuit = fields.text("circuit");
  fields.each("readings", [&](const Json& reading, const std::string& at) { job.readings.push_back(read_reading(reading, at)); });
  fields.each("logs", [&](const Json& log, const std::string& at) { job.logs.push_back(read_job_log(log, at)); }, true);
  fields.each("findings", [&](const Json& finding, const std::string& at) { job.findings.push_back(read_finding(finding, at)); });
  fields.finish();
  return job;
}

std::string job_path(const Job& job, const std::string& file) {
  const std::filesystem::path beside = std::filesystem::path(job.folder) / file;
  return std::filesystem::exists(beside) ? beside.string() : file;
}

}  // namespace railseep

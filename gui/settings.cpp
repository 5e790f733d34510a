#include "settings.hpp"

#include <algorithm>
#include <array>

#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"
#include "words/letterhead.hpp"

namespace railseep::gui {

namespace {

std::string one_of(JsonFields& fields, const char* key, const std::string& fallback,
                   std::initializer_list<const char*> words) {
  const std::string text = fields.text(key, fallback);
  if (std::find(words.begin(), words.end(), text) == words.end()) {
    std::string listed;
    for (const char* word : words) listed += std::string(listed.empty() ? "" : ", ") + word;
    throw Error(fields.place_of(key), "\"" + text + "\" is not offered", "write one of " + listed);
  }
  return text;
}

std::optional<double> read_rate(JsonFields& fields, const char* key, Quantity quantity) {
  if (!fields.has(key)) return std::nullopt;
  const double rate = fields.quantity(key, quantity);
  if (!(rate >= 0)) throw Error(fields.place_of(key), "a rate is not negative", "write 0 or more");
  return rate;
}

ShopRates read_rates(JsonFields& fields) {
  ShopRates rates;
  rates.currency = fields.text("currency", "").substr(0, longest_currency);
  rates.hourly_rate = read_rate(fields, "hourly_rate", Quantity::ratio);
  rates.opening_money = read_rate(fields, "opening_money", Quantity::ratio);
  rates.proving_time = read_rate(fields, "proving_seconds", Quantity::ratio);
  return rates;
}

void write_rates(Json& json, const ShopRates& rates) {
  if (!rates.currency.empty()) json["currency"] = rates.currency;
  if (rates.hourly_rate) json["hourly_rate"] = *rates.hourly_rate;
  if (rates.opening_money) json["opening_money"] = *rates.opening_money;
  if (rates.proving_time) json["proving_seconds"] = *rates.proving_time;
}

}  // namespace

Costs ShopRates::of(Costs costs) const {
  if (!currency.empty()) costs.currency = currency;
  costs.hourly_rate = hourly_rate.value_or(costs.hourly_rate);
  costs.opening_money = opening_money.value_or(costs.opening_money);
  costs.proving_time = proving_time.value_or(costs.proving_time);
  return costs;
}

std::filesystem::path settings_file() {
  const std::filesystem::path folder = settings_folder();
  return folder.empty() ? folder : folder / "settings.json";
}

Settings read_settings(const std::filesystem::path& file) {
  Settings settings;
  std::error_code none;
  if (file.empty() || !std::filesystem::exists(file, none)) return settings;
  const Json json = read_json(file.string());
  JsonFields fields = JsonFields::top(json, file.string());
  settings.units.pressure = one_of(fields, "pressure", settings.units.pressure, {"psi", "bar", "MPa"});
  settings.units.temperature = one_of(fields, "temperature", settings.units.temperature, {"degC", "degF"});
  settings.units.length = one_of(fields, "length", settings.units.length, {"mm", "in"});
  settings.units.flow = one_of(fields, "flow", settings.units.flow, {"cm3/s", "L/min"});
  settings.rates = read_rates(fields);
  settings.dark = fields.flag("dark", settings.dark);
  settings.motion = fields.flag("motion", settings.motion);
  settings.answers = fields.flag("answers", settings.answers);
  settings.text_scale =
      std::clamp(fields.quantity("text_scale", Quantity::ratio, 1.0), least_text_scale, most_text_scale);
  settings.width = static_cast<int>(std::clamp(fields.quantity("width", Quantity::ratio, 1280.0), 200.0, 16000.0));
  settings.height = static_cast<int>(std::clamp(fields.quantity("height", Quantity::ratio, 720.0), 200.0, 16000.0));
  settings.last_folder = fields.text("last_folder", "");
  settings.log_folder = fields.text("log_folder", "");
  fields.each("recent_jobs", [&](const Json& job, const std::string& place) {
    if (!job.is_string()) throw Error(place, "this is not the name of a file", "write it in quotes");
    settings.recent_jobs.push_back(job.get<std::string>());
  });
  fields.finish();
  return settings;
}

void write_settings(const std::filesystem::path& file, const Settings& settings) {
  if (file.empty()) return;
  std::filesystem::create_directories(file.parent_path());
  Json json = {{"pressure", settings.units.pressure},
               {"temperature", settings.units.temperature},
               {"length", settings.units.length},
               {"flow", settings.units.flow},
               {"dark", settings.dark},
               {"motion", settings.motion},
               {"answers", settings.answers},
               {"text_scale", settings.text_scale},
               {"width", settings.width},
               {"height", settings.height},
               {"last_folder", settings.last_folder},
               {"log_folder", settings.log_folder},
               {"recent_jobs", settings.recent_jobs}};
  write_rates(json, settings.rates);
  // Names of files may hold bytes that are no UTF-8.
  write_text(file.string(), json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n", true);
}

}  // namespace railseep::gui

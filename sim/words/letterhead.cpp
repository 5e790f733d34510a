#include "words/letterhead.hpp"

#include <cstdlib>

#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace fs = std::filesystem;

fs::path settings_folder() {
  const char* config = std::getenv("XDG_CONFIG_HOME");
  if (config && fs::path(config).is_absolute()) return fs::path(config) / "railseep";
  const char* home = std::getenv("HOME");
  return home && *home ? fs::path(home) / ".config" / "railseep" : fs::path();
}

Letterhead read_shop(const fs::path& file) {
  Letterhead shop;
  std::error_code none;
  if (file.empty() || !fs::exists(file, none)) return shop;
  const Json json = read_json(file.string());
  JsonFields fields = JsonFields::top(json, file.string());
  if (fields.text("railseep") != "shop")
    throw Error(fields.place_of("railseep"), "this is not a file of a shop", "write \"railseep\": \"shop\"");
  shop.name = fields.text("name", ""), shop.address = fields.text("address", "");
  shop.mark = fields.text("mark", ""), shop.currency = fields.text("currency", "");
  fields.finish();
  return shop;
}

ShownUnits read_units(const fs::path& file) {
  ShownUnits units;
  std::error_code none;
  if (file.empty() || !fs::exists(file, none)) return units;
  const Json json = read_json(file.string());
  std::string words;
  for (const char* key : {"pressure", "temperature", "length"})
    if (json.is_object() && json.contains(key) && json[key].is_string()) words += json[key].get<std::string>() + " ";
  try {
    return parse_units(words, units);
  } catch (const Error& error) {
    throw error.within(file.string());
  }
}

}  // namespace railseep

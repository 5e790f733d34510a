#include "words/letterhead.hpp"

#include <cstdlib>

#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"
#include "quantity/whole_file.hpp"

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

void write_shop(const fs::path& file, const Letterhead& shop) {
  make_folder(file.parent_path().string());
  const Json json{{"railseep", "shop"},
                  {"name", shop.name},
                  {"address", shop.address},
                  {"mark", shop.mark},
                  {"currency", shop.currency}};
  write_text(file.string(), json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n", true);
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

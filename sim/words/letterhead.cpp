#include "words/letterhead.hpp"

#include <cstdlib>

#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"
#include "quantity/whole_file.hpp"

namespace railseep {

namespace fs = std::filesystem;

namespace {

/// A folder of the program below the one that a variable names, else below the home folder.
fs::path own_folder(const char* variable, const char* below_home) {
  const char* named = std::getenv(variable);
  if (named && fs::path(named).is_absolute()) return fs::path(named) / "railseep";
  const char* home = std::getenv("HOME");
  return home && *home ? fs::path(home) / below_home / "railseep" : fs::path();
}

}  // namespace

fs::path settings_folder() { return own_folder("XDG_CONFIG_HOME", ".config"); }

fs::path cache_folder() { return own_folder("XDG_CACHE_HOME", ".cache"); }

fs::path state_folder() { return own_folder("XDG_STATE_HOME", ".local/state"); }

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

std::string chosen_currency() {
  const fs::path folder = settings_folder();
  if (folder.empty()) return "";
  std::error_code none;
  if (const fs::path file = folder / "settings.json"; fs::exists(file, none)) {
    const Json json = read_json(file.string());
    if (const auto found = json.find("currency"); found != json.end() && found->is_string() && !found->empty())
      if (const std::string text = found->get<std::string>(); !text.empty()) return text;
  }
  return read_shop(folder / "shop.json").currency;
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
  for (const char* key : {"pressure", "temperature", "length", "flow"})
    if (json.is_object() && json.contains(key) && json[key].is_string()) words += json[key].get<std::string>() + " ";
  try {
    return parse_units(words, units);
  } catch (const Error& error) {
    throw error.within(file.string());
  }
}

}  // namespace railseep

#pragma once

#include <filesystem>
#include <string>

#include "words/shown_units.hpp"

namespace railseep {

/// Who hands a report over. Everything may be empty.
struct Letterhead {
  std::string name, address, mark;  // the mark is a few letters
  std::string currency;             // in place of the costs file's
  bool operator==(const Letterhead&) const = default;
};

/// $XDG_CONFIG_HOME/railseep, else .config/railseep below the home folder. Empty when there is neither.
std::filesystem::path settings_folder();

/// $XDG_STATE_HOME/railseep, else .local/state/railseep below the home folder: what the program keeps for its user.
/// Empty when there is neither.
std::filesystem::path state_folder();

/// $XDG_CACHE_HOME/railseep, else .cache/railseep below the home folder: what can be computed again. Empty when there
/// is neither.
std::filesystem::path cache_folder();

/// shop.json of the settings folder:
///
///     {"railseep": "shop", "name": "...", "address": "...", "mark": "...", "currency": "EUR"}
///
/// A missing file: an empty shop. @throws Error with place, found, expected
Letterhead read_shop(const std::filesystem::path& file);
void write_shop(const std::filesystem::path& file, const Letterhead& shop);

/// The currency of this shop: that of settings.json, which the window writes, else of shop.json; empty: none is told.
/// @throws Error
std::string chosen_currency();

/// The units that the window's settings.json holds; a missing file: psi, degC, mm and cm3/s. @throws
/// Error
ShownUnits read_units(const std::filesystem::path& file);

}  // namespace railseep

#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "decide/costs.hpp"
#include "words/shown_units.hpp"

namespace railseep::gui {

/// What things cost in this shop, where it differs from the costs file; empty: as there.
struct ShopRates {
  std::string currency;
  std::optional<double> hourly_rate;    // [money/h]
  std::optional<double> opening_money;  // each time something is opened
  std::optional<double> proving_time;   // of a repair [s]
  bool operator==(const ShopRates&) const = default;

  Costs of(Costs costs) const;  // with these in it
};

inline constexpr std::size_t longest_currency = 20;  // as in the costs file [letters]

/// What the user chose about the window itself; kept between sessions.
struct Settings {
  ShownUnits units;
  ShopRates rates;
  bool dark = true;
  bool motion = true;     // flow moves in the drawing
  bool answers = true;    // the answer is computed by itself
  double text_scale = 1;  // times the size that fits the window
  int width = 1280, height = 720;
  std::string last_folder;               // where jobs were looked for
  std::string log_folder;                // where the last log came from
  std::vector<std::string> recent_jobs;  // the last one first
  bool operator==(const Settings&) const = default;
};

inline constexpr std::size_t most_recent_jobs = 8;

inline constexpr double least_text_scale = 0.7, most_text_scale = 3;

/// $XDG_CONFIG_HOME/railseep/settings.json, else below the home folder. Empty when there is neither.
std::filesystem::path settings_file();

/// Missing file: the defaults. @throws Error for a file that cannot be read (the caller goes on with the defaults)
Settings read_settings(const std::filesystem::path& file);
void write_settings(const std::filesystem::path& file, const Settings& settings);

}  // namespace railseep::gui

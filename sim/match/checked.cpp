#include "match/checked.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "quantity/error.hpp"

namespace railseep {

namespace {

// What each check sees. That the trade does these checks is common practice; how often they are read wrongly is assumed in every row.
constexpr std::array oil_level{Seen{"froth", "", "", 0.9}, Seen{"low supply", "", "", 0.5}, Seen{"low level", "", "", 0.3}};
constexpr std::array reservoir_level{Seen{"low level", "", "", 0.95}, Seen{"seat leak", "check valve", "feed", 0.4}, Seen{"relief stuck", "", "", 0.6}};
constexpr std::array oil_smell{Seen{"fuel in the oil", "", "", 0.8}};
constexpr std::array oil_look{Seen{"aerated oil", "", "", 0.7}, Seen{"froth", "", "", 0.5}, Seen{"wrong oil", "", "", 0.3}};
constexpr std::array oil_grade{Seen{"wrong oil", "", "", 0.85}};
constexpr std::array regulator_screen{Seen{"screen plugged", "", "", 0.95}, Seen{"stuck open", "", "", 0.3}, Seen{"wear", "pump", "", 0.3}};
constexpr std::array regulator_seen{Seen{"stuck open", "", "", 0.85}, Seen{"stuck closed", "", "", 0.85}, Seen{"sticking", "", "", 0.6},
                                    Seen{"seat leak", "regulator", "", 0.5}, Seen{"screen plugged", "", "", 0.8}};
constexpr std::array regulator_plug{Seen{"no current", "", "", 0.85}, Seen{"grounded", "", "", 0.6}};
constexpr std::array regulator_power{Seen{"no current", "", "", 0.95}, Seen{"driver dead", "", "", 0.9}};
constexpr std::array coil_resistance{Seen{"coil open", "", "", 0.98}};
constexpr std::array inlet_screen{Seen{"inlet blocked", "", "", 0.95}};
constexpr std::array oil_filter{Seen{"plugged", "", "", 0.9}};
constexpr std::array batteries{Seen{"slow cranking", "", "", 0.8}};
constexpr std::array base_oil{Seen{"relief stuck", "", "", 0.95}, Seen{"wear", "lube pump", "", 0.85}, Seen{"low supply", "", "", 0.9}, Seen{"plugged", "screen", "", 0.4}};
constexpr std::array drive_gear{Seen{"drive lost", "", "", 0.95}};
constexpr std::array sensor_at_rest{Seen{"bias", "", "", 0.9}, Seen{"wire broken", "", "", 0.97}, Seen{"hot drift", "", "", 0.1}};
constexpr std::array sensor_plug{Seen{"wire broken", "", "", 0.8}, Seen{"bias", "", "", 0.05}};
constexpr std::array sensor_exchanged{Seen{"bias", "", "", 0.95}, Seen{"hot drift", "", "", 0.95}, Seen{"wire broken", "", "", 0.5}};
constexpr std::array engine_position{Seen{"no sync", "", "", 0.97}};
constexpr std::array injector_power{Seen{"weak shots", "", "", 0.6}};
constexpr std::array fuel_filter{Seen{"", "", "body seal", 0.8}};
constexpr std::array seen_open{Seen{"", "", "", 0.85}};

constexpr CheckKind kinds[] = {
    {"oil level", "is the oil at its mark?", 0.03, false, oil_level},
    {"reservoir level", "is the reservoir full before cranking?", 0.03, false, reservoir_level},
    {"oil smell", "does the oil smell like oil, without fuel?", 0.05, false, oil_smell},
    {"oil look", "is the oil clear of froth and sludge?", 0.05, false, oil_look},
    {"oil grade", "is the right grade in it, and not overdue?", 0.05, false, oil_grade},
    {"regulator screen", "is the screen of the regulator clean? Debris alone condemns no pump", 0.10, false, regulator_screen},
    {"regulator seen", "pulled: does the spool move, are edges and seals sound?", 0.05, false, regulator_seen},
    {"regulator plug", "is the regulator's plug tight, its harness whole?", 0.03, false, regulator_plug},
    {"regulator power", "does the module's pulse reach the plug while cranking?", 0.03, false, regulator_power},
    {"coil resistance", "is the coil within its range?", 0.02, false, coil_resistance},
    {"inlet screen", "is the screen before the high-pressure pump clean?", 0.05, false, inlet_screen},
    {"oil filter", "is the oil filter free?", 0.05, false, oil_filter},
    {"batteries", "do the batteries hold under load?", 0.07, false, batteries},
    {"base oil", "does a gauge on the lube gallery show pressure while cranking?", 0.03, false, base_oil},
    {"drive gear", "does the high-pressure pump turn with the engine?", 0.02, false, drive_gear},
    {"sensor at rest", "are the sensor's volts right with the key on and no pressure?", 0.03, false, sensor_at_rest},
    {"sensor plug", "is the sensor's plug dry and its wires whole?", 0.05, false, sensor_plug},
    {"sensor exchanged", "does a known good sensor or a gauge show the same?", 0.05, false, sensor_exchanged},
    {"engine position", "does the module report that it knows the engine's position?", 0.02, false, engine_position},
    {"injector power", "are the injectors driven as they should be?", 0.05, false, injector_power},
    {"fuel filter", "is the fuel free of oil?", 0.02, false, fuel_filter},
    {"seen", "opened: is this place sound?", 0.05, true, seen_open},
};

constexpr double meter = 0.05, coil_spread = 0.08;  // of ln(ohm): reading and leads, coils from one to the next; assumed
constexpr double slip = 0.03;                       // share of resistances that are simply wrong
constexpr double decades = 14;                      // ln of the range that those fall in: 0.1 ohm to 100 kohm

/// Is it the place, or opened with it?
bool at(const std::string& place, const Fault& fault, const Circuit& circuit) {
  if (fault.place == place) return true;
  for (const Site& site : circuit.sites)
    if (site.name == fault.place) return site.access == place;
  for (const Link& link : circuit.links)
    if (link.name == fault.place) return link.access == place;
  return false;
}

void check_place(const Checked& checked, const CheckKind& kind, const Circuit& circuit) {
  if (!kind.at_place) return;
  std::vector<std::string> known;
  for (const Access& access : circuit.access) known.push_back(access.name);
  for (const Site& site : circuit.sites) known.push_back(site.name);
  for (const Link& link : circuit.links) known.push_back(link.name);
  if (std::ranges::find(known, checked.place) != known.end()) return;
  const std::string near = nearest_word(checked.place, known);
  throw Error(checked.check, "there is no place \"" + checked.place + "\" in this circuit", near.empty() ? "name a site, a link or an access group" : "did you mean \"" + near + "\"");
}

double resistance_log_likelihood(double measured, const Circuit& circuit) {
  const int link = circuit.only<Regulator>();
  if (link < 0) return 0;
  const double computed = std::get<Regulator>(circuit.links[link].element).hot_resistance();
  const double sd = std::hypot(meter, coil_spread), z = std::log(measured / computed) / sd;
  return std::log((1 - slip) * std::exp(-0.5 * z * z) / (sd * std::sqrt(2 * std::numbers::pi)) + slip / decades);
}

}  // namespace

std::span<const CheckKind> check_kinds() { return kinds; }

const CheckKind& find_check_kind(std::string_view word) {
  std::vector<std::string> words;
  std::string listed;
  for (const CheckKind& kind : kinds) {
    if (kind.word == word) return kind;
    words.emplace_back(kind.word);
    listed += (listed.empty() ? "\"" : ", \"") + words.back() + "\"";
  }
  const std::string near = nearest_word(word, words);
  throw Error("check", "there is no check \"" + std::string(word) + "\"", near.empty() ? "write one of " + listed : "did you mean \"" + near + "\"");
}

double bad_probability(const Checked& checked, const Circuit& circuit, std::span<const Fault> faults) {
  const CheckKind& kind = find_check_kind(checked.check);
  check_place(checked, kind, circuit);
  double good = 1 - kind.false_alarm;
  for (const Fault& fault : faults) {
    if (kind.at_place && !at(checked.place, fault, circuit)) continue;
    double bad = 0;
    for (const Seen& seen : kind.sees) {
      const bool fits = (seen.fault.empty() || seen.fault == fault.kind) && fault.place.find(seen.place) != std::string::npos;
      if (fits && (seen.applies_to.empty() || kind_of(fault, circuit).applies_to == seen.applies_to)) bad = std::max(bad, seen.bad);
    }
    good *= 1 - bad;
  }
  return 1 - good;
}

double log_likelihood(const Checked& checked, const Circuit& faulty, std::span<const Fault> faults) {
  if (checked.resistance) return resistance_log_likelihood(*checked.resistance, faulty);
  const double bad = bad_probability(checked, faulty, faults);
  return std::log(checked.bad ? bad : 1 - bad);
}

}  // namespace railseep

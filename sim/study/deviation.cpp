#include "study/deviation.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <sstream>
#include <vector>

#include "circuit/line_pieces.hpp"
#include "fluid/bulk_modulus.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr int pieces = 4;  // of each passage
constexpr double hysteresis =
    0.10;  // friction of the spool, share of its full opening: some 3 % of 7 MPa (size assumed)
constexpr double other_slope = 14;          // m [-]: a handbook's pressure correction, see bulk_modulus.hpp
constexpr double adiabatic = 1.4;           // n [-] of bubbles too large to take the oil's temperature
constexpr double compression_swing = 0.08;  // of the speed, either way [-] (assumed)
constexpr double nu20_of_hayward = 3e-4;    // [m2/s]; the ratio of Hayward's two forms hardly feels it

constexpr std::array infos = {
    DeviationInfo{Deviation::pump_ripple, "pump ripple", "the pump delivers piston by piston, not its mean"},
    DeviationInfo{Deviation::waves, "waves",
                  "each passage is four lines with inertia and Churchill's friction: pressure waves run in it"},
    DeviationInfo{Deviation::hysteresis, "hysteresis",
                  "the regulator's spool sticks within 10 % of its opening (size assumed)"},
    DeviationInfo{Deviation::bulk_modulus, "bulk modulus",
                  "oil by Hayward's isothermal constants with slope 14, bubbles adiabatic (n = 1.4)"},
    DeviationInfo{Deviation::compressions, "compressions",
                  "the speed swings by 8 % at every compression (size assumed)"},
    DeviationInfo{Deviation::hole_law, "hole law",
                  "sharp holes pass oil by the fit of Wu, Burton & Schoenau (2002): 19 % more near Re 100, twice as "
                  "much far below"}};

void cut_passages(Circuit& circuit) {
  std::vector<std::string> passages;
  for (const Link& link : circuit.links)
    if (std::holds_alternative<Passage>(link.element)) passages.push_back(link.name);
  for (const std::string& name : passages) circuit = cut_line(circuit, name, pieces);
}

Oil other_oil(Oil oil) {
  oil.bulk_modulus *= hayward_isothermal_modulus(nu20_of_hayward, oil.temperature, 0) /
                      hayward_isentropic_modulus(nu20_of_hayward, oil.temperature, 0);
  oil.bulk_modulus_slope = other_slope;
  oil.gas.exponent = adiabatic;
  return oil;
}

/// The speed with a wave upon it at every compression: half as many a turn as there are cylinders, that is injectors.
Profile with_compressions(const Circuit& circuit, const Profile& mean) {
  constexpr int corners = 12;  // of one wave
  double cylinders = 0;
  for (const Link& link : circuit.links)
    if (const Injector* injector = std::get_if<Injector>(&link.element)) cylinders += injector->count;
  const double each =
      4 * std::numbers::pi / std::max(1.0, cylinders);  // crank angle from one compression to the next [rad]
  std::vector<double> time{mean.corners().front()}, value{mean.at(time.front())};
  double angle = 0;
  while (time.back() < mean.corners().back()) {
    const double speed = mean.at(time.back());
    double next = time.back() + std::min(0.05, each / corners / std::max(speed, 1e-3));
    const double corner = *std::upper_bound(mean.corners().begin(), mean.corners().end() - 1, time.back());
    next = std::min(next, corner);
    angle += 0.5 * (speed + mean.at(next)) * (next - time.back());
    time.push_back(next);
    value.push_back(mean.at(next) * (1 + compression_swing * std::sin(2 * std::numbers::pi * angle / each)));
  }
  return {time, value};
}

}  // namespace

std::span<const DeviationInfo> all_deviations() { return infos; }

std::string words(const Deviations& deviations) {
  std::string text;
  for (const DeviationInfo& info : infos)
    if (deviations.contains(info.deviation)) text += (text.empty() ? "" : "+") + std::string(info.word);
  return text.empty() ? "none" : text;
}

Deviations parse_deviations(const std::string& text) {
  Deviations chosen;
  if (text == "none") return chosen;
  if (text == "all") {
    for (const DeviationInfo& info : infos) chosen.insert(info.deviation);
    return chosen;
  }
  std::istringstream parts(text);
  for (std::string part; std::getline(parts, part, '+');) {
    const auto found = std::ranges::find(infos, part, &DeviationInfo::word);
    if (found == infos.end()) {
      std::string known = "none, all";
      for (const DeviationInfo& info : infos) known += ", " + std::string(info.word);
      throw Error("deviations", "\"" + part + "\" is not one of them",
                  "write one of " + known + ", or several with + between them");
    }
    chosen.insert(found->deviation);
  }
  return chosen;
}

void depart(const Deviations& deviations, Circuit& circuit, Condition& condition, CrankOptions& options) {
  const auto on = [&](Deviation deviation) { return deviations.contains(deviation); };
  options.ripple |= on(Deviation::pump_ripple);
  if (on(Deviation::compressions)) condition.speed = with_compressions(circuit, condition.speed);
  Oil oil = oil_of(circuit, condition);
  if (on(Deviation::bulk_modulus)) oil = other_oil(oil);
  if (on(Deviation::hole_law)) oil.edge_law = 1;
  condition.own_oil = oil;
  for (Link& link : circuit.links) {
    if (Regulator* regulator = std::get_if<Regulator>(&link.element); regulator && on(Deviation::hysteresis))
      regulator->friction = std::max(regulator->friction, hysteresis);
  }
  if (on(Deviation::waves)) cut_passages(circuit);
}

}  // namespace railseep

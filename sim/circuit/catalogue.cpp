#include "circuit/catalogue.hpp"

#include <cmath>

#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr CatalogueChange nothing{"", "", false, 0, 0};

constexpr CatalogueFault entries[] = {
    {"F1",
     "rail end plug seal",
     "Seal of a plug at the end of a rail: leaks under one valve cover, worst hot.",
     {"hole", "end plug", false, 5e-4, 1.2e-3},
     nothing},
    {"F2",
     "stand tube or jumper tube seal",
     "Seal of the tube that feeds a rail; at its lower end nothing shows under the covers.",
     {"hole", "stand tube bottom seal|jumper tube", false, 5e-4, 1.2e-3},
     nothing},
    {"F3",
     "injector top seal",
     "Seal between rail and injector: that injector may run rough as well.",
     {"hole", "top seal", false, 6e-4, 1e-3},
     nothing},
    {"F4",
     "injector body seal",
     "Outer seal of an injector: oil enters the fuel, the fuel filter turns black.",
     {"hole", "body seal", false, 6e-4, 1e-3},
     nothing},
    {"F5",
     "injector spool leakage",
     "Worn spools let oil past at all times: normal cold, too much hot, several add up.",
     {"worn spools", "", true, 1.6, 3},
     nothing},
    {"F6",
     "pump outlet fitting",
     "The fitting at the pump's outlet leaks or has come apart: may go from one minute to the next.",
     {"hole", "outlet fitting", false, 6e-4, 4e-3},
     nothing},
    {"F7",
     "branch tube or hose",
     "Cracked tube or bad seat between pump and rails, may come and go with vibration.",
     {"hole", "branch tube seat|hose fitting", false, 6e-4, 2.5e-3},
     nothing},
    {"F8",
     "check valve leaks or is broken",
     "Oil runs back while the engine stands: long first crank, immediate second one.",
     {"seat leak", "outlet check|hose check", true, 1e-3, 2.5e-3},
     nothing},
    {"F9",
     "pump wear",
     "Slip through worn clearances: low plateau in proportion to cranking speed, good cold.",
     {"wear", "high-pressure pump", false, 8, 32},
     nothing},
    {"F10",
     "pump port plug or end plate",
     "A plug or plate of the pump has come loose: a step loss, hot and cold alike.",
     {"hole", "pump port plug", false, 2e-3, 4e-3},
     nothing},
    {"F11",
     "pump drive gear loose",
     "The pump is hardly turned: no pressure with good base oil.",
     {"drive lost", "high-pressure pump", false, 0.1, 0.01},
     nothing},
    {"F12",
     "regulator stuck open",
     "Dirt holds the spool open: duty has no effect.",
     {"stuck open", "", false, 0.1, 0.5},
     nothing},
    {"F13",
     "regulator partly stuck or seat worn",
     "Hunts, answers up and down differently, leaks when shut.",
     {"seat leak", "regulator", false, 6e-4, 1e-3},
     {"sticking", "regulator", false, 0.1, 0.4}},
    {"F14",
     "regulator stuck closed or control wire grounded",
     "Pressure far above what is wanted, hard knock.",
     {"stuck closed", "", false, 0.999, 1},
     nothing},
    {"F15",
     "regulator screen plugged",
     "Slow to build, overshoots on the way down.",
     {"screen plugged", "", false, 0.98, 0.9985},
     nothing},
    {"F16",
     "regulator coil open",
     "Duty at its ceiling, no current, hardly any pressure; electrical, not a leak.",
     {"coil open", "", false, 1000, 10000},
     nothing},
    {"F17",
     "regulator coil or driver shorted",
     "The fuse has blown: no current; electrical, not a leak.",
     {"no current", "", false, 0.02, 0.001},
     nothing},
    {"F18",
     "regulator plug or wiring",
     "Bad contact: only part of the voltage reaches the coil; electrical, not a leak.",
     {"no current", "", false, 0.25, 0.02},
     nothing},
    {"F19",
     "sensor reads too high",
     "The module believes there is enough and commands too little.",
     {"bias", "sensor", false, 1e6, 3e6},
     nothing},
    {"F20",
     "sensor reads too low",
     "The module asks for everything: true pressure is far too high, no enable.",
     {"bias", "sensor", false, -5e5, -1.2e6},
     nothing},
    {"F21", "sensor drifts with heat", "Good cold, reads high hot.", {"hot drift", "", false, 1e4, 4e4}, nothing},
    {"F22",
     "sensor wiring",
     "No believable signal: the default is shown and the module runs blind.",
     {"wire broken", "", false, 0.97, 1},
     nothing},
    {"F23",
     "low supply from the lube pump",
     "The high-pressure pump is not fed: nothing, or late.",
     {"relief stuck|low supply", "", false, 0.97, 0.99},
     {"low level", "", false, 0.95, 0.985}},
    {"F24",
     "supply screen plugged",
     "Starves the pump, worst with cold oil and at high speed.",
     {"inlet blocked", "", false, 0.998, 0.9997},
     nothing},
    {"F25",
     "reservoir drains back",
     "First crank after the night is long, then all is well for the day.",
     {"seat leak", "feed check", false, 1e-3, 3e-3},
     nothing},
    {"F26",
     "low oil level",
     "The pickup draws air, or the reservoir is nearly empty: soft, slow to build.",
     {"froth", "", true, 0.08, 0.25},
     {"low level", "", false, 0.9, 0.97}},
    {"F27",
     "aerated oil",
     "Bubbles in all oil: long build, unsteady at speed.",
     {"aerated oil", "", false, 0.06, 0.2},
     nothing},
    {"F28",
     "fuel in the oil",
     "Thin oil: all clearances leak more, hot above all.",
     {"fuel in the oil", "", false, 0.05, 0.2},
     nothing},
    {"F29",
     "oil too thick",
     "Turns slowly and feeds slowly in the cold.",
     {"wrong oil", "", false, 2, 8},
     {"slow cranking", "", false, 0.9, 0.6}},
    {"F29b", "oil too thin", "As a worn pump, hot.", {"wrong oil", "", false, 0.7, 0.3}, nothing},
    {"F30",
     "slow cranking",
     "Weak batteries or starter: everything is lower, duty at its ceiling.",
     {"slow cranking", "", false, 0.6, 0.35},
     nothing},
    {"F31",
     "control module's regulator driver",
     "Duty stays at its floor though wiring is good; last resort.",
     {"driver dead", "", false, 0, 0},
     nothing},
    {"F32",
     "no sync or weak injector driver",
     "Good or high pressure and no injection: leave the oil side.",
     {"no sync", "", false, 0, 0},
     {"weak shots", "", true, 0, 0}},
    {"F33",
     "sticking injector spools",
     "Good pressure, rough cold until it clears: not a leak.",
     {"weak shots", "", true, 0.7, 0.3},
     nothing},
    {"F34",
     "air left after service",
     "The first starts take long, then it is normal: do not open it again.",
     {"air left", "", false, 0.15, 0.55},
     nothing},
    {"F35",
     "two at once: end plug and slow cranking",
     "Charge the batteries and log again before opening anything.",
     {"hole", "end plug", false, 4e-4, 8e-4},
     {"slow cranking", "", false, 0.85, 0.6}},
};

/// Parts of a text between '|'.
std::vector<std::string_view> choices(std::string_view text) {
  std::vector<std::string_view> all;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t bar = std::min(text.find('|', at), text.size());
    all.push_back(text.substr(at, bar - at));
    at = bar + 1;
  }
  return all;
}

double between(double mild, double severe, double severity) {
  if (mild * severe <= 0) return mild + severity * (severe - mild);
  return mild * std::pow(severe / mild, severity);
}

std::vector<Fault> faults_of(const CatalogueChange& change, const std::vector<PossibleFault>& possible,
                             double severity) {
  std::vector<Fault> found;
  for (const std::string_view kind : choices(change.kind))
    for (const std::string_view place : choices(change.place)) {
      for (const PossibleFault& fault : possible) {
        if (fault.kind->word != kind || fault.place.find(place) == std::string::npos) continue;
        found.push_back({fault.place, std::string(kind), between(change.mild, change.severe, severity)});
        if (!change.everywhere) return found;
      }
      if (!found.empty()) return found;
    }
  return found;
}

}  // namespace

std::span<const CatalogueFault> fault_catalogue() { return entries; }

const CatalogueFault& find_catalogue_fault(std::string_view id) {
  std::vector<std::string> ids;
  for (const CatalogueFault& entry : entries) {
    if (entry.id == id) return entry;
    ids.emplace_back(entry.id);
  }
  const std::string near = nearest_word(id, ids);
  throw Error("fault", "there is no \"" + std::string(id) + "\" in the catalogue",
              near.empty() ? "write F1 to F35" : "did you mean \"" + near + "\"");
}

std::vector<Fault> faults_of(const CatalogueFault& entry, const Circuit& circuit, double severity) {
  const std::vector<PossibleFault> possible = possible_faults(circuit);
  std::vector<Fault> all = faults_of(entry.first, possible, severity);
  if (all.empty() || entry.second.kind.empty()) return all;
  const std::vector<Fault> more = faults_of(entry.second, possible, severity);
  all.insert(all.end(), more.begin(), more.end());
  return all;
}

}  // namespace railseep

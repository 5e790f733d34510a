#include "circuit/faults.hpp"

#include <algorithm>

#include "quantity/error.hpp"

namespace railseep {

namespace {

using Change = FaultKind::Change;
using Law = FaultKind::Law;
constexpr LeakClass none = LeakClass::hole;

// Typical severities are assumed; a site's own "least" and "most" come before them.
constexpr FaultKind kinds[] = {
    {"hole", "site", Change::opens_leak, LeakClass::hole, "", Quantity::length, "mm", Law::hole, true, 0, 1e-4, 3e-3,
     "a sharp-edged leak: follows the square root of pressure, hardly feels oil temperature"},
    {"gap", "site", Change::opens_leak, LeakClass::gap, "", Quantity::length, "um", Law::film, true, 0, 1e-5, 2e-4,
     "a worn or hardened seal's clearance: follows pressure over viscosity, so far worse hot"},
    {"lifting seal", "site", Change::opens_leak, LeakClass::lifting_seal, "", Quantity::length, "mm", Law::hole, true,
     0, 2e-4, 3e-3, "a seal that holds shop air and opens at cranking pressure"},
    {"wear", "pump", Change::multiplies, none, "wear", Quantity::ratio, "x", Law::film, true, 1, 2, 40,
     "slip through worn clearances, as a multiple of the slip when new: low plateau that rises with cranking speed"},
    {"lost capacity", "pump", Change::sets, none, "lost_capacity", Quantity::ratio, "%", Law::other, true, 0, 0.1, 0.9,
     "pistons or ports that no longer deliver: less flow hot and cold alike"},
    {"drive lost", "pump", Change::multiplies, none, "drive_ratio", Quantity::ratio, "%", Law::other, false, 1, 0, 0.5,
     "the gear slips on its shaft: so much of the pump's speed is left"},
    {"inlet blocked", "pump", Change::sets, none, "inlet_blocked", Quantity::ratio, "%", Law::other, true, 0, 0.95,
     0.9995, "plugged screen before the pump: worst with cold oil and at high speed"},
    {"stuck open", "regulator", Change::sets, none, "stuck_open", Quantity::ratio, "%", Law::opening, true, 0, 0.005,
     0.5, "the regulator cannot shut: low pressure at the duty ceiling, duty has no effect"},
    {"stuck closed", "regulator", Change::sets, none, "stuck_closed", Quantity::ratio, "%", Law::other, false, 0, 0.5,
     1, "the regulator cannot open: pressure far above what is wanted"},
    {"seat leak", "regulator", Change::sets, none, "seat_leak", Quantity::length, "mm", Law::hole, true, 0, 1e-4, 2e-3,
     "worn or scored seat: leaks even when fully closed"},
    {"sticking", "regulator", Change::sets, none, "friction", Quantity::ratio, "%", Law::other, false, 0, 0.05, 0.4,
     "friction of the spool: pressure hunts, and answers up and down differently"},
    {"screen plugged", "regulator", Change::sets, none, "screen_blocked", Quantity::ratio, "%", Law::other, false, 0,
     0.95, 0.999, "the screen before its pilot stage is plugged: slow to build, overshoots on the way down"},
    {"coil open", "regulator", Change::multiplies, none, "resistance", Quantity::ratio, "x", Law::other, true, 1, 100,
     10000, "broken coil wire: full duty, no current, hardly any pressure"},
    {"no current", "regulator", Change::sets, none, "wiring", Quantity::ratio, "%", Law::other, true, 1, 0, 0.5,
     "plug, wire or fuse: only so much of the voltage reaches the coil"},
    {"grounded", "regulator", Change::sets, none, "grounded", Quantity::ratio, "%", Law::other, false, 0, 0.5, 1,
     "the control wire touches ground: full current whatever the duty says"},
    {"seat leak", "check valve", Change::sets, none, "seat_leak", Quantity::length, "mm", Law::hole, false, 0, 1e-4,
     3e-3, "oil runs back through it after key-off"},
    {"bias", "sensor", Change::adds, none, "bias", Quantity::pressure, "psi", Law::other, false, 0, 5e5, 3e6,
     "the sensor reads so much too high (negative: too low): the oil side may be healthy"},
    {"hot drift", "sensor", Change::sets, none, "hot_drift", Quantity::pressure, "psi", Law::other, false, 0, 5e3, 4e4,
     "the sensor reads so much higher for each K above 20 degC: good cold, wrong hot"},
    {"wire broken", "sensor", Change::sets, none, "open_circuit", Quantity::ratio, "%", Law::other, false, 0, 0.9, 1,
     "no signal: the module shows its default pressure and runs on what it wants"},
    {"worn spools", "injector", Change::multiplies, none, "clearance", Quantity::ratio, "x", Law::film, true, 1, 1.2, 4,
     "static leakage of all injectors of a rail, as a multiple of their clearance when new"},
    {"weak shots", "injector", Change::sets, none, "shot_share", Quantity::ratio, "%", Law::other, false, 1, 0, 0.8,
     "spools stick or are not driven: so much of each shot is taken; an electrical or fuel cause, not a leak"},
    {"relief stuck", "lube pump", Change::sets, none, "relief_stuck", Quantity::ratio, "%", Law::other, true, 0, 0.5, 1,
     "the lube relief stands open: the high-pressure pump is not fed"},
    {"wear", "lube pump", Change::multiplies, none, "wear", Quantity::ratio, "x", Law::film, true, 1, 5, 200,
     "worn lube pump: low base oil pressure, worst hot"},
    {"plugged", "screen", Change::sets, none, "blocked", Quantity::ratio, "%", Law::other, true, 0, 0.9, 0.9999,
     "plugged filter or screen: worst with cold oil"},
    {"low supply", "supply", Change::sets, none, "free_air", Quantity::ratio, "%", Law::other, true, 0, 0.6, 0.97,
     "hardly any oil comes to the pump: so much of what it draws is air"},
    {"froth", "supply", Change::sets, none, "free_air", Quantity::ratio, "%", Law::other, true, 0, 0.05, 0.3,
     "the level is low and the pickup draws so much air"},
    {"low level", "reservoir", Change::sets, none, "missing", Quantity::ratio, "%", Law::other, true, 0, 0.5, 0.99,
     "the reservoir is not full when cranking begins: so much is missing"},
    {"fuel in the oil", "engine", Change::sets, none, "fuel_in_oil", Quantity::ratio, "%", Law::other, true, 0, 0.03,
     0.2, "diluted oil: every clearance leaks more, as if all were worn"},
    {"wrong oil", "engine", Change::sets, none, "oil_thickness", Quantity::ratio, "x", Law::other, false, 1, 0.3, 8,
     "the oil's viscosity as a multiple of the right grade's"},
    {"aerated oil", "engine", Change::sets, none, "air_in_oil", Quantity::ratio, "%", Law::other, true, 0, 0.02, 0.2,
     "all oil carries bubbles: slow to build, soft and unsteady"},
    {"air left", "engine", Change::sets, none, "air_left", Quantity::ratio, "%", Law::other, true, 0, 0.1, 0.6,
     "air left in the passages by a repair: the first starts take long, then it is normal"},
    {"slow cranking", "engine", Change::sets, none, "cranking_speed", Quantity::ratio, "%", Law::other, false, 1, 0.4,
     0.85, "weak batteries or starter: the pump turns so much slower"},
    {"no sync", "engine", Change::sets, none, "synchronised", Quantity::ratio, "", Law::other, false, 1, 0, 0.4,
     "the module does not know where the engine stands: no injection at good pressure; not the oil side"},
    {"driver dead", "engine", Change::sets, none, "regulator_driver", Quantity::ratio, "", Law::other, false, 1, 0, 0.4,
     "the module's output for the regulator is dead: the duty stays at its floor"},
};

/// Tanks that a pump draws from.
std::vector<int> supplies(const Circuit& circuit) {
  std::vector<int> all;
  for (const Link& link : circuit.links)
    if ((std::holds_alternative<Pump>(link.element) || std::holds_alternative<LubePump>(link.element)) &&
        circuit.nodes[link.from].tank)
      all.push_back(link.from);
  return all;
}

/// Whether this place of the circuit can have that kind of fault.
bool can_have(const Circuit& circuit, const std::string& place, const FaultKind& kind) {
  if (kind.change == Change::opens_leak)
    return std::ranges::any_of(circuit.sites, [&](const Site& site) {
      return site.name == place &&
             std::ranges::any_of(site.leaks, [&](const Leak& leak) { return leak.kind == kind.leak; });
    });
  if (kind.applies_to == "engine") return place == "engine";
  if (kind.applies_to == "supply")
    return std::ranges::any_of(supplies(circuit), [&](int tank) { return circuit.nodes[tank].name == place; });
  if (kind.applies_to == "reservoir")
    return std::ranges::any_of(circuit.nodes, [&](const Node& node) { return node.reservoir && node.name == place; });
  return std::ranges::any_of(
      circuit.links, [&](const Link& link) { return link.name == place && kind.applies_to == kind_of(link.element); });
}

std::string listed_kinds(const std::vector<PossibleFault>& all, const std::string& place) {
  std::string text;
  for (const PossibleFault& fault : all)
    if (fault.place == place) text += (text.empty() ? "\"" : ", \"") + std::string(fault.kind->word) + "\"";
  return text;
}

void open_leak(Circuit& circuit, const Site& site, const FaultKind& kind, const Fault& fault) {
  Link link;
  link.name = leak_name(fault);
  link.from = site.node;
  link.to = site.to;
  link.source = "fault";
  const auto leak =
      std::find_if(site.leaks.begin(), site.leaks.end(), [&](const Leak& l) { return l.kind == kind.leak; });
  switch (kind.leak) {
    case LeakClass::hole:
      link.element = Hole{};
      break;
    case LeakClass::gap:
      link.element = Gap{leak->width, 0, leak->length, 0, 1};
      break;
    case LeakClass::lifting_seal:
      link.element = LiftingSeal{0, leak->opening_pressure, leak->full_pressure};
      break;
  }
  set_parameter(link.element, kind.leak == LeakClass::gap ? "clearance" : "diameter", fault.severity);
  circuit.links.push_back(std::move(link));
}

/// Widest passage that brings oil to a place [m]; 0: none does.
double widest_passage(const Circuit& circuit, const Site& site) {
  double widest = 0;
  for (const Link& link : circuit.links)
    if (const auto* passage = std::get_if<Passage>(&link.element);
        passage && (link.from == site.node || link.to == site.node))
      widest = std::max(widest, passage->diameter);
  return widest;
}

/// A hole wider than what feeds it is no leak any more, and was most likely written in another unit.
void check_fits_passage(const Circuit& circuit, const Fault& fault, const FaultKind& kind) {
  if (kind.change != Change::opens_leak || kind.leak == LeakClass::gap) return;
  const double widest =
      widest_passage(circuit, circuit.sites[static_cast<std::size_t>(circuit.find_site(fault.place))]);
  if (widest > 0 && fault.severity > widest)
    throw Error("fault at \"" + fault.place + "\"",
                "a " + fault.kind + " of " + format_quantity(fault.severity, kind.quantity, kind.unit) +
                    " is wider than the passage that feeds it, " + format_quantity(widest, kind.quantity, kind.unit),
                "write less, such as \"" + format_quantity(kind.least, kind.quantity, kind.unit) + "\"");
}

double changed(double before, const FaultKind& kind, double severity) {
  return kind.change == Change::sets         ? severity
         : kind.change == Change::multiplies ? before * severity
                                             : before + severity;
}

template <class Part>
void change_number(Part& part, const FaultKind& kind, double severity) {
  set_parameter(part, kind.key, changed(get_parameter(part, kind.key), kind, severity));
}

void change_node(Node& node, const FaultKind& kind, double severity) {
  if (!(severity >= 0 && severity <= 0.99))
    throw Error(std::string(kind.key), format_quantity(severity, kind.quantity, kind.unit) + " is out of range",
                "write 0 % to 99 %");
  (kind.key == "missing" ? node.missing : node.free_air) = severity;
}

}  // namespace

std::span<const FaultKind> fault_kinds() { return kinds; }

std::string leak_name(const Fault& fault) { return fault.place + ": " + fault.kind; }

std::vector<PossibleFault> possible_faults(const Circuit& circuit) {
  std::vector<PossibleFault> all;
  for (const Site& site : circuit.sites)
    for (const Leak& leak : site.leaks)
      for (const FaultKind& kind : kinds)
        if (kind.change == Change::opens_leak && kind.leak == leak.kind)
          all.push_back({site.name, &kind, leak.least, leak.most, site.access, site.labour});
  for (const Link& link : circuit.links)
    for (const FaultKind& kind : kinds)
      if (kind.applies_to == kind_of(link.element))
        all.push_back({link.name, &kind, kind.least, kind.most, link.access, link.labour});
  for (const FaultKind& kind : kinds) {
    if (kind.applies_to == "supply")
      for (const int tank : supplies(circuit))
        all.push_back({circuit.nodes[tank].name, &kind, kind.least, kind.most, "", 0});
    if (kind.applies_to == "reservoir")
      for (const Node& node : circuit.nodes)
        if (node.reservoir) all.push_back({node.name, &kind, kind.least, kind.most, "", 0});
    if (kind.applies_to == "engine") all.push_back({"engine", &kind, kind.least, kind.most, "", 0});
  }
  return all;
}

const FaultKind& kind_of(const Fault& fault, const Circuit& circuit) {
  for (const FaultKind& kind : kinds)
    if (kind.word == fault.kind && can_have(circuit, fault.place, kind)) return kind;
  const std::vector<PossibleFault> all = possible_faults(circuit);
  std::vector<std::string> places;
  for (const PossibleFault& possible : all)
    if (std::find(places.begin(), places.end(), possible.place) == places.end()) places.push_back(possible.place);
  if (std::find(places.begin(), places.end(), fault.place) != places.end())
    throw Error("fault", "\"" + fault.place + "\" has no fault \"" + fault.kind + "\"",
                "it can have " + listed_kinds(all, fault.place));
  const std::string near = nearest_word(fault.place, places);
  std::string listed;
  for (const std::string& place : places) listed += (listed.empty() ? "\"" : ", \"") + place + "\"";
  throw Error("fault", "there is no place \"" + fault.place + "\" in this circuit",
              near.empty() ? "write one of " + listed : "did you mean \"" + near + "\"");
}

Fault parse_fault(const std::string& text, const Circuit& circuit) {
  const std::size_t colon = text.find(": ");
  if (colon == std::string::npos)
    throw Error("fault", "\"" + text + "\" has no \": \"",
                "write PLACE: KIND SIZE, such as \"left rail end plug: hole 0.5 mm\"");
  Fault fault{text.substr(0, colon), "", 0};
  const std::string rest = text.substr(colon + 2);
  // The kind is the longest word that the rest begins with; what follows is the severity.
  for (const FaultKind& kind : kinds)
    if (rest.starts_with(kind.word) && rest.size() > kind.word.size() && rest[kind.word.size()] == ' ' &&
        kind.word.size() > fault.kind.size())
      fault.kind = kind.word;
  if (fault.kind.empty()) {
    const std::size_t number = rest.find_first_of("0123456789-+.");
    fault.kind = rest.substr(
        0, number == std::string::npos || number == 0 ? std::string::npos : rest.find_last_not_of(' ', number - 1) + 1);
    const std::vector<PossibleFault> all = possible_faults(circuit);
    const FaultKind& kind = kind_of(fault, circuit);  // throws, unless only the severity is missing
    throw Error("fault", "\"" + text + "\" has no size",
                "write one such as \"" + format_quantity(kind.least, kind.quantity, kind.unit) + "\"");
  }
  const FaultKind& kind = kind_of(fault, circuit);
  try {
    fault.severity = parse_quantity(std::string_view(rest).substr(fault.kind.size() + 1), kind.quantity);
  } catch (const Error& error) {
    throw error.within("fault \"" + text + "\"");
  }
  check_fits_passage(circuit, fault, kind);
  return fault;
}

std::string fault_text(const Fault& fault, const Circuit& circuit) {
  const FaultKind& kind = kind_of(fault, circuit);
  return fault.place + ": " + fault.kind + " " + format_quantity(fault.severity, kind.quantity, kind.unit, 3);
}

Circuit with_faults(const Circuit& circuit, std::span<const Fault> faults) {
  Circuit faulty = circuit;
  for (const Fault& fault : faults) {
    const FaultKind& kind = kind_of(fault, circuit);
    try {
      if (kind.change == Change::opens_leak)
        open_leak(faulty, faulty.sites[faulty.find_site(fault.place)], kind, fault);
      else if (kind.applies_to == "engine")
        change_number(faulty.engine, kind, fault.severity);
      else if (kind.applies_to == "supply" || kind.applies_to == "reservoir")
        change_node(faulty.nodes[faulty.find_node(fault.place)], kind, fault.severity);
      else
        change_number(faulty.links[faulty.find_link(fault.place)].element, kind, fault.severity);
    } catch (const Error& error) {
      throw error.within("fault at \"" + fault.place + "\"");
    }
  }
  return faulty;
}

}  // namespace railseep

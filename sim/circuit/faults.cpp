#include "circuit/faults.hpp"

#include <algorithm>

#include "quantity/error.hpp"

namespace railseep {

namespace {

using Change = FaultKind::Change;
constexpr LeakClass none = LeakClass::hole;

// Typical severities are assumed; a site's own "least" and "most" come before them.
constexpr FaultKind kinds[] = {
    {"hole", "site", Change::opens_leak, LeakClass::hole, "", Quantity::length, "mm", 1e-4, 3e-3,
     "a sharp-edged leak: follows the square root of pressure, hardly feels oil temperature"},
    {"gap", "site", Change::opens_leak, LeakClass::gap, "", Quantity::length, "um", 1e-5, 2e-4,
     "a worn or hardened seal's clearance: follows pressure over viscosity, so far worse hot"},
    {"lifting seal", "site", Change::opens_leak, LeakClass::lifting_seal, "", Quantity::length, "mm", 2e-4, 3e-3,
     "a seal that holds shop air and opens at cranking pressure"},
    {"wear", "pump", Change::multiplies, none, "wear", Quantity::ratio, "x", 2, 40,
     "slip through worn clearances, as a multiple of the slip when new: low plateau that rises with cranking speed"},
    {"lost capacity", "pump", Change::sets, none, "lost_capacity", Quantity::ratio, "%", 0.1, 0.9,
     "pistons or ports that no longer deliver: less flow hot and cold alike"},
    {"stuck open", "regulator", Change::sets, none, "stuck_open", Quantity::ratio, "%", 0.005, 0.5,
     "the regulator can not shut: low pressure at the duty ceiling, duty has no effect"},
    {"stuck closed", "regulator", Change::sets, none, "stuck_closed", Quantity::ratio, "%", 0.5, 1,
     "the regulator can not open: pressure far above what is wanted"},
    {"seat leak", "regulator", Change::sets, none, "seat_leak", Quantity::length, "mm", 1e-4, 2e-3,
     "worn or scored seat: leaks even when fully closed"},
    {"seat leak", "check valve", Change::sets, none, "seat_leak", Quantity::length, "mm", 1e-4, 3e-3,
     "oil runs back through it after key-off"},
    {"bias", "sensor", Change::adds, none, "bias", Quantity::pressure, "psi", 5e5, 3e6,
     "the sensor reads so much too high (negative: too low): the oil side may be healthy"},
    {"worn spools", "gap", Change::multiplies, none, "clearance", Quantity::ratio, "x", 1.2, 4,
     "static leakage of all injectors of a rail, as a multiple of their clearance when new"},
};

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
  const auto leak = std::find_if(site.leaks.begin(), site.leaks.end(), [&](const Leak& l) { return l.kind == kind.leak; });
  switch (kind.leak) {
    case LeakClass::hole: link.element = Hole{}; break;
    case LeakClass::gap: link.element = Gap{leak->width, 0, leak->length, 0, 1}; break;
    case LeakClass::lifting_seal: link.element = LiftingSeal{0, leak->opening_pressure, leak->full_pressure}; break;
  }
  set_parameter(link.element, kind.leak == LeakClass::gap ? "clearance" : "diameter", fault.severity);
  circuit.links.push_back(std::move(link));
}

void change_number(Element& element, const FaultKind& kind, double severity) {
  const double before = get_parameter(element, kind.key);
  const double after = kind.change == Change::sets ? severity : kind.change == Change::multiplies ? before * severity : before + severity;
  set_parameter(element, kind.key, after);
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
      if (kind.applies_to == kind_of(link.element)) all.push_back({link.name, &kind, kind.least, kind.most, link.access, link.labour});
  return all;
}

const FaultKind& kind_of(const Fault& fault, const Circuit& circuit) {
  const std::vector<PossibleFault> all = possible_faults(circuit);
  std::vector<std::string> places, words;
  for (const PossibleFault& possible : all) {
    if (possible.place == fault.place && possible.kind->word == fault.kind) return *possible.kind;
    if (std::find(places.begin(), places.end(), possible.place) == places.end()) places.push_back(possible.place);
  }
  if (std::find(places.begin(), places.end(), fault.place) != places.end())
    throw Error("fault", "\"" + fault.place + "\" has no fault \"" + fault.kind + "\"", "it can have " + listed_kinds(all, fault.place));
  const std::string near = nearest_word(fault.place, places);
  std::string listed;
  for (const std::string& place : places) listed += (listed.empty() ? "\"" : ", \"") + place + "\"";
  throw Error("fault", "there is no place \"" + fault.place + "\" in this circuit",
              near.empty() ? "write one of " + listed : "did you mean \"" + near + "\"");
}

Fault parse_fault(const std::string& text, const Circuit& circuit) {
  const std::size_t colon = text.find(": ");
  if (colon == std::string::npos)
    throw Error("fault", "\"" + text + "\" has no \": \"", "write PLACE: KIND SIZE, such as \"left rail end plug: hole 0.5 mm\"");
  Fault fault{text.substr(0, colon), "", 0};
  const std::string rest = text.substr(colon + 2);
  // The kind is the longest word that the rest begins with; what follows is the severity.
  for (const FaultKind& kind : kinds)
    if (rest.starts_with(kind.word) && rest.size() > kind.word.size() && rest[kind.word.size()] == ' ' && kind.word.size() > fault.kind.size())
      fault.kind = kind.word;
  if (fault.kind.empty()) {
    const std::size_t number = rest.find_first_of("0123456789-+.");
    fault.kind = rest.substr(0, number == std::string::npos || number == 0 ? std::string::npos : rest.find_last_not_of(' ', number - 1) + 1);
    const std::vector<PossibleFault> all = possible_faults(circuit);
    const FaultKind& kind = kind_of(fault, circuit);  // throws, unless only the severity is missing
    throw Error("fault", "\"" + text + "\" has no size", "write one such as \"" + format_quantity(kind.least, kind.quantity, kind.unit) + "\"");
  }
  const FaultKind& kind = kind_of(fault, circuit);
  try {
    fault.severity = parse_quantity(std::string_view(rest).substr(fault.kind.size() + 1), kind.quantity);
  } catch (const Error& error) {
    throw error.within("fault \"" + text + "\"");
  }
  return fault;
}

std::string fault_text(const Fault& fault, const Circuit& circuit) {
  const FaultKind& kind = kind_of(fault, circuit);
  return fault.place + ": " + fault.kind + " " + format_quantity(fault.severity, kind.quantity, kind.unit, 3);
}

Circuit with_faults(const Circuit& circuit, std::span<const Fault> faults) {
  Circuit changed = circuit;
  for (const Fault& fault : faults) {
    const FaultKind& kind = kind_of(fault, circuit);
    try {
      if (kind.change == Change::opens_leak)
        open_leak(changed, changed.sites[changed.find_site(fault.place)], kind, fault);
      else
        change_number(changed.links[changed.find_link(fault.place)].element, kind, fault.severity);
    } catch (const Error& error) {
      throw error.within("fault at \"" + fault.place + "\"");
    }
  }
  return changed;
}

}  // namespace railseep

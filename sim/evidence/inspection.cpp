#include "evidence/inspection.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "evidence/looks_text.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

constexpr double meter = 0.05,
                 coil_spread = 0.08;       // of ln(ohm): reading and leads, coils from one to the next; assumed
constexpr double wrong_ohms_share = 0.03;  // share of resistances that are simply wrong
constexpr double decades = 14;             // ln of the range that those fall in: 0.1 ohm to 100 kohm

double read_share(JsonFields& fields, const char* key) {
  const double share = fields.quantity(key, Quantity::ratio);
  if (!(share > 0 && share < 1))
    throw Error(fields.place_of(key), "no look is that sure", "write a share between 0 and 1, such as 0.05");
  return share;
}

/// A word of a fault, and of the part it is of, as the catalogue has them.
void check_fault(const Seen& seen, const JsonFields& fields) {
  std::vector<std::string> words, parts;
  for (const FaultKind& kind : fault_kinds()) {
    words.emplace_back(kind.word);
    if (kind.word == seen.fault) parts.emplace_back(kind.applies_to);
  }
  const auto refuse = [&](const char* key, const std::string& wrong, const std::vector<std::string>& known) {
    const std::string near = nearest_word(wrong, known);
    throw Error(fields.place_of(key), "there is no \"" + wrong + "\" among the faults",
                near.empty() ? "see `railseep faults`" : "did you mean \"" + near + "\"");
  };
  if (!seen.fault.empty() && parts.empty()) refuse("fault", seen.fault, words);
  if (!seen.applies_to.empty() && std::ranges::find(parts, seen.applies_to) == parts.end())
    refuse("applies_to", seen.applies_to, parts);
}

Seen read_seen(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  Seen seen{fields.text("fault", ""), fields.text("applies_to", ""), fields.text("place", ""),
            read_share(fields, "bad")};
  check_fault(seen, fields);
  fields.finish();
  return seen;
}

InspectionKind read_look(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  InspectionKind kind{fields.text("word"),
                      fields.text("question"),
                      read_share(fields, "false_alarm"),
                      0,
                      fields.flag("at_place", false),
                      {}};
  kind.false_alarm_described =
      fields.has("false_alarm_described") ? read_share(fields, "false_alarm_described") : kind.false_alarm;
  fields.each(
      "sees", [&](const Json& seen, const std::string& at) { kind.sees.push_back(read_seen(seen, at)); }, true);
  fields.text("source");
  fields.finish();
  return kind;
}

bool sees(const Seen& seen, std::string_view fault, std::string_view applies_to, const std::string& place) {
  return (seen.fault.empty() || seen.fault == fault) && (seen.applies_to.empty() || seen.applies_to == applies_to) &&
         place.find(seen.place) != std::string::npos;
}

/// Is it the place, or opened with it?
bool at(const std::string& place, const Fault& fault, const Circuit& circuit) {
  if (fault.place == place) return true;
  for (const Site& site : circuit.sites)
    if (site.name == fault.place) return site.access == place;
  for (const Link& link : circuit.links)
    if (link.name == fault.place) return link.access == place;
  return false;
}

void check_place(const Inspection& checked, const InspectionKind& kind, const Circuit& circuit) {
  if (!kind.at_place) return;
  std::vector<std::string> known;
  for (const Access& access : circuit.access) known.push_back(access.name);
  for (const Site& site : circuit.sites) known.push_back(site.name);
  for (const Link& link : circuit.links) known.push_back(link.name);
  if (std::ranges::find(known, checked.place) != known.end()) return;
  const std::string near = nearest_word(checked.place, known);
  throw Error(checked.check, "there is no place \"" + checked.place + "\" in this circuit",
              near.empty() ? "name a site, a link or an access group" : "did you mean \"" + near + "\"");
}

/// Probability that a look shows a fault.
double shown_by(const InspectionKind& kind, const Fault& fault, const Circuit& circuit) {
  double bad = 0;
  for (const Seen& seen : kind.sees)
    if (sees(seen, fault.kind, kind_of(fault, circuit).applies_to, fault.place)) bad = std::max(bad, seen.bad);
  return bad;
}

double resistance_log_likelihood(double measured, const Circuit& circuit) {
  const int link = circuit.only<Regulator>();
  if (link < 0) return 0;
  const double computed = std::get<Regulator>(circuit.links[link].element).hot_resistance();
  const double sd = std::hypot(meter, coil_spread), z = std::log(measured / computed) / sd;
  return std::log((1 - wrong_ohms_share) * std::exp(-0.5 * z * z) / (sd * std::sqrt(2 * std::numbers::pi)) +
                  wrong_ohms_share / decades);
}

}  // namespace

std::vector<InspectionKind> parse_looks(const std::string& text, const std::string& file) {
  const Json json = parse_json(text, file);
  JsonFields fields = JsonFields::top(json, file);
  if (fields.text("railseep") != "looks")
    throw Error(fields.place_of("railseep"), "this is not a file of looks", "write \"railseep\": \"looks\"");
  fields.text("source");
  std::vector<InspectionKind> all;
  fields.each(
      "looks",
      [&](const Json& look, const std::string& at) {
        InspectionKind kind = read_look(look, at);
        if (std::ranges::find(all, kind.word, &InspectionKind::word) != all.end())
          throw Error(at + "/word", "\"" + kind.word + "\" stands twice", "remove one");
        all.push_back(std::move(kind));
      },
      true);
  fields.finish();
  return all;
}

std::span<const InspectionKind> inspection_kinds() {
  static const std::vector<InspectionKind> shipped = parse_looks(looks_text, "models/looks.json");
  return shipped;
}

const InspectionKind& find_inspection_kind(std::string_view word) {
  std::vector<std::string> words;
  std::string listed;
  for (const InspectionKind& kind : inspection_kinds()) {
    if (kind.word == word) return kind;
    words.emplace_back(kind.word);
    listed += (listed.empty() ? "\"" : ", \"") + words.back() + "\"";
  }
  const std::string near = nearest_word(word, words);
  throw Error("check", "there is no check \"" + std::string(word) + "\"",
              near.empty() ? "write one of " + listed : "did you mean \"" + near + "\"");
}

double bad_probability(const Inspection& checked, const Circuit& circuit, std::span<const Fault> faults) {
  const InspectionKind& kind = find_inspection_kind(checked.check);
  check_place(checked, kind, circuit);
  double good = 1 - (checked.bad && checked.described ? kind.false_alarm_described : kind.false_alarm);
  for (const Fault& fault : faults) {
    if (kind.at_place && !at(checked.place, fault, circuit)) continue;
    good *= 1 - shown_by(kind, fault, circuit);
  }
  return 1 - good;
}

double visibility(const Fault& fault, const Circuit& circuit) {
  return shown_by(find_inspection_kind("seen"), fault, circuit);
}

bool shows(const Inspection& checked, const Circuit& circuit, const Fault& fault) {
  return bad_probability(checked, circuit, {&fault, 1}) > 0.5;
}

bool could_see(const InspectionKind& kind, const Circuit& circuit, std::string_view place) {
  return std::ranges::any_of(possible_faults(circuit), [&](const PossibleFault& fault) {
    if (!place.empty() && fault.place != place && fault.access != place) return false;
    return std::ranges::any_of(
        kind.sees, [&](const Seen& seen) { return sees(seen, fault.kind->word, fault.kind->applies_to, fault.place); });
  });
}

double log_likelihood(const Inspection& checked, const Circuit& faulty, std::span<const Fault> faults) {
  if (checked.resistance) return resistance_log_likelihood(*checked.resistance, faulty);
  const double bad = bad_probability(checked, faulty, faults);
  return std::log(checked.bad ? bad : 1 - bad);
}

}  // namespace railseep

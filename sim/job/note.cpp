#include "job/note.hpp"

#include <algorithm>
#include <filesystem>

#include "decide/check_reading.hpp"
#include "decide/showing.hpp"
#include "procedure/isolate.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr const char* how_to = "write what was done and what it showed, such as \"isolation: 1900 psi\"";

/// "felted over" of "bad, felted over"; the word itself in `good`.
std::optional<std::string> after_verdict(const std::string& text, bool& bad) {
  for (const auto& [word, is_bad] : {std::pair(std::string("good"), false), std::pair(std::string("bad"), true)}) {
    if (!text.starts_with(word)) continue;
    bad = is_bad;
    const std::size_t from = text.find_first_not_of(" ,;:", word.size());
    if (from == std::string::npos) return std::string();
    if (from > word.size()) return text.substr(from);
  }
  return std::nullopt;
}

/// As the check is done: hot, as it cranks in the hottest log, with what it plugs.
LogCondition condition_of(const CheckReading& read, const std::string& check, const Evidence& evidence) {
  LogCondition condition;
  if (read.done == Situation::Done::key_on) return condition;
  condition.oil_temperature = hot_oil;
  const auto hottest = std::ranges::max_element(evidence.logs, {},
                                                [](const CrankEvidence& log) { return log.condition.oil_temperature; });
  if (hottest != evidence.logs.end() && hottest->condition.oil_temperature > hot_from) {
    condition.oil_temperature = hottest->condition.oil_temperature;
    condition.speed = hottest->condition.speed.at(0.8 * hottest->duration);
  }
  const std::string one_rail = "one rail: ";
  condition.block = check.starts_with(one_rail) ? check.substr(one_rail.size()) : std::string(read.block);
  return condition;
}

const Check* find_check(const Checks& checks, const std::string& id) {
  const std::string first = id.substr(0, id.find(": "));
  const auto found = std::ranges::find(checks.checks, first, &Check::id);
  return found == checks.checks.end() ? nullptr : &*found;
}

/// A reading that a check asks for, as a number with its unit.
std::string take_reading(Job& job, const Circuit& circuit, const Evidence& evidence, const Check& check,
                         const CheckReading& read, const std::string& id, const std::string& text,
                         std::optional<double> oil_temperature) {
  JobReading reading;
  reading.kind = read.kind;
  reading.value = parse_quantity(text, kind_quantity(read.kind));
  reading.moment = read.done == Situation::Done::key_on ? Moment::key_on : Moment::cranking;
  reading.tolerance = read.tolerance(check, reading.value);
  reading.condition = condition_of(read, id, evidence);
  if (oil_temperature) reading.condition.oil_temperature = oil_temperature;
  if (!reading.condition.block.empty()) blocked(circuit, reading.condition.block);
  if (read.done == Situation::Done::crank)
    reading.cranked = reading.condition.block.empty() ? check_crank : plugged_crank;
  reading.when = check.name + ": " + text;
  reading.check = id;
  job.readings.push_back(reading);
  std::string said = text + " is a reading now";
  if (reading.condition.oil_temperature)
    said += ", taken at " + format_quantity(*reading.condition.oil_temperature, Quantity::temperature, "degC", 2);
  if (!reading.condition.block.empty()) said += ", " + reading.condition.block + " plugged";
  return said;
}

bool is_place(const Circuit& circuit, const std::string& name) {
  return std::ranges::any_of(circuit.sites, [&](const Site& site) { return site.name == name; }) ||
         std::ranges::any_of(circuit.links, [&](const Link& link) { return link.name == name; }) ||
         std::ranges::any_of(circuit.access, [&](const Access& access) { return access.name == name; });
}

}  // namespace

std::string take_note(Job& job, const Circuit& circuit, const Evidence& evidence, const Checks& checks,
                      const std::string& line, std::optional<double> oil_temperature) {
  const std::size_t colon = line.rfind(": ");
  if (colon == std::string::npos || colon == 0) throw Error("note", "\"" + line + "\" has no \": \"", how_to);
  const std::string what = line.substr(0, colon);
  std::string text = line.substr(colon + 2);
  if (what == "started") {
    if (text != "yes" && text != "no") throw Error("note, started", "\"" + text + "\" is neither", "write yes or no");
    JobStart start;
    start.started = text == "yes";
    start.condition.oil_temperature = oil_temperature;
    job.starts.push_back(start);
    return "that it " + std::string(start.started ? "started" : "did not start") + " is evidence now";
  }
  if (what == "after") {
    JobLog log;
    log.file = text, log.stage = Stage::after;
    log.condition.name = "after the repair: " + std::filesystem::path(text).stem().string();
    log.condition.oil_temperature = oil_temperature;
    job.logs.push_back(std::move(log));
    return text + " is a log from after the repair; railseep proof says what it proves";
  }
  if (const std::optional<CheckReading> read = reading_of_check(what); read && find_check(checks, what)) {
    return take_reading(job, circuit, evidence, *find_check(checks, what), *read, what, text, oil_temperature);
  }
  bool bad = false;
  if (const std::optional<std::string> words = after_verdict(text, bad)) {
    const bool place = is_place(circuit, what);
    JobFinding finding{place ? "seen" : find_inspection_kind(what).word, *words, bad, place ? what : ""};
    job.findings.push_back(finding);
    return what + ", " + (bad ? "bad" : "good") + ", is evidence now";
  }
  job.findings.push_back({what, text});
  return "kept in words; the match does not use it (a number with its unit, good or bad, started: yes would be used)";
}

}  // namespace railseep

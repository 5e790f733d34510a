#include "job/noted_checks.hpp"

#include <algorithm>

#include "quantity/error.hpp"

namespace railseep {

std::string noted_check(const JobFinding& finding) {
  if (!finding.done.empty()) return finding.done;
  return finding.in_words() ? std::string() : check_of_look(finding.check, finding.place);
}

void check_done_id(const std::string& id, const std::string& place) {
  const std::string first = id.substr(0, id.find(": "));  // "one rail: left rail" is one of several
  if (std::ranges::find(check_ids(), first) != check_ids().end()) return;
  const std::string near = nearest_word(first, std::vector<std::string>(check_ids().begin(), check_ids().end()));
  throw Error(place, "there is no check \"" + id + "\"",
              near.empty() ? "write the id of a check of models/checks.json" : "did you mean \"" + near + "\"");
}

std::vector<std::string> noted_checks(const Job& job) {
  Job told;
  told.readings = job.readings, told.findings = job.findings, told.air_tests = job.air_tests;
  std::vector<std::string> noted = done_checks(evidence_of(told, {}));
  for (const JobFinding& finding : job.findings) noted.push_back(noted_check(finding));
  for (const JobReading& reading : job.readings) noted.push_back(reading.check);
  std::erase(noted, "");
  std::ranges::sort(noted);
  noted.erase(std::unique(noted.begin(), noted.end()), noted.end());
  return noted;
}

Shop shop_of(const Job& job, const Evidence& evidence) {
  Shop shop;
  shop.open = job.open, shop.set_up = job.set_up;
  const Observations& told = evidence.observations;
  for (const Inspection& checked : told.checks)
    if (checked.bad && checked.described) shop.seen.push_back(checked);
  const auto started = [](const Started& start) { return start.started; };
  const auto cold = [](const Started& start) { return start.situation.oil_temperature < hot_from; };
  shop.can_warm =
      std::ranges::any_of(told.starts, started) || told.starts.empty() || !std::ranges::all_of(told.starts, cold);
  return shop;
}

}  // namespace railseep

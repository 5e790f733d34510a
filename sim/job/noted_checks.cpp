#include "job/noted_checks.hpp"

#include <algorithm>

#include "decide/check.hpp"

namespace railseep {

std::string noted_check(const JobFinding& finding) {
  const std::string first =
      finding.check.substr(0, finding.check.find(": "));  // "one rail: left rail" is one of several
  if (std::ranges::find(check_ids(), first) != check_ids().end()) return finding.check;
  return finding.in_words() ? std::string() : std::string(check_of_look(finding.check));
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

}  // namespace railseep

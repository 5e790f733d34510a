#include "job/noted_checks.hpp"

#include <algorithm>

#include "decide/check.hpp"

namespace railseep {

std::vector<std::string> noted_checks(const Job& job) {
  std::vector<std::string> noted;
  for (const JobFinding& finding : job.findings) {
    const std::string first = finding.check.substr(0, finding.check.find(": "));  // "one rail: left rail" is one of several
    if (std::ranges::find(check_ids(), first) != check_ids().end()) noted.push_back(finding.check);
  }
  std::ranges::sort(noted);
  noted.erase(std::unique(noted.begin(), noted.end()), noted.end());
  return noted;
}

}  // namespace railseep

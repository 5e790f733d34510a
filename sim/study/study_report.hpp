#pragma once

#include <string>
#include <vector>

#include "study/score.hpp"
#include "study/study.hpp"

namespace railseep {

/// What a report tells of the run beside its outcomes.
struct StudyFacts {
  StudySettings settings;
  std::string circuit, circuit_print;  // file as given; fingerprint of its text
  std::string normal_print;            // fingerprint of circuit_text() of it
  std::string priors, priors_print;
  std::vector<Departure> departures;  // empty: not measured
};

/// One file of a report.
struct ReportFile {
  std::string name, text;
};

/// report.md, its drawings as SVG, what is quoted of it as JSON (study_figures.hpp), and the outcomes as CSV. It
/// depends on nothing but its arguments.
std::vector<ReportFile> study_report(const StudyFacts& facts, const std::vector<JobOutcome>& outcomes);

}  // namespace railseep

#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "circuit/circuit.hpp"
#include "study/score.hpp"
#include "study/study.hpp"

namespace railseep {

/// What a study found, as far as it is quoted under every match and in README.md.
struct StudyFigures {
  std::string circuit;        // file
  std::string circuit_print;  // fingerprint of circuit_text() of it
  std::uint64_t seed = 0;
  int jobs = 0, refused = 0;
  Share intervals_90;     // 90 % intervals that hold the true severity
  Share sets_90;          // sets of candidates with 90 % that hold the truth
  Share top_right;        // most probable one right, where perfect evidence could tell
  Share lower_half;       // cold_leaks_in_lower_half()
  double candidates = 0;  // mean distance of a candidate's probability from what came true [-]
  double kinds = 0;       // the same of kinds of fault [-]
  double size_error = 0;  // median, where a size shows [-]
  int sized = 0;          // jobs where one shows

  int answered() const { return jobs - refused; }
};

/// @param circuit, print  see StudyFigures
StudyFigures figures_of(const std::string& circuit, const std::string& print, const StudySettings& settings,
                        const std::vector<JobOutcome>& outcomes);

/// Text of a file such as models/study.json, and back. @param file its name, for messages. @throws Error with place,
/// found, expected
std::string figures_text(const StudyFigures& figures);
StudyFigures parse_figures(const std::string& text, const std::string& file);

/// Those of models/study.json, as it was when the library was built; read once.
const StudyFigures& published_study();

/// How far a match can be trusted, in sentences, and whether that is known of this circuit.
std::string trust(const StudyFigures& study, const Circuit& circuit);

}  // namespace railseep

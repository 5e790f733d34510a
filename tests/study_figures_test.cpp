#include "study/study_figures.hpp"

#include <gtest/gtest.h>

#include <cctype>
#include <cstdio>

#include "circuit/circuit_file.hpp"
#include "quantity/error.hpp"
#include "quantity/fingerprint.hpp"
#include "quantity/whole_file.hpp"

namespace railseep {
namespace {

const std::string source = RAILSEEP_SOURCE_DIR;

JobOutcome leak(const std::string& conditions, double cdf) {
  JobOutcome outcome;
  outcome.conditions = conditions;
  outcome.kind = "hole (site)";
  outcome.cdf = cdf;
  outcome.probabilities = {0.95, 0.05};
  outcome.kinds = {"hole (site)", "healthy"};
  outcome.kind_probabilities = {0.95, 0.05};
  outcome.truth = 0;
  return outcome;
}

// Counted by hand: of the four leaks that were answered three are in jobs with a cold log, and of those two lie low.
TEST(StudyFigures, CountColdLeaksInTheLowerHalf) {
  std::vector<JobOutcome> outcomes{leak("cold", 0.1), leak("cold, hot", 0.3), leak("cold, hot", 0.7), leak("hot", 0.2),
                                   leak("cold", 0.2)};
  outcomes[4].refused = "only 3 usable pressures";
  JobOutcome wear = leak("cold", 0.2);
  wear.kind = "wear (pump)";
  outcomes.push_back(wear);
  const StudyFigures figures = figures_of("a.json", "print", {6, 7, {}, 0}, outcomes);
  EXPECT_EQ(figures.jobs, 6);
  EXPECT_EQ(figures.refused, 1);
  EXPECT_EQ(figures.seed, 7U);
  EXPECT_EQ(figures.lower_half.of, 3);
  EXPECT_EQ(figures.lower_half.hits, 2);
}

TEST(StudyFigures, ReadBackAsWritten) {
  const StudyFigures& shipped = published_study();
  const std::string text = figures_text(shipped);
  EXPECT_EQ(figures_text(parse_figures(text, "study.json")), text);
}

TEST(StudyFigures, RefuseMoreHitsThanJobs) {
  StudyFigures figures = published_study();
  figures.sets_90.hits = figures.sets_90.of + 1;
  try {
    parse_figures(figures_text(figures), "study.json");
    ADD_FAILURE() << "no Error";
  } catch (const Error& error) {
    EXPECT_EQ(std::string(error.what()), "study.json, /sets_90: more hits than jobs; write no more hits than \"of\".");
  }
}

// The study is of the six: whoever matches an engine with another circuit is told so.
TEST(StudyFigures, AreSaidToBeOfOneCircuit) {
  const Circuit six = read_circuit(source + "/models/inline_six.json");
  EXPECT_EQ(published_study().circuit_print, fingerprint(circuit_text(six)));
  EXPECT_EQ(trust(published_study(), six).find("no such study"), std::string::npos);
  const Circuit eight = read_circuit(source + "/models/valley_v8.json");
  EXPECT_NE(trust(published_study(), eight).find("Of this circuit there is no such study."), std::string::npos);
}

std::string with_single_blanks(const std::string& text) {
  std::string result;
  for (const char c : text) {
    const bool blank = std::isspace(static_cast<unsigned char>(c)) != 0;
    if (!blank || (!result.empty() && result.back() != ' ')) result += blank ? ' ' : c;
  }
  return result;
}

std::string percent(double share, int decimals = 0) {
  char text[32];
  std::snprintf(text, sizeof text, "%.*f %%", decimals, 100 * share);
  return text;
}

// README.md quotes the study: its words are those of the figures, and the report beside the tests is of the same run.
TEST(StudyFigures, AreThoseOfTheReadmeAndOfTheReport) {
  const StudyFigures& study = published_study();
  const std::string readme = with_single_blanks(read_text(source + "/README.md"));
  const Circuit six = read_circuit(source + "/models/inline_six.json");
  for (const std::string& quoted :
       {trust(study, six),
        "sets of candidates that should hold the truth in 90 % held it in " + percent(study.sets_90.value()),
        "sizes were " + percent(study.size_error, 1) + " off where the evidence shows one at all (median)",
        "right in " + std::to_string(study.top_right.hits) + " of " + std::to_string(study.top_right.of)})
    EXPECT_NE(readme.find(quoted), std::string::npos) << "README.md lacks: " << quoted;
  const std::string report = read_text(source + "/tests/study/report.md");
  const std::string head = "- " + std::to_string(study.jobs) + " jobs (" + std::to_string(study.refused) +
                           " refused), seed " + std::to_string(study.seed) + ",";
  EXPECT_NE(report.find(head), std::string::npos) << "the report is of another run than: " << head;
}

}  // namespace
}  // namespace railseep

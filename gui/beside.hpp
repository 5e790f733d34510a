#pragma once

#include <optional>
#include <string>
#include <vector>

#include "evidence/observed_and_predicted.hpp"
#include "match/match.hpp"

namespace railseep::gui {

/// A value that was read off, and what the engine would have shown with each of the first candidates' faults, SI.
struct ReadBeside {
  std::string name;
  Quantity quantity;
  double read = 0;
  std::vector<std::optional<double>> computed;  // one a candidate; empty where it was not computed
};

/// A try to start the engine, and how probably it would have started with each of the first candidates' faults.
struct StartBeside {
  std::string name;
  bool started = false;
  std::vector<std::optional<double>> probability;
};

/// What is told besides logs beside what was computed for it.
struct Beside {
  std::vector<ReadBeside> readings;
  std::vector<StartBeside> starts;
  std::vector<std::vector<ObservedAndPredicted>>
      findings;  // checks and air tests, for each of the first candidates; empty where they were not computed

  bool empty() const { return readings.empty() && starts.empty() && findings.empty(); }
};

Beside beside(const Circuit& circuit, const Observations& observations, const MatchResult& result);

}  // namespace railseep::gui

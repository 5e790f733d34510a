#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "beside.hpp"
#include "document.hpp"
#include "match/match.hpp"
#include "match/shortfalls.hpp"
#include "plot.hpp"
#include "progress.hpp"

namespace railseep::gui {

/// The last match and how it is looked at.
struct Matching {
  std::shared_ptr<const MatchResult> result;
  std::vector<Shortfall> missing;       // what the evidence lacks
  Beside told;                          // what was read or tried, beside what is computed for it
  std::vector<std::string> done;        // ids of checks that the evidence holds already
  std::string of;                       // what of the job it was made for
  std::shared_ptr<Progress> progress;   // of the one that runs
  std::optional<Error> trouble;
  int chosen = 0;                       // candidate looked at
  int log = 0;                          // whose curves are shown
  TimeAxis axis;
  PlotState pressure_plot, residual_plot;

  bool running() const { return progress != nullptr; }
};

/// Whether a job holds anything that can be matched, a log or not.
bool has_evidence(const Job& job);

/// The part of a job that a match depends on: not its names, its words, or checks that are told in words alone.
std::string evidence_text(const Job& job);

/// Starts a match of the job's evidence beside the frame.
void start_match(Matching& matching, const Document& document, const std::shared_ptr<const Circuit>& circuit, Worker& worker);
void stop_match(Matching& matching, Worker& worker);

}  // namespace railseep::gui

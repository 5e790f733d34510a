#pragma once

#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include "document.hpp"
#include "match/match.hpp"
#include "plot.hpp"
#include "worker.hpp"

namespace railseep::gui {

/// How far a running match is. Shared with the worker.
struct MatchProgress {
  std::mutex guard;
  std::size_t done = 0, all = 0;
  std::string best;
};

/// The last match and how it is looked at.
struct Matching {
  std::shared_ptr<const MatchResult> result;
  std::string of;             // text of the job it was made for
  std::shared_ptr<MatchProgress> progress;  // of the one that runs
  std::optional<Error> trouble;
  int chosen = 0;             // candidate looked at
  int log = 0;                // whose curves are shown
  TimeAxis axis;
  PlotState pressure_plot, residual_plot;

  bool running() const { return progress != nullptr; }
};

/// Starts a match of the job's logs beside the frame.
void start_match(Matching& matching, const Document& document, const std::shared_ptr<const Circuit>& circuit, Worker& worker);
void stop_match(Matching& matching, Worker& worker);

}  // namespace railseep::gui

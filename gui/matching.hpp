#pragma once

#include <memory>
#include <string>
#include <vector>

#include "after/shortfalls.hpp"
#include "after/soundness.hpp"
#include "beside.hpp"
#include "decide/check.hpp"
#include "document.hpp"
#include "long_work.hpp"
#include "match/match.hpp"
#include "plot.hpp"

namespace railseep::gui {

/// The last match and how it is looked at.
struct Matching : LongWork {
  std::shared_ptr<const MatchResult> result;
  Soundness sound;                 // whether anything on the oil side matters at all
  std::vector<Shortfall> missing;  // what the evidence lacks
  Beside told;                     // what was read or tried, beside what is computed for it
  std::vector<std::string> done;   // ids of checks that the evidence holds already
  Shop shop;                       // how the engine stands in it
  std::string trust;               // how far such a match can be trusted
  std::string of;                  // what of the job it was made for
  int chosen = 0;                  // candidate looked at
  int log = 0;                     // whose curves are shown
  TimeAxis axis;
  PlotState pressure_plot, residual_plot, duty_plot;
};

/// Whether a job holds anything that can be matched, a log or not.
bool has_evidence(const Job& job);

/// Starts a match of the job's evidence beside the frame.
void start_match(Matching& matching, const Document& document, const std::shared_ptr<const Circuit>& circuit,
                 Worker& worker);

}  // namespace railseep::gui

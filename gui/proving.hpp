#pragma once

#include <memory>
#include <optional>
#include <string>

#include "document.hpp"
#include "match/repair.hpp"
#include "plot.hpp"
#include "progress.hpp"

namespace railseep::gui {

/// What the logs from before and after a repair say together, and how it is looked at.
struct Proving {
  std::shared_ptr<const RepairProof> result;
  std::string of;                      // what of the job it was made for
  std::shared_ptr<Progress> progress;  // of the one that runs
  std::optional<Error> trouble;
  int before = 0, after = 0;           // logs whose curves are shown
  TimeAxis axis;
  PlotState plot;

  bool running() const { return progress != nullptr; }
};

/// Starts to hold the logs after the repair against those before it, beside the frame.
void start_proving(Proving& proving, const Document& document, const std::shared_ptr<const Circuit>& circuit, Worker& worker);
void stop_proving(Proving& proving, Worker& worker);

}  // namespace railseep::gui

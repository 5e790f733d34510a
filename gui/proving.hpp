#pragma once

#include <memory>
#include <optional>
#include <string>

#include "after/repair.hpp"
#include "document.hpp"
#include "long_work.hpp"
#include "plot.hpp"

namespace railseep::gui {

/// What the logs from before and after a repair say together, and how it is looked at.
struct Proving : LongWork {
  std::shared_ptr<const RepairProof> result;
  std::optional<KeptProof> said;      // what the job keeps of it
  std::string evidence, fingerprint;  // of the job as it was when proof_is_up_to_date looked
  int before = 0, after = 0;          // logs whose curves are shown
  TimeAxis axis;
  PlotState plot, duty_plot;
};

/// Starts to hold the logs after the repair against those before it, beside the frame. What they say becomes part of
/// the job.
void start_proving(Proving& proving, Document& document, const std::shared_ptr<const Circuit>& circuit, Worker& worker);

/// Whether the proof that the job keeps was computed from the evidence as it is now.
bool proof_is_up_to_date(Proving& proving, const Job& job);

}  // namespace railseep::gui

#pragma once

#include <string>
#include <vector>

#include "evidence/evidence.hpp"
#include "hypothesis/fault_fit.hpp"

namespace railseep {

/// One number of a circuit before and after.
struct CalibratedNumber {
  std::string name;                      // "high-pressure pump, displacement"
  double before = 0, after = 0;          // SI
  double low = 0, high = 0;              // middle 90 %, SI
  double spread_before = 0, spread = 0;  // one standard deviation of ln(number) [-]
};

struct Calibration {
  Circuit circuit;  // with the new numbers, their spreads and where they come from
  std::vector<CalibratedNumber> numbers;
  double misfit = 0;        // root mean square of measured - computed, in the unit of the channel
  double surprise = 0;      // mean square of the whitened residuals: about 1 for a good fit [-]
  bool believable = false;  // a sound engine explains the logs within noise and model doubt (99 of 100)
};

/// An engine that nothing is wrong with, fitted to logs. @throws Error when it cannot be computed
FaultFit fit_sound_engine(const Circuit& circuit, const std::vector<CrankEvidence>& logs);

/// Fits what a circuit is unsure of (numbers with a spread) to logs of an engine that is known to be good.
///
/// Each number gets its own interval; that they may have been fitted together (more displacement and more slip look
/// alike) is not kept, so that several narrowed numbers claim a little less together than the logs told.
/// @throws Error when the circuit has no number with a spread, or there is no log
Calibration calibrate(const Circuit& circuit, const std::vector<CrankEvidence>& good);

}  // namespace railseep

#pragma once

#include <optional>
#include <string>

#include "match/match.hpp"

namespace railseep {

/// What logs from before and after a repair say together.
struct RepairProof {
  enum class Verdict { proved, not_proved, something_left };

  Verdict verdict = Verdict::not_proved;
  std::string why;  // in a sentence
  FaultFit fault;   // the likeliest fault before the repair, fitted to all the logs
  double gone = 0, unchanged = 0,
         changed = 0;  // probability that it is gone, as it was, or there with another size; they add up to 1
  std::optional<Severity>
      flow_before;  // oil it cost at the reference pressure and the hottest log's oil [m3/s]: best and middle 90 %
  std::optional<Severity> flow_after;  // the same now, if it is there at all
  MatchResult before, after;           // matches of the two stages by themselves
};

std::string_view word(RepairProof::Verdict verdict);

/// Sets the verdict and the reason from the three probabilities, the match of the logs after the repair and how hot the
/// logs of both stages are.
///
/// Proved takes 90 % for gone, a hottest log after the repair within 15 K of the hottest before, and no other fault
/// that explains what was logged and seen after it ten times better than a sound engine, as far as logs are believed
/// (self_doubt.hpp), and does not leave the pressure in time in all of them (all assumed).
void judge_repair(const Circuit& circuit, const Evidence& before, const Evidence& after, RepairProof& proof);

/// Fits the likeliest fault of the logs before the repair to all logs, three times over: gone after the repair,
/// unchanged, or with another size. The engine and its sensor are the same in all logs, so that what is unsure about
/// them cancels; logs of the good engine may stand among either. What was read at idle, tried and seen in both stages
/// counts too: an engine as it was could not have started. Logs are believed as far as the match believes them.
///
/// Priors: gone 60 %, unchanged 20 %, changed 20 % (assumed). The verdict is that of judge_repair().
/// @throws Error when one of the stages has no log, or no fault is to be seen before the repair
RepairProof prove_repair(const Circuit& circuit, const Evidence& before, const Evidence& after, const Priors& priors,
                         const MatchOptions& options = {});

}  // namespace railseep

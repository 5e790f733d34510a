#pragma once

#include <memory>
#include <string>
#include <vector>

#include "decide/decide.hpp"
#include "long_work.hpp"
#include "matching.hpp"

namespace railseep::gui {

/// What to do next after a match: the checks by their worth, the order of opening, and how they are looked at.
struct Deciding : LongWork {
  std::shared_ptr<const Decision> result;
  std::shared_ptr<const MatchResult> of;  // the match it was made from
  std::vector<std::string> made_without;  // checks that were done when the result was made
  int chosen = 0;                         // check looked at

  bool up_to_date(const Matching& matching, const std::vector<std::string>& done) const {
    return result && of == matching.result && made_without == done;
  }
};

/// Ids of the checks that are not offered again: the evidence of the match holds them, or the job's findings name them.
std::vector<std::string> checks_done(const Job& job, const Matching& matching);

/// Reckons beside the frame what to do next.
void start_deciding(Deciding& deciding, const Matching& matching, const Job& job,
                    const std::shared_ptr<const Circuit>& circuit, bool metric, Worker& worker);

}  // namespace railseep::gui

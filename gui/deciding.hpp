#pragma once

#include <memory>
#include <string>
#include <vector>

#include "decide/decide.hpp"
#include "long_work.hpp"
#include "matching.hpp"
#include "settings.hpp"

namespace railseep::gui {

/// What a decision depends on besides its match.
struct DecisionBasis {
  std::vector<std::string> done, open, set_up;  // checks, access groups, set-ups
  std::string pressure_unit;                    // of its words
  ShopRates rates;
  bool operator==(const DecisionBasis&) const = default;
};

/// As things stand now. Checks that are done, because the evidence of the match holds them or the job's findings name
/// them, are not offered again.
DecisionBasis basis_of(const Job& job, const Matching& matching, const Settings& settings);

/// What to do next after a match: the checks by their worth, the order of opening, and how they are looked at.
struct Deciding : LongWork {
  std::shared_ptr<const Decision> result;
  std::shared_ptr<const MatchResult> of;  // the match it was made from
  DecisionBasis basis;                    // that it was made with
  int chosen = as_advised;                // check looked at
  static constexpr int as_advised = -1;   // the first check, or what is to be opened

  bool up_to_date(const Matching& matching, const DecisionBasis& now) const {
    return result && of == matching.result && basis == now;
  }
};

/// Ids of the checks that are not offered again: the evidence of the match holds them, or the job's findings name them.
std::vector<std::string> checks_done(const Job& job, const Matching& matching);

/// Reckons beside the frame what to do next.
void start_deciding(Deciding& deciding, const Matching& matching, const Job& job,
                    const std::shared_ptr<const Circuit>& circuit, const Settings& settings, Worker& worker);

}  // namespace railseep::gui

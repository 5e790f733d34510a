#pragma once

#include <memory>
#include <string>
#include <vector>

#include "decide/decide.hpp"
#include "long_work.hpp"
#include "matching.hpp"
#include "settings.hpp"

namespace railseep::gui {

/// What to do next after a match: the checks by their worth, the order of opening, and how they are looked at.
struct Deciding : LongWork {
  std::shared_ptr<const Decision> result;
  std::shared_ptr<const MatchResult> of;  // the match it was made from
  std::vector<std::string> made_without;  // checks that were done when the result was made
  std::string pressure_unit;              // of its words
  ShopRates rates;                        // that it was made with
  int chosen = as_advised;                // check looked at
  static constexpr int as_advised = -1;   // the first check, or what is to be opened

  bool up_to_date(const Matching& matching, const std::vector<std::string>& done, const Settings& settings) const {
    return result && of == matching.result && made_without == done && pressure_unit == settings.units.pressure &&
           rates == settings.rates;
  }
};

/// Ids of the checks that are not offered again: the evidence of the match holds them, or the job's findings name them.
std::vector<std::string> checks_done(const Job& job, const Matching& matching);

/// Reckons beside the frame what to do next.
void start_deciding(Deciding& deciding, const Matching& matching, const Job& job,
                    const std::shared_ptr<const Circuit>& circuit, const Settings& settings, Worker& worker);

}  // namespace railseep::gui

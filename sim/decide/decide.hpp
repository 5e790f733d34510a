#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "decide/check.hpp"
#include "decide/hypothesis.hpp"
#include "decide/outcome.hpp"
#include "decide/policy.hpp"
#include "decide/telling.hpp"
#include "hearing/hear.hpp"

namespace railseep {

struct DecideOptions {
  int threads = 0;                // 0: all there are; the result does not depend on it
  std::vector<std::string> done;  // ids of checks that are not offered again
  Shop shop;
  std::string pressure_unit = "psi";  // in the words of outcomes: psi, bar or MPa
  BeliefOptions belief;
  std::function<void(std::size_t done, std::size_t all, const std::string& what)>
      progress;  // from one thread at a time; may throw to stop
};

/// What one outcome of a check would mean.
struct OutcomeMeaning {
  std::string outcome;  // "left cover hisses"
  double probability = 0;
  std::string says;                  // what it then most likely is, in plain words
  std::string then;                  // "open the left valve cover", or the check to do next
  std::vector<double> hypotheses;    // probability of each afterwards
  std::vector<std::size_t> columns;  // of RankedCheck::columns: those it stands for
};

struct RankedCheck {
  Check check;        // its time and money with what must still be set up for it
  Cost cost;          // its minutes in money, and what it needs
  double bits = 0;    // expected information about what to open
  double share = 0;   // of what is not known now [-]
  std::string tells;  // the same in words
  double bits_per_hour = 0;
  double bits_per_money = 0;  // [1/money]
  Cost alone;                 // to a proved repair: this check, then open
  Cost expected;              // this check, then at most one more where it pays, then open
  Cost without;               // the best that can be done without it: open at once, or one other check and then open
  bool pays = false;          // see CheckStanding
  std::vector<OutcomeMeaning> outcomes;  // most probable first
  std::vector<std::string> columns;      // everything it can show, before alike ones are told together
  std::optional<Ranges> ranges;          // where columns are neighbouring ranges of a reading
  std::vector<HeardWord> sound_engine;   // where columns are places: what a sound engine lets one hear there
  std::vector<std::string> notes;        // assumed or left out
};

/// One step of the search.
struct OpeningStep {
  std::size_t group = 0;                                  // index into Belief::groups
  std::string part;                                       // renewed there on suspicion; empty: the group is opened
  Cost cost;                                              // opening and looking; of a part: renewing and proving it
  double reached = 0;                                     // probability that one comes so far
  double found = 0;                                       // probability that it ends well here
  std::vector<std::pair<std::string, double>> looks_for;  // hypothesis and its probability now, most probable first
};

struct OpeningPlan {
  std::vector<OpeningStep> steps;  // then one stops and looks elsewhere
  Cost expected;                   // to a proved repair, or to what comes of stopping
  double unfound = 0;              // probability that one stops with a fault of the oil side unfound
  double comeback = 0;             // probability that the engine comes back: unfound, or a part left alone
};

/// A fault that somebody has seen and described.
struct SeenFault {
  Inspection look;
  double probability = 0;  // that what was seen is there [-]
};

/// The hot crank that checks are computed and compared with.
struct HotCrank {
  double oil_temperature = 0;     // [K]
  double speed = 0;               // as it cranks now [rad/s]
  double healthy_speed = 0;       // of charged batteries and a good starter [rad/s]
  std::optional<double> plateau;  // as logged, gauge [Pa]
};

struct Decision {
  Costs costs;
  HotCrank hot;
  Belief belief;
  std::vector<Covered> covers;       // the belief, as one opens
  std::optional<SeenFault> seen;     // it is renewed and proved before anything else is done
  OpeningPlan plan;                  // best order
  OpeningPlan dearest_first;         // most expensive part first, the rest in the best order of that rule
  OpeningPlan by_ratio;              // the rule of thumb: probability over cost
  Cost saved;                        // dearest_first - plan
  std::vector<RankedCheck> checks;   // as ranking() has them
  bool check_first = false;          // the first check pays; else open
  std::vector<Telling> tellings;     // one for each of MatchResult::sets
  double unknown_bits = 0;           // entropy of what to open [bit]
  std::vector<std::string> assumed;  // what of all this is assumed
};

/// From what may be wrong to what to do next. @throws Error for costs or checks that do not fit the circuit
Decision decide(const Circuit& circuit, const MatchResult& result, const Costs& costs, const Checks& checks,
                const DecideOptions& options = {});

}  // namespace railseep

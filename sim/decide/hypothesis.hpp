#pragma once

#include <functional>
#include <string>
#include <vector>

#include "decide/opening.hpp"
#include "match/match.hpp"

namespace railseep {

/// A fit whose places all stand behind the same cover: what must be told apart before something is opened.
struct Hypothesis {
  std::size_t fit = 0;      // index into MatchResult::fits
  Candidate candidate;      // its suspects, each with the places of one group only
  std::vector<int> groups;  // index into Belief::groups, one a suspect
  double probability = 0;
  bool harmless = false;  // with it the pressure comes up in time in every log: it may be there, but it is not what
                          // keeps the engine from starting
  std::vector<int> parts = {};  // index into Belief::parts, one a suspect: what renews it unseen; -1: nothing does
  std::string title() const { return candidate.title(); }
};

/// A hypothesis with severities of its own: a point of the quadrature over what is not known.
struct Possibility {
  std::size_t hypothesis = 0;
  std::vector<double> severities;  // one a suspect, SI
  double share = 1;                // of the hypothesis's probability [-]
  std::size_t place = 0;           // which of its places stands for it
};

/// A group that can be opened, or work outside the oil side.
struct WorkGroup {
  std::string name;
  bool opened = true;  // an access group of the circuit; else work of the costs file, or nothing to be opened
  bool stands_open = false;
  double labour = 0;                  // [s]
  Cost cost;                          // opening and looking
  std::vector<std::string> together;  // places of the same age that are renewed with what is found, because it pays
  Cost together_cost;                 // labour and parts of all of them
  double together_saves = 0;          // expected, against coming back for them one by one [money]
  double comeback = 0;  // chance that one of the parts left alone brings it back, once the fault is repaired [-]
};

/// A part that can be renewed on suspicion where a look does not show whether it is the fault.
struct SuspectedPart {
  int group = 0;     // behind which it is
  std::string name;  // "high-pressure oil pump", or all seals behind a cover
  Cost cost;         // price and labour of it once its group is open, and the proof
};

/// What is believed before the next check, ready to be reckoned with.
struct Belief {
  std::vector<Hypothesis> hypotheses;  // most probable first; add up to 1
  std::vector<Possibility> possibilities;
  std::vector<WorkGroup> groups;
  std::vector<SuspectedPart> parts;
  double covered = 1;  // probability of the fits that are in it [-]

  Eigen::VectorXd weights() const;  // of the possibilities
};

inline constexpr std::size_t most_opening_groups = 9;  // the search has room for so many, and for parts to be tried

struct BeliefOptions {
  double cover = 0.99;         // probability that the fits taken must reach
  std::size_t most_fits = 20;  // or so many
  double worth_three = 0.02;   // a hypothesis less probable than this is taken at its best severity alone
};

/// Splits the fits by access and takes each at its best severity and the ends of its 90 % interval.
///
/// Three points at 0 and +-1.645 standard deviations with weights 0.630, 0.185, 0.185 keep mean and variance of a
/// normal severity. Two faults of one candidate share the flow that is missing: when one is at its upper end the other
/// is at its lower.
///
/// @param open access groups that stand open: to look behind them costs nothing. @throws Error for one that is not
/// there
Belief belief(const Circuit& circuit, const MatchResult& result, const Costs& costs, const BeliefOptions& options = {},
              const std::vector<std::string>& open = {});

/// What stands behind one cover, or can be looked into at once, all kinds and places of it together.
struct Covered {
  std::string name;  // "valley cover"; of two faults both covers; "not the oil side"
  double probability = 0;
  std::vector<std::pair<std::string, double>> kinds;  // "hole", "wear of the high-pressure pump": most probable first
};

/// The belief as one opens: summed by cover first, then by kind, and places left out. Most probable first; adds up
/// to 1. A part of its own stands for one row of a match, a seal for one of thirty: only together can they be compared.
std::vector<Covered> by_cover(const Belief& belief);

/// The sequential search for what is believed, cases being hypotheses. What is harmless is not searched for: the cause
/// is elsewhere.
OpeningProblem opening_problem(const Circuit& circuit, const Belief& belief, const Costs& costs);

}  // namespace railseep

#include "decide/if_repaired.hpp"

#include <algorithm>
#include <map>
#include <set>

#include "evidence/started.hpp"
#include "fit/in_parallel.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

/// All places that one of the wanted words names, be it the place or what must be opened to reach it.
std::set<std::string> places_of(const Circuit& circuit, const std::vector<std::string>& wanted) {
  const std::vector<PossibleFault> possible = possible_faults(circuit);
  std::set<std::string> places;
  for (const std::string& word : wanted) {
    std::vector<std::string> known;
    bool found = false;
    for (const PossibleFault& fault : possible) {
      for (const std::string& name : {fault.place, fault.access})
        if (!name.empty() && std::ranges::find(known, name) == known.end()) known.push_back(name);
      if (fault.place != word && fault.access != word) continue;
      places.insert(fault.place);
      found = true;
    }
    if (found) continue;
    const std::string near = nearest_word(word, known);
    throw Error("PLACE", "\"" + word + "\" is no place of this engine",
                near.empty() ? "railseep faults lists them" : "did you mean \"" + near + "\"");
  }
  return places;
}

/// Faults that are left, and how probably it is these.
struct Left {
  std::vector<Fault> faults;
  double share = 1;
};

/// Each fault is mended as probably as it lies at one of the mended places, all of its candidate's being alike.
std::vector<Left> left_over(const Candidate& candidate, const std::vector<Fault>& faults,
                            const std::set<std::string>& mended) {
  std::vector<Left> all{{}};
  for (std::size_t s = 0; s < faults.size(); ++s) {
    const std::vector<PossibleFault>& where = candidate.suspects[s].places;
    const auto among = std::ranges::count_if(where, [&](const PossibleFault& p) { return mended.contains(p.place); });
    const double share = static_cast<double>(among) / static_cast<double>(where.size());
    std::vector<Left> further;
    for (const Left& left : all) {
      if (share > 0) further.push_back({left.faults, left.share * share});
      if (share == 1) continue;
      further.push_back({left.faults, left.share * (1 - share)});
      further.back().faults.push_back(faults[s]);
    }
    all = std::move(further);
  }
  return all;
}

}  // namespace

IfRepaired if_repaired(const Circuit& circuit, const Decision& decision, const std::vector<std::string>& wanted,
                       int threads) {
  const std::set<std::string> places = places_of(circuit, wanted);
  const Belief& belief = decision.belief;
  const Eigen::VectorXd weights = belief.weights() / belief.weights().sum();
  Situation hot;
  hot.oil_temperature = decision.hot.oil_temperature;
  if (decision.hot.speed > 0) hot.speed = decision.hot.speed;
  hot.cranked = if_repaired_crank;
  const auto starts_with = [&](const std::vector<Fault>& faults) {
    const Circuit faulty = with_faults(circuit, faults);
    Procedures procedures(faulty);
    return start_probability(procedures, hot);
  };
  struct Outcome {
    double now = 0, then = 0, touched = 0;
  };
  std::vector<Outcome> outcomes(belief.possibilities.size());
  in_parallel(outcomes.size(), threads, [&](std::size_t i) {
    const Possibility& possibility = belief.possibilities[i];
    const Candidate& candidate = belief.hypotheses[possibility.hypothesis].candidate;
    if (candidate.healthy()) return;  // elsewhere: it does not start, whatever is done here
    const std::vector<Fault> all = candidate.faults(possibility.severities);
    outcomes[i].now = starts_with(all);
    for (const Left& left : left_over(candidate, all, places)) {
      outcomes[i].then += left.share * (left.faults.size() == all.size() ? outcomes[i].now : starts_with(left.faults));
      outcomes[i].touched += left.faults.size() == all.size() ? 0 : left.share;
    }
  });

  IfRepaired result;
  result.places.assign(places.begin(), places.end());
  std::map<std::string, double> keeps;
  for (std::size_t i = 0; i < outcomes.size(); ++i) {
    const double weight = weights[static_cast<Eigen::Index>(i)];
    result.at_fault += weight * outcomes[i].touched;
    result.starts += weight * outcomes[i].then;
    result.starts_now += weight * outcomes[i].now;
    keeps[belief.hypotheses[belief.possibilities[i].hypothesis].title()] += weight * (1 - outcomes[i].then);
  }
  result.keeps.assign(keeps.begin(), keeps.end());
  std::ranges::stable_sort(result.keeps, std::greater{}, &std::pair<std::string, double>::second);
  return result;
}

}  // namespace railseep

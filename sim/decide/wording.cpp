#include "decide/wording.hpp"

#include <algorithm>

#include "after/soundness.hpp"
#include "quantity/quantity.hpp"

namespace railseep {

namespace {

std::string percent(double share) {
  return share < 0.005 ? "under 1 %" : format_quantity(share, Quantity::ratio, "%", share < 0.1 ? 1 : 2);
}

/// What one kind of hypothesis is called when several places behind the same cover are taken together.
std::string cause(const Belief& belief, const Hypothesis& hypothesis) {
  if (hypothesis.candidate.healthy()) return "nothing wrong on the oil side";
  if (hypothesis.harmless) return "no leak that matters: the cause is elsewhere";
  std::string text;
  for (std::size_t i = 0; i < hypothesis.candidate.suspects.size(); ++i) {
    const Suspect& suspect = hypothesis.candidate.suspects[i];
    const WorkGroup& group = belief.groups[static_cast<std::size_t>(hypothesis.groups[i])];
    const bool leak = suspect.kind->change == FaultKind::Change::opens_leak;
    const std::string word(suspect.kind->word), &place = suspect.places.front().place;
    text += text.empty() ? "" : " and ";
    if (word.starts_with("stuck")) {
      text += place + " " + word;
      continue;
    }
    text += word;
    if (leak && group.opened)
      text += " behind the " + group.name;
    else if (place != "engine")
      text += " of the " + place;
  }
  return text;
}

}  // namespace

std::string likely_words(const Belief& belief, const std::vector<double>& probabilities) {
  std::vector<std::pair<double, std::string>> causes;
  for (std::size_t h = 0; h < probabilities.size(); ++h) {
    const std::string name = cause(belief, belief.hypotheses[h]);
    const auto known = std::find_if(causes.begin(), causes.end(), [&](const auto& c) { return c.second == name; });
    if (known == causes.end())
      causes.emplace_back(probabilities[h], name);
    else
      known->first += probabilities[h];
  }
  std::stable_sort(causes.begin(), causes.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
  std::string text;
  double reached = 0;
  for (std::size_t i = 0; i < causes.size() && i < 3 && (i == 0 || (reached < 0.85 && causes[i].first >= 0.05)); ++i) {
    text += (i == 0 ? "" : ", or ") + causes[i].second + " (" + percent(causes[i].first) + ")";
    reached += causes[i].first;
  }
  return text;
}

std::string open_words(const WorkGroup& group) {
  return group.opened ? "open: " + group.name : "look into " + group.name;
}

std::string step_words(const WorkGroup& group, const std::string& part) {
  return part.empty() ? group.name : "renew on suspicion: " + part;
}

std::string tells_words(double share) {
  if (share < 0.02) return "nearly nothing";
  if (share < 0.10) return "little";
  if (share < 0.30) return "something";
  if (share < 0.60) return "a good deal";
  return share < 0.85 ? "most of it" : "nearly everything";
}

std::vector<std::string> assumed_words(const Costs& costs, const Checks& checks, const Belief& belief,
                                       const Showings& shows) {
  std::vector<std::string> all{"costs: " + costs.source, "checks: " + checks.source};
  all.push_back("labour behind each cover: as the circuit file says, with its sources");
  all.push_back("after a comeback every group is opened again, and the fault is then found");
  all.push_back(
      "how often a fault is seen once it is reached: models/looks.json, row \"seen\"; a part that is not is "
      "renewed on suspicion, and lost when it was not the fault");
  double harmless = 0;
  for (const Hypothesis& h : belief.hypotheses) harmless += h.harmless ? h.probability : 0;
  if (harmless > 0.005)
    all.push_back("faults too small to matter (" + percent(harmless) + "): with them the pressure is there within " +
                  format_quantity(good_build_time, Quantity::time, "s") +
                  " in every log, so they are not searched for; the cause is then taken to be elsewhere");
  if (!shows.hot_logged)
    all.push_back("no log is hot: what a hot engine would show is computed at " +
                  format_quantity(shows.oil_temperature, Quantity::temperature, "degC", 2));
  if (belief.covered < 0.985)
    all.push_back("the hypotheses taken hold " + percent(belief.covered) + " of the probability; the rest is left out");
  if (!shows.troubles.empty())
    all.push_back(std::to_string(shows.troubles.size()) +
                  " computations could not be done and say nothing; the first: " + shows.troubles.front());
  return all;
}

}  // namespace railseep

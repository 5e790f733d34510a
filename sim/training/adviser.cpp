#include "training/adviser.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "decide/wording.hpp"
#include "training/suspicion.hpp"

namespace railseep {

namespace {

constexpr double least_share = 1e-6;     // of a possibility that is still reckoned with when checks are valued [-]
constexpr double speed_error = 0.05;     // of the cranking speed that a hypothesis expects [-], assumed
constexpr double renewed_is_bad = 0.05;  // chance that a new part is the cause, against an old one: assumed
constexpr double seen_elsewhere = 0.02;  // chance that the cause is another than what was seen: assumed

bool has_place(const Hypothesis& hypothesis, const std::string& place) {
  for (const Suspect& suspect : hypothesis.candidate.suspects)
    for (const PossibleFault& possible : suspect.places)
      if (possible.place == place) return true;
  return false;
}

bool behind(const Belief& belief, const Hypothesis& hypothesis, const std::string& group) {
  return std::ranges::any_of(hypothesis.groups,
                             [&](int g) { return belief.groups[static_cast<std::size_t>(g)].name == group; });
}

/// Probability that what is wrong by this hypothesis is not seen when the group is opened.
double unseen(const FaultTable& table, const Hypothesis& hypothesis, const std::string& group) {
  double missed = 1;
  for (std::size_t i = 0; i < hypothesis.groups.size(); ++i)
    if (table.belief.groups[static_cast<std::size_t>(hypothesis.groups[i])].name == group)
      missed *= 1 - visibility(hypothesis.candidate.suspects[i].fault(0), table.circuit);
  return missed;
}

}  // namespace

Adviser::Adviser(const FaultTable& table) : table_(table), weights_(table.belief.weights()) { normalise(); }

void Adviser::normalise() { weights_ /= weights_.sum(); }

void Adviser::told(const ToldStarts& starts) {
  for (Eigen::Index i = 0; i < weights_.size(); ++i) {
    const std::array<double, 4>& ln_p = table_.start[static_cast<std::size_t>(i)];
    weights_[i] *= std::exp(ln_p[starts.hot ? 1 : 0] + ln_p[starts.cold ? 3 : 2]);
  }
  normalise();
}

void Adviser::outcome(const std::string& check, std::size_t column, double speed) {
  const Forecast* forecast = table_.find(check);
  if (!forecast || column >= forecast->outcomes.size()) return;
  weights_ = weights_.cwiseProduct(forecast->likelihood.col(static_cast<Eigen::Index>(column)));
  if (!std::isnan(speed))
    for (Eigen::Index i = 0; i < weights_.size(); ++i) {
      const double off = (speed / table_.speed[static_cast<std::size_t>(i)] - 1) / speed_error;
      weights_[i] *= std::exp(-0.5 * std::min(off * off, 30.0));
    }
  normalise();
}

void Adviser::looked(const std::string& group, const std::vector<Fault>& seen) {
  const Belief& belief = table_.belief;
  for (std::size_t i = 0; i < belief.possibilities.size(); ++i) {
    const Hypothesis& hypothesis = belief.hypotheses[belief.possibilities[i].hypothesis];
    double factor = unseen(table_, hypothesis, group);
    for (const Fault& fault : seen)
      factor = has_place(hypothesis, fault.place) && hypothesis.candidate.suspects.front().kind->word == fault.kind
                   ? 1
                   : factor * seen_elsewhere;
    weights_[static_cast<Eigen::Index>(i)] *= factor;
  }
  normalise();
}

void Adviser::changed(const ToldStarts& starts, const std::set<std::string>& renewed_places) {
  weights_ = table_.belief.weights();
  told(starts);
  const Belief& belief = table_.belief;
  for (std::size_t i = 0; i < belief.possibilities.size(); ++i)
    for (const std::string& place : renewed_places)
      if (has_place(belief.hypotheses[belief.possibilities[i].hypothesis], place))
        weights_[static_cast<Eigen::Index>(i)] *= renewed_is_bad;
  normalise();
}

Eigen::VectorXd Adviser::by_hypothesis(const Eigen::VectorXd& weights) const {
  Eigen::VectorXd all = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(table_.belief.hypotheses.size()));
  for (Eigen::Index i = 0; i < weights.size(); ++i)
    all[static_cast<Eigen::Index>(table_.belief.possibilities[static_cast<std::size_t>(i)].hypothesis)] += weights[i];
  return all;
}

std::vector<double> Adviser::hypotheses() const {
  const Eigen::VectorXd all = by_hypothesis(weights_);
  return {all.begin(), all.end()};
}

double Adviser::of_group(const std::string& group) const {
  const std::vector<double> p = hypotheses();
  double sum = 0;
  for (std::size_t h = 0; h < p.size(); ++h)
    if (behind(table_.belief, table_.belief.hypotheses[h], group)) sum += p[h];
  return sum;
}

double Adviser::of_place(const std::string& place) const {
  const std::vector<double> p = hypotheses();
  double sum = 0;
  for (std::size_t h = 0; h < p.size(); ++h)
    if (has_place(table_.belief.hypotheses[h], place)) sum += p[h];
  return sum;
}

std::vector<std::pair<std::string, double>> Adviser::suspicions() const {
  const std::vector<double> p = hypotheses();
  std::map<std::string, double> sums;
  for (std::size_t h = 0; h < p.size(); ++h) sums[suspicion_of(table_.belief, table_.belief.hypotheses[h])] += p[h];
  std::vector<std::pair<std::string, double>> all(sums.begin(), sums.end());
  std::ranges::stable_sort(all, [](const auto& a, const auto& b) { return a.second > b.second; });
  return all;
}

std::vector<double> Adviser::outcomes_if(std::size_t hypothesis, const Forecast& forecast) const {
  Eigen::VectorXd sum = Eigen::VectorXd::Zero(forecast.likelihood.cols());
  double of = 0;
  for (Eigen::Index i = 0; i < weights_.size(); ++i)
    if (table_.belief.possibilities[static_cast<std::size_t>(i)].hypothesis == hypothesis)
      sum += weights_[i] * forecast.likelihood.row(i).transpose(), of += weights_[i];
  if (of > 0) sum /= of;
  return {sum.begin(), sum.end()};
}

namespace {

std::vector<std::size_t> classes(const Belief& belief, const std::vector<Eigen::Index>& kept) {
  std::vector<std::size_t> all;
  for (const Eigen::Index i : kept) all.push_back(belief.possibilities[static_cast<std::size_t>(i)].hypothesis);
  return all;
}

}  // namespace

double Adviser::bits() const {
  return entropy(by_hypothesis(weights_), [&] {
    std::vector<std::size_t> all(table_.belief.hypotheses.size());
    for (std::size_t i = 0; i < all.size(); ++i) all[i] = i;
    return all;
  }());
}

double Adviser::expected_bits(const std::string& check) const {
  const Forecast* forecast = table_.find(check);
  if (!forecast) return 0;
  std::vector<Eigen::Index> every(static_cast<std::size_t>(weights_.size()));
  for (std::size_t i = 0; i < every.size(); ++i) every[i] = static_cast<Eigen::Index>(i);
  return information(weights_, classes(table_.belief, every), forecast->likelihood);
}

Advice Adviser::next(const std::set<std::string>& without, const std::set<std::string>& open) const {
  const Belief& belief = table_.belief;
  Belief now = belief;
  const std::vector<double> p = hypotheses();
  for (std::size_t h = 0; h < p.size(); ++h) now.hypotheses[h].probability = p[h];
  OpeningProblem problem = opening_problem(table_.circuit, now, table_.costs);
  for (std::size_t g = 0; g < belief.groups.size(); ++g)
    if (open.contains(belief.groups[g].name)) problem.groups[g] = table_.costs.work(table_.costs.looking_time);
  const Opening opening(problem);

  // Only what is still probable is reckoned with.
  std::vector<Eigen::Index> kept;
  for (Eigen::Index i = 0; i < weights_.size(); ++i)
    if (weights_[i] > least_share) kept.push_back(i);
  const Eigen::VectorXd weights = weights_(kept);
  const std::vector<std::size_t> class_of = classes(belief, kept);
  const Worth worth = [&](const Eigen::VectorXd& w) {
    Eigen::VectorXd all = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(belief.hypotheses.size()));
    for (Eigen::Index i = 0; i < w.size(); ++i)
      all[static_cast<Eigen::Index>(class_of[static_cast<std::size_t>(i)])] += w[i];
    return opening.value(all);
  };

  std::vector<const Forecast*> offered;
  std::vector<CheckModel> models;
  for (const Forecast& forecast : table_.forecasts) {
    if (without.contains(forecast.check.id)) continue;
    offered.push_back(&forecast);
    models.push_back(
        {table_.costs.work(forecast.check.time, forecast.check.money), forecast.likelihood(kept, Eigen::all)});
  }
  const std::vector<CheckValue> values = value_checks(weights, class_of, models, worth, 1);

  const OpeningOrder order = opening.best(by_hypothesis(weights_));
  Advice advice;
  advice.expected = order.expected;
  if (!order.steps.empty()) {
    // A part that is renewed on suspicion stands behind a group that is open by then.
    const std::size_t step = static_cast<std::size_t>(order.steps.front()), groups = belief.groups.size();
    const WorkGroup& group =
        belief.groups[step < groups ? step : static_cast<std::size_t>(belief.parts[step - groups].group)];
    advice.kind = Advice::Kind::open, advice.what = group.name, advice.words = open_words(group);
  } else {
    advice.words = "open nothing: look at sync, injector drive and fuel";
  }
  double best = order.expected.money;
  for (std::size_t k = 0; k < values.size(); ++k)
    if (values[k].expected.money < best) {
      best = values[k].expected.money;
      advice.kind = Advice::Kind::check, advice.what = offered[k]->check.id, advice.expected = values[k].expected;
      advice.bits = values[k].bits, advice.words = "check: " + offered[k]->check.name;
    }
  return advice;
}

}  // namespace railseep

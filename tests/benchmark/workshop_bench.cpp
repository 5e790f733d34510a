// Made-up engines, each played to a proved repair by the advice of `next` and by four other ways of working: what they
// spend on average. Writes one table.
//
//     workshop_bench [CIRCUIT] [ENGINES] [SEED]
//
// The belief alone is simulated, no logs: an engine is one fault of one size drawn from the priors, of those with which
// the engine does not start hot, and all begin with a hot crank whose log tells the plateau. What checks show is
// computed by the model and drawn with the errors of models/checks.json; the advice believes the same model and the
// same errors. So the table says what the advice is worth where what it believes is right, and not how often it is.
// After every act the advice is asked anew, of the hypotheses that `next` would consider by then, with all checks.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <functional>
#include <iostream>
#include <map>
#include <numeric>
#include <random>

#include "circuit/circuit_file.hpp"
#include "decide/forecast.hpp"
#include "decide/policy.hpp"
#include "hypothesis/unknown.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

constexpr double log_error = 0.05;  // of the plateau that a match reads from a log of a crank, engine's spread
                                    // included, a share of it (assumed)

/// Every single fault at three sizes, before anything was measured.
MatchResult before_anything(const Circuit& circuit, const std::string& priors) {
  MatchResult result;
  for (const Candidate& candidate : candidates(circuit, read_priors(priors))) {
    FaultFit fit;
    fit.candidate = candidate, fit.probability = candidate.prior;
    for (const Suspect& suspect : candidate.suspects) {
      const Unknown size = severity_unknown(suspect);
      fit.severities.emplace_back(size.value(0), size.value(-1.645), size.value(1.645));
    }
    result.fits.push_back(std::move(fit));
  }
  return result;
}

/// The beliefs of all fits, each asked for alone, as one: with every cover and every part that can be tried. A match
/// makes no such belief: it leaves out what is improbable.
Belief whole_belief(const Circuit& circuit, const MatchResult& result, const Costs& costs) {
  Belief whole;
  BeliefOptions three_sizes;
  three_sizes.worth_three = 0;
  for (std::size_t f = 0; f < result.fits.size(); ++f) {
    MatchResult alone;
    alone.fits = {result.fits[f]};
    alone.fits.front().probability = 1;
    const Belief one = belief(circuit, alone, costs, three_sizes);
    std::vector<int> group_of;
    for (const WorkGroup& group : one.groups) {
      const auto known = std::ranges::find(whole.groups, group.name, &WorkGroup::name);
      group_of.push_back(static_cast<int>(known - whole.groups.begin()));
      if (known == whole.groups.end()) whole.groups.push_back(group);
    }
    std::vector<int> part_of;
    for (SuspectedPart part : one.parts) {
      part.group = group_of[static_cast<std::size_t>(part.group)];
      const auto known = std::ranges::find_if(
          whole.parts, [&](const SuspectedPart& p) { return p.group == part.group && p.name == part.name; });
      part_of.push_back(static_cast<int>(known - whole.parts.begin()));
      if (known == whole.parts.end()) whole.parts.push_back(part);
    }
    for (Possibility possibility : one.possibilities) {
      possibility.hypothesis += whole.hypotheses.size();
      whole.possibilities.push_back(std::move(possibility));
    }
    for (Hypothesis hypothesis : one.hypotheses) {
      hypothesis.fit = f;
      hypothesis.probability *= result.fits[f].probability;
      for (int& group : hypothesis.groups) group = group_of[static_cast<std::size_t>(group)];
      for (int& part : hypothesis.parts) part = part < 0 ? -1 : part_of[static_cast<std::size_t>(part)];
      whole.hypotheses.push_back(std::move(hypothesis));
    }
  }
  return whole;
}

struct Spent {
  Cost cost;
  int wrong_parts = 0;
  bool comeback = false;
};

class Workshop {
 public:
  Workshop(const Circuit& circuit, const std::string& models)
      : circuit_(circuit),
        costs_(read_costs(models + "costs.json")),
        checks_(read_checks(models + "checks.json")),
        prior_(before_anything(circuit, models + "priors.json")),
        belief_(whole_belief(circuit, prior_, costs_)),
        problem_(opening_problem(circuit, belief_, costs_)) {
    const Showings shows = showings(circuit, prior_, belief_, needs_of(circuit, checks_.checks), 0, {});
    Belief all_open = belief_;
    for (WorkGroup& group : all_open.groups) group.stands_open = group.opened;
    forecasts_ = forecasts(circuit, all_open, shows, checks_.checks, "psi");
    for (const SetUp& one : checks_.setups) setups_.push_back(costs_.work(one.time, one.money));
    for (const Forecast& forecast : forecasts_) {
      behind_.push_back(-1);
      for (std::size_t g = 0; g < belief_.groups.size() && forecast.check.where == Check::Where::open_cover; ++g)
        if (place_of_check(forecast.check.id) == belief_.groups[g].name) behind_.back() = static_cast<int>(g);
      models_.push_back({costs_.work(forecast.check.time, forecast.check.money), forecast.likelihood});
      for (std::size_t s = 0; s < setups_.size(); ++s)
        if (std::ranges::find(forecast.check.setups, checks_.setups[s].name) != forecast.check.setups.end())
          models_.back().setups.push_back(s);
    }
    weights_ = belief_.weights();
    for (const CrankShowing& crank : shows.crank) log_plateaus_.push_back(std::log(std::max(crank.plateau, 1e4)));
    for (std::size_t i = 0; i < belief_.possibilities.size(); ++i) {
      classes_.push_back(belief_.possibilities[i].hypothesis);
      if (starts_hot(circuit, shows, i)) weights_[static_cast<Eigen::Index>(i)] = 0;
    }
    weights_ /= weights_.sum();
  }

  /// One engine on the yard. The same check shows the same to all who do it.
  struct Engine {
    std::size_t truth;  // index of the possibility
    unsigned seed;
  };

  std::vector<Engine> draw(int count, unsigned seed) const {
    std::mt19937 random(seed);
    std::discrete_distribution<std::size_t> truth(weights_.begin(), weights_.end());
    std::vector<Engine> all;
    for (int i = 0; i < count; ++i) all.push_back({truth(random), static_cast<unsigned>(random())});
    return all;
  }

  Spent by_advice(const Engine& engine) const {
    State now = begin(engine);
    while (!now.over) {
      const auto [known, is_new] = advised_.try_emplace(now.history);
      if (is_new) known->second = advice(now);
      const Advice& next = known->second;
      if (next.check >= 0)
        do_check(now, engine, static_cast<std::size_t>(next.check));
      else if (next.step >= 0)
        do_step(now, engine, next.step);
      else
        stop(now, engine);
    }
    return now.spent;
  }

  Spent most_probable_first(const Engine& engine) const {
    State now = begin(engine);
    while (!now.over) open_most_probable(now, engine);
    return now.spent;
  }

  Spent cheapest_first(const Engine& engine) const {
    State now = begin(engine);
    std::vector<int> steps(problem_.groups.size() + problem_.trials.size());
    for (std::size_t i = 0; i < steps.size(); ++i) steps[i] = static_cast<int>(i);
    std::ranges::stable_sort(steps, {}, [&](int step) { return cost_of(step).money; });
    while (!now.over) {
      const auto next = std::ranges::find_if(steps, [&](int step) { return possible(now, step); });
      if (next == steps.end())
        stop(now, engine);
      else
        do_step(now, engine, *next);
    }
    return now.spent;
  }

  /// The order of the manuals; what one cover holds with 80 % is opened at once (assumed).
  Spent by_ladder(const Engine& engine) const {
    State now = begin(engine);
    for (const char* id : {"oil level", "codes", "sync", "sensor volts", "base oil gauge", "regulator screen",
                           "air open", "air energised", "isolation", "one rail"}) {
      if (surest(now).second >= 0.8) break;
      for (std::size_t k = 0; k < forecasts_.size(); ++k)
        if (forecasts_[k].check.id.starts_with(id) && !now.done[k]) do_check(now, engine, k);
    }
    while (!now.over) open_most_probable(now, engine);
    return now.spent;
  }

  Spent with_perfect_knowledge(const Engine& engine) const {
    const OpeningCase& one = case_of(engine);
    if (one.finds.empty()) return {one.left};
    const OpeningCase::Find& find = one.finds.front();
    return {problem_.groups[static_cast<std::size_t>(find.group)] + find.repair};
  }

 private:
  struct State {
    Eigen::VectorXd weights;
    std::vector<bool> done, ready, stepped;  // checks; set-ups; covers opened and parts tried
    Spent spent;
    bool over = false;
    std::string history;  // what was done and what it showed: all that the advice can know
  };

  /// One of the two, or -1 both: stop.
  struct Advice {
    int check = -1, step = -1;
  };

  /// What `next` would reckon with: the hypotheses that matter now, and the search among their covers and parts.
  struct Considered {
    Eigen::VectorXd weights;   // of the possibilities of the whole belief; 0: not considered
    std::vector<int> case_of;  // of each hypothesis of the whole belief; -1: not considered
    Belief belief;
    OpeningProblem problem;

    double time_of(int step) const {
      const auto groups = static_cast<int>(problem.groups.size());
      return step < groups ? problem.groups[static_cast<std::size_t>(step)].time
                           : problem.trials[static_cast<std::size_t>(step - groups)].cost.time;
    }

    Eigen::VectorXd of_cases(const Eigen::VectorXd& all, const std::vector<std::size_t>& classes) const {
      Eigen::VectorXd sums = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(problem.cases.size()));
      for (std::size_t i = 0; i < classes.size(); ++i)
        if (case_of[classes[i]] >= 0) sums[case_of[classes[i]]] += all[static_cast<Eigen::Index>(i)];
      return sums;
    }
  };

  Advice advice(const State& now) const {
    const Considered considered = consider(now);
    const Opening opening(considered.problem);
    const auto of_cases = [&](const Eigen::VectorXd& w) { return considered.of_cases(w, classes_); };
    const Worth worth = [&](const Eigen::VectorXd& w) { return opening.value(of_cases(w)); };
    State seen = now;
    seen.weights = considered.weights;
    const std::vector<int> steps = opening.best(of_cases(seen.weights)).steps;
    const double first_opening = steps.empty() ? 0 : considered.time_of(steps.front());
    if (const int check = check_that_pays(seen, worth, first_opening); check >= 0) return {check, -1};
    for (const int step : steps)
      if (const int whole = step_of(considered.belief, step); !now.stepped[static_cast<std::size_t>(whole)])
        return {-1, whole};
    return {};
  }

  Considered consider(const State& now) const {
    MatchResult result;
    std::vector<std::size_t> fit_of;
    const Eigen::VectorXd hypotheses = of_hypotheses(now.weights);
    for (std::size_t f = 0; f < prior_.fits.size(); ++f) {
      FaultFit fit = prior_.fits[f];
      fit.probability = 0;
      std::vector<double> shares;
      const bool has_places = !fit.candidate.suspects.empty();
      if (has_places) shares.assign(fit.candidate.suspects.front().places.size(), 0);
      for (std::size_t h = 0; h < belief_.hypotheses.size(); ++h) {
        if (belief_.hypotheses[h].fit != f) continue;
        const double p = hypotheses[static_cast<Eigen::Index>(h)];
        fit.probability += p;
        if (has_places) spread(p, belief_.hypotheses[h], fit.candidate.suspects.front(), shares);
      }
      if (!(fit.probability > 0)) continue;
      for (double& share : shares) share /= fit.probability;
      if (has_places) fit.places = {shares};
      result.fits.push_back(std::move(fit));
      fit_of.push_back(f);
    }
    std::vector<std::size_t> order(result.fits.size());
    std::iota(order.begin(), order.end(), 0);
    std::ranges::stable_sort(order, std::greater{}, [&](std::size_t i) { return result.fits[i].probability; });
    MatchResult sorted;
    for (const std::size_t i : order) sorted.fits.push_back(result.fits[i]);

    Considered all{now.weights, std::vector<int>(belief_.hypotheses.size(), -1), belief(circuit_, sorted, costs_), {}};
    all.problem = opening_problem(circuit_, all.belief, costs_);
    for (std::size_t c = 0; c < all.belief.hypotheses.size(); ++c)
      for (std::size_t h = 0; h < belief_.hypotheses.size(); ++h)
        if (is_same(all.belief, all.belief.hypotheses[c], fit_of[order[all.belief.hypotheses[c].fit]], h))
          all.case_of[h] = static_cast<int>(c);
    for (std::size_t i = 0; i < classes_.size(); ++i)
      if (all.case_of[classes_[i]] < 0) all.weights[static_cast<Eigen::Index>(i)] = 0;
    all.weights /= all.weights.sum();
    leave_out_what_was_done(now, all);
    return all;
  }

  /// The probability of a hypothesis over the places that it stands for.
  static void spread(double p, const Hypothesis& hypothesis, const Suspect& whole, std::vector<double>& shares) {
    const std::vector<PossibleFault>& own = hypothesis.candidate.suspects.front().places;
    for (std::size_t i = 0; i < whole.places.size(); ++i)
      if (std::ranges::find(own, whole.places[i].place, &PossibleFault::place) != own.end())
        shares[i] += p / static_cast<double>(own.size());
  }

  bool is_same(const Belief& now, const Hypothesis& one, std::size_t fit, std::size_t h) const {
    const Hypothesis& other = belief_.hypotheses[h];
    if (other.fit != fit || other.groups.size() != one.groups.size()) return false;
    return one.groups.empty() || now.groups[static_cast<std::size_t>(one.groups.front())].name ==
                                     belief_.groups[static_cast<std::size_t>(other.groups.front())].name;
  }

  /// What is open is free to go through and shows no more.
  void leave_out_what_was_done(const State& now, Considered& all) const {
    for (std::size_t g = 0; g < all.problem.groups.size(); ++g) {
      if (!now.stepped[static_cast<std::size_t>(step_of(all.belief, static_cast<int>(g)))]) continue;
      all.problem.groups[g] = {};
      for (OpeningCase& one : all.problem.cases)
        for (OpeningCase::Find& find : one.finds)
          if (find.group == static_cast<int>(g)) find.visible = 0;
    }
  }

  /// A step among all there are.
  int step_of(const Belief& now, int step) const {
    const auto named = [&](int group) {
      const auto found =
          std::ranges::find(belief_.groups, now.groups[static_cast<std::size_t>(group)].name, &WorkGroup::name);
      return static_cast<int>(found - belief_.groups.begin());
    };
    const auto groups = static_cast<int>(now.groups.size());
    if (step < groups) return named(step);
    const SuspectedPart& part = now.parts[static_cast<std::size_t>(step - groups)];
    const auto found = std::ranges::find_if(
        belief_.parts, [&](const SuspectedPart& p) { return p.group == named(part.group) && p.name == part.name; });
    return static_cast<int>(belief_.groups.size()) + static_cast<int>(found - belief_.parts.begin());
  }

  bool starts_hot(const Circuit& circuit, const Showings& shows, std::size_t i) const {
    const Hypothesis& hypothesis = belief_.hypotheses[classes_[i]];
    const bool of_oil = std::ranges::any_of(hypothesis.candidate.suspects, [](const Suspect& suspect) {
      const std::string_view word = suspect.kind->word;
      return word != "no sync" && word != "weak shots" && word != "driver dead";
    });
    return of_oil && !(shows.crank[i].plateau < circuit.control.enable_pressure);
  }

  const OpeningCase& case_of(const Engine& engine) const { return problem_.cases[classes_[engine.truth]]; }
  const Cost& cost_of(int step) const {
    const auto groups = static_cast<int>(problem_.groups.size());
    return step < groups ? problem_.groups[static_cast<std::size_t>(step)]
                         : problem_.trials[static_cast<std::size_t>(step - groups)].cost;
  }

  Eigen::VectorXd of_hypotheses(const Eigen::VectorXd& weights) const {
    Eigen::VectorXd all = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(problem_.cases.size()));
    for (std::size_t i = 0; i < classes_.size(); ++i)
      all[static_cast<Eigen::Index>(classes_[i])] += weights[static_cast<Eigen::Index>(i)];
    return all;
  }

  /// With the hot crank logged, which costs everybody the same and is not counted.
  State begin(const Engine& engine) const {
    State now{weights_,
              std::vector<bool>(forecasts_.size()),
              std::vector<bool>(setups_.size()),
              std::vector<bool>(problem_.groups.size() + problem_.trials.size()),
              {},
              false,
              {}};
    std::mt19937 random(engine.seed);
    const double logged =
        std::round((log_plateaus_[engine.truth] + log_error * std::normal_distribution<double>()(random)) / log_error) *
        log_error;
    for (std::size_t i = 0; i < log_plateaus_.size(); ++i)
      now.weights[static_cast<Eigen::Index>(i)] *=
          std::exp(-0.5 * std::pow((logged - log_plateaus_[i]) / log_error, 2));
    now.weights /= now.weights.sum();
    now.history = "logged " + std::to_string(logged) + "; ";
    for (std::size_t k = 0; k < forecasts_.size(); ++k)
      if (forecasts_[k].check.id == "hot crank" || forecasts_[k].check.id == "read again") now.done[k] = true;
    return now;
  }

  void learn(State& now, const Engine& engine, std::size_t check) const {
    const Eigen::MatrixXd& likelihood = models_[check].likelihood;
    const Eigen::VectorXd row = likelihood.row(static_cast<Eigen::Index>(engine.truth));
    std::mt19937 random(engine.seed + 7919 * static_cast<unsigned>(check));
    std::discrete_distribution<Eigen::Index> outcome(row.begin(), row.end());
    const Eigen::Index shown = outcome(random);
    now.weights = now.weights.cwiseProduct(likelihood.col(shown));
    now.weights /= now.weights.sum();
    now.done[check] = true;
    now.history += "check " + std::to_string(check) + " shows " + std::to_string(shown) + "; ";
  }

  void do_check(State& now, const Engine& engine, std::size_t check) const {
    now.spent.cost += models_[check].cost;
    for (const std::size_t setup : models_[check].setups)
      if (!now.ready[setup]) now.spent.cost += setups_[setup], now.ready[setup] = true;
    learn(now, engine, check);
  }

  bool possible(const State& now, int step) const {
    if (now.stepped[static_cast<std::size_t>(step)]) return false;
    const auto groups = static_cast<int>(problem_.groups.size());
    return step < groups ||
           now.stepped[static_cast<std::size_t>(problem_.trials[static_cast<std::size_t>(step - groups)].group)];
  }

  /// Opens a cover or renews a part, as chance has it.
  void do_step(State& now, const Engine& engine, int step) const {
    const auto groups = static_cast<int>(problem_.groups.size());
    now.spent.cost += cost_of(step);
    now.stepped[static_cast<std::size_t>(step)] = true;
    now.history += "step " + std::to_string(step) + " in vain; ";
    const OpeningCase& truth = case_of(engine);
    const OpeningCase::Find* find = truth.finds.empty() ? nullptr : &truth.finds.front();
    if (step >= groups) {
      now.over = find && find->trial == step - groups;
      now.spent.wrong_parts += now.over ? 0 : 1;
    } else if (find && find->group == step) {
      std::mt19937 random(engine.seed + 104729 * static_cast<unsigned>(step + 1));
      now.over = std::uniform_real_distribution<double>()(random) < find->visible;
      if (now.over) now.spent.cost += find->repair;
    }
    for (std::size_t i = 0; i < classes_.size() && !now.over; ++i)
      for (const OpeningCase::Find& other : problem_.cases[classes_[i]].finds) {
        if (step >= groups ? other.trial == step - groups : other.group == step)
          now.weights[static_cast<Eigen::Index>(i)] *= step >= groups ? 0 : 1 - other.visible;
      }
    if (!now.over && now.weights.sum() > 0) now.weights /= now.weights.sum();
  }

  void stop(State& now, const Engine& engine) const {
    now.spent.cost += case_of(engine).left;
    now.spent.comeback = !case_of(engine).finds.empty();
    now.over = true;
  }

  /// The check that `next` would name first; -1: none pays.
  int check_that_pays(const State& now, const Worth& worth, double first_opening) const {
    std::vector<std::size_t> offered;
    std::vector<CheckModel> models;
    std::vector<Cost> setups = setups_;
    for (std::size_t s = 0; s < setups.size(); ++s)
      if (now.ready[s]) setups[s] = {};
    for (std::size_t k = 0; k < models_.size(); ++k)
      if (!now.done[k] && (behind_[k] < 0 || now.stepped[static_cast<std::size_t>(behind_[k])])) offered.push_back(k);
    for (const std::size_t k : offered) models.push_back(models_[k]);
    const std::vector<CheckValue> values = value_checks(now.weights, classes_, models, worth, 0, {}, setups);
    std::vector<Cost> own;
    for (const CheckModel& model : models) own.push_back(model.cost + setting_up(model, nullptr, setups));
    const std::vector<CheckStanding> standing =
        standings(values, own, worth(now.weights), first_opening, entropy(now.weights, classes_));
    const std::vector<std::size_t> order = ranking(values, own, standing);
    return order.empty() || !standing[order.front()].pays ? -1 : static_cast<int>(offered[order.front()]);
  }

  /// The cover that most probably hides it, or -1 for not the oil side; and that probability.
  std::pair<int, double> surest(const State& now) const {
    std::vector<double> mass(problem_.groups.size() + 1, 0);
    const Eigen::VectorXd cases = of_hypotheses(now.weights);
    for (std::size_t c = 0; c < problem_.cases.size(); ++c) {
      const auto& finds = problem_.cases[c].finds;
      mass[finds.empty() ? problem_.groups.size() : static_cast<std::size_t>(finds.front().group)] +=
          cases[static_cast<Eigen::Index>(c)];
    }
    const auto most = std::ranges::max_element(mass) - mass.begin();
    return {most == static_cast<long>(problem_.groups.size()) ? -1 : static_cast<int>(most),
            mass[static_cast<std::size_t>(most)]};
  }

  /// The most probable cover, and behind it the most probable part.
  void open_most_probable(State& now, const Engine& engine) const {
    const int group = surest(now).first;
    if (group < 0 || now.weights.sum() == 0) return stop(now, engine);
    if (!now.stepped[static_cast<std::size_t>(group)]) return do_step(now, engine, group);
    const auto groups = static_cast<int>(problem_.groups.size());
    std::vector<double> mass(problem_.trials.size(), 0);
    const Eigen::VectorXd cases = of_hypotheses(now.weights);
    for (std::size_t c = 0; c < problem_.cases.size(); ++c)
      for (const OpeningCase::Find& find : problem_.cases[c].finds)
        if (find.group == group && find.trial >= 0)
          mass[static_cast<std::size_t>(find.trial)] += cases[static_cast<Eigen::Index>(c)];
    const auto most = std::ranges::max_element(mass);
    if (most == mass.end() || *most == 0) return stop(now, engine);
    do_step(now, engine, groups + static_cast<int>(most - mass.begin()));
  }

  const Circuit& circuit_;
  Costs costs_;
  Checks checks_;
  MatchResult prior_;
  Belief belief_;
  OpeningProblem problem_;
  std::vector<Forecast> forecasts_;
  std::vector<CheckModel> models_;
  std::vector<int> behind_;  // cover that must be off for each check; -1: none
  std::vector<Cost> setups_;
  std::vector<double> log_plateaus_;  // ln of what each possibility shows [Pa]
  std::vector<std::size_t> classes_;
  Eigen::VectorXd weights_;
  mutable std::map<std::string, Advice> advised_;  // by history: engines that showed the same are advised the same
};

void print_row(const char* name, const std::vector<Spent>& all) {
  const auto n = static_cast<double>(all.size());
  double money = 0, hours = 0, squares = 0, wrong = 0, comebacks = 0;
  for (const Spent& one : all) {
    money += one.cost.money / n, hours += one.cost.time / 3600 / n, squares += one.cost.money * one.cost.money / n;
    wrong += one.wrong_parts / n, comebacks += one.comeback ? 1 / n : 0;
  }
  std::printf("| %s | %.0f +- %.0f | %.1f | %.2f | %.1f %% |\n", name, money, std::sqrt((squares - money * money) / n),
              hours, wrong, 100 * comebacks);
  std::fflush(stdout);
}

int run(const std::string& circuit, int engines, unsigned seed) {
  const std::string models = std::string(RAILSEEP_SOURCE_DIR) + "/models/";
  const Circuit on_the_yard = read_circuit(models + circuit + ".json");
  const Workshop workshop(on_the_yard, models);
  const std::vector<Workshop::Engine> all = workshop.draw(engines, seed);
  std::printf(
      "%d made-up engines, %s, seed %u; money and hours to a proved repair, mean and its standard error\n\n"
      "| by | money | hours | wrong parts | comebacks |\n|---|---|---|---|---|\n",
      engines, circuit.c_str(), seed);
  const auto row = [&](const char* name, Spent (Workshop::*way)(const Workshop::Engine&) const) {
    std::vector<Spent> spent;
    for (const Workshop::Engine& engine : all) spent.push_back((workshop.*way)(engine));
    print_row(name, spent);
  };
  row("perfect knowledge", &Workshop::with_perfect_knowledge);
  row("most probable first", &Workshop::most_probable_first);
  row("cheapest first", &Workshop::cheapest_first);
  row("fixed ladder", &Workshop::by_ladder);
  row("the program's advice", &Workshop::by_advice);
  return 0;
}

}  // namespace
}  // namespace railseep

int main(int count, char** words) {
  try {
    return railseep::run(count > 1 ? words[1] : "valley_v8", count > 2 ? std::stoi(words[2]) : 200,
                         count > 3 ? static_cast<unsigned>(std::stoul(words[3])) : 1);
  } catch (const std::exception& error) {
    std::cerr << error.what() << "\n";
    return 1;
  }
}

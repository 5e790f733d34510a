#include "match/ranking.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "fit/in_parallel.hpp"
#include "match/look_alikes.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr std::size_t scouts = 2;  // fitted first, to learn how the nuisances act
constexpr std::size_t single_steps = 7 + CandidateSearch::rounds,
                      pair_steps = 6;  // of each candidate, counted for the progress
// Of cost with wide tolerances behind the best: not looked at where others found the engine; not taken into the first,
// the next round of descents. In four jobs of scenarios/ none that ended near the best began more than 23 behind it
// (counted); else assumed.
constexpr double hopeless_at_once = 150;
constexpr std::array<double, CandidateSearch::rounds> hopeless{80, 40, 20};
// After the last round, not searched: a cost beyond so much, and so many times the best's. The further off the best is
// still, the less it tells (assumed).
constexpr double hopeless_after = 2, hopeless_times = 5;
constexpr double hopeless_beside =
    12;  // as far behind after its descents, a candidate is not told of the best's engine
constexpr double out_of_running =
    12;  // ln evidence behind the best, by the linear guess from where the rough search ended: not fitted
constexpr int most_passes = 4;  // of what the best found over to all others
constexpr double better_engine =
    1;  // ln evidence that the best has gained since all were told of it: worth telling them again
constexpr double worth_weighing = 4;  // ln evidence behind the best: the posterior's true shape no longer matters
constexpr double observed_along =
    4;  // more of it where something was observed beside the logs: it may speak otherwise at another severity
constexpr std::size_t pair_firsts = 6;  // kinds of fault that a second one is tried beside
constexpr std::size_t pair_laws =
    2;                           // kinds of each law that are tried with those of the other where one fault will do
constexpr double pair_gain = 2;  // ln evidence that a second fault must promise to be fitted

bool usable(const CandidateFit& fit) { return fit.fit().trouble.empty(); }
bool searched(const CandidateFit& fit) { return usable(fit) && !fit.follows(); }

/// Whether it is worth going on with a candidate. A sound engine always is: it has no severity along which it could
/// have been seen in a better place, it is the one hypothesis that nothing need be opened for, and every fault that
/// these logs do not feel follows it.
bool worth(const CandidateFit& fit, double cost, double limit) { return fit.candidate().healthy() || cost < limit; }

bool fitted(const CandidateFit& fit) { return usable(fit) && fit.fit().fitted; }
/// Of the logs alone.
double lowest_cost(const Ranking::Fits& fits) {
  double lowest = std::numeric_limits<double>::infinity();
  for (const auto& fit : fits)
    if (fitted(*fit)) lowest = std::min(lowest, fit->logs_neg_log_evidence());
  return lowest;
}

double lowest_standing(const Ranking::Fits& fits) {
  double lowest = std::numeric_limits<double>::infinity();
  for (const auto& fit : fits)
    if (fitted(*fit)) lowest = std::min(lowest, fit->total_neg_log_evidence());
  return lowest;
}

double lowest_descent_cost(const Ranking::Fits& fits) {
  double lowest = std::numeric_limits<double>::infinity();
  for (const auto& fit : fits)
    if (usable(*fit)) lowest = std::min(lowest, fit->descent_cost());
  return lowest;
}

double lowest_scan_cost(const Ranking::Fits& fits) {
  double lowest = std::numeric_limits<double>::infinity();
  for (const auto& fit : fits)
    if (searched(*fit)) lowest = std::min(lowest, fit->best_scan_cost());
  return lowest;
}

const CandidateFit* healthy_of(const Ranking::Fits& fits) {
  const auto found =
      std::ranges::find_if(fits, [](const auto& fit) { return fit->candidate().healthy() && usable(*fit); });
  return found == fits.end() ? nullptr : found->get();
}

/// A fault that these logs do not feel explains them as a sound engine does.
void follow_healthy(const Ranking::Fits& fits) {
  const CandidateFit* healthy = healthy_of(fits);
  for (const auto& fit : fits)
    if (healthy && usable(*fit) && !fit->follows() && !fit->candidate().healthy()) fit->follow(*healthy);
}

/// Faults of the same effect need one search, in which the first of them stands for all. Not where something was
/// blocked: the link that leaks might be what was
void follow_twins(const Circuit& circuit, const Evidence& evidence, const Ranking::Fits& fits) {
  if (std::ranges::any_of(evidence.logs, [](const CrankEvidence& log) { return !log.block.empty(); })) return;
  const auto fault_of = [](const CandidateFit& fit) -> const PossibleFault& {
    return fit.candidate().suspects.front().places.front();
  };
  const auto twins = [&](const CandidateFit& one, const CandidateFit& other) {
    return !one.candidate().healthy() && !other.candidate().healthy() && !other.follows() &&
           one.fit().unknowns[0].logarithmic && other.fit().unknowns[0].logarithmic &&
           same_effect(circuit, fault_of(one), fault_of(other));
  };
  for (std::size_t i = 0; i < fits.size(); ++i)
    for (std::size_t k = 0; k < i && !fits[i]->follows(); ++k)
      if (twins(*fits[i], *fits[k])) fits[i]->follow_twin(*fits[k]);
}

/// One kind of fault among the single candidates: its likeliest one, and all places and priors together.
struct Kind {
  const CandidateFit* best;
  Suspect suspect;
  double prior;
};

std::vector<Kind> kinds_of(const Ranking::Fits& singles) {
  std::vector<Kind> all;
  for (const auto& fit : singles) {
    if (fit->candidate().healthy() || !usable(*fit)) continue;
    const Suspect& suspect = fit->candidate().suspects.front();
    const auto known = std::ranges::find(all, suspect.kind, [](const Kind& kind) { return kind.suspect.kind; });
    if (known == all.end()) {
      all.push_back({fit.get(), suspect, fit->candidate().prior});
      continue;
    }
    known->prior += fit->candidate().prior;
    const bool better = fit->total_neg_log_evidence() < known->best->total_neg_log_evidence();
    known->suspect.places.insert(better ? known->suspect.places.begin() : known->suspect.places.end(),
                                 suspect.places.begin(), suspect.places.end());
    if (better) known->best = fit.get();
  }
  std::ranges::stable_sort(all, {}, [](const Kind& kind) { return kind.best->total_neg_log_evidence(); });
  return all;
}

/// Prior of all pairs of different kinds, before it is shared.
double weight_of_pairs(const std::vector<Kind>& kinds) {
  double weights = 0;
  for (std::size_t i = 0; i < kinds.size(); ++i)
    for (std::size_t k = i + 1; k < kinds.size(); ++k) weights += kinds[i].prior * kinds[k].prior;
  return weights;
}

Candidate pair_of(const Kind& first, const Kind& second, double share) {
  return {{first.suspect, second.suspect}, share * first.prior * second.prior};
}

}  // namespace

void Ranking::report(const CandidateFit& taken) {
  const std::lock_guard lock(guard_);
  ++done_;
  if (fitted(taken) && (best_.unknowns.empty() || taken.fit().log_evidence > best_.log_evidence)) best_ = taken.fit();
  if (options_.progress) options_.progress(std::min(done_, all_), all_, best_);
}

void Ranking::each(Fits& fits, const std::function<void(std::size_t)>& work) {
  in_parallel(fits.size(), options_.threads, [&](std::size_t i) {
    work(i);
    report(*fits[i]);
  });
}

const CandidateFit& Ranking::scout(Fits& fits) {
  std::vector<CandidateFit*> order;
  for (const auto& fit : fits)
    if (searched(*fit)) order.push_back(fit.get());
  std::ranges::stable_sort(order, {}, [](const CandidateFit* fit) { return fit->best_scan_cost(); });
  order.resize(std::min(scouts, order.size()));
  in_parallel(order.size(), options_.threads, [&](std::size_t i) { order[i]->search_widened(); });
  double promised = std::numeric_limits<double>::infinity();
  for (const CandidateFit* fit : order) promised = std::min(promised, fit->expected_neg_log_evidence());
  in_parallel(order.size(), options_.threads, [&](std::size_t i) {
    if (order[i]->expected_neg_log_evidence() <= promised + out_of_running) order[i]->search();
  });
  const CandidateFit* best = nullptr;
  for (const CandidateFit* fit : order)
    if (fitted(*fit) && (!best || fit->total_neg_log_evidence() < best->total_neg_log_evidence())) best = fit;
  if (!best)
    throw Error(circuit_.name, fits.front()->fit().trouble, "check the circuit and the conditions of the logs");
  return *best;
}

const CandidateFit* Ranking::best_single(const Fits& fits) const {
  const CandidateFit* best = nullptr;
  for (const auto& fit : fits)
    if (fitted(*fit) && fit->candidate().suspects.size() <= 1 &&
        (!best || fit->neg_log_evidence() < best->neg_log_evidence()))
      best = fit.get();
  return best;
}

/// Candidates that explain the same logs agree about the engine: what the best found is a place to begin for all.
void Ranking::restart_from_best(Fits& fits, const CandidateFit& best) {
  const Eigen::MatrixXd others = best.nuisance_jacobian();
  const Eigen::VectorXd at = best.fit().u;
  const double limit = best.logs_neg_log_evidence() + out_of_running,
               descended_limit = lowest_descent_cost(fits) + hopeless_beside;
  each(fits, [&](std::size_t i) {
    const bool near = fitted(*fits[i]) || fits[i]->descent_cost() < descended_limit;
    if (fits[i].get() != &best && searched(*fits[i]) && near && fits[i]->candidate().suspects.size() <= 1)
      fits[i]->restart_from(others, at, limit);
  });
}

/// What these must come near to: @param lowest_cost -ln evidence of the logs, @param lowest of all that is known
void Ranking::fit_what_can_matter(Fits& fits, double lowest_cost, double lowest) {
  each(fits, [&](std::size_t i) {
    if (searched(*fits[i]) && !fitted(*fits[i]) &&
        worth(*fits[i], fits[i]->expected_neg_log_evidence(), lowest_cost + out_of_running))
      fits[i]->search();
  });
  double told = std::numeric_limits<double>::infinity();
  for (int pass = 0; pass < most_passes; ++pass) {
    const CandidateFit* best = best_single(fits);
    const bool tell = best && best->neg_log_evidence() < told - better_engine;
    if (pass > 0 && !tell) break;
    if (tell) told = best->neg_log_evidence(), restart_from_best(fits, *best);
    update_followers(fits);
    each(fits, [&](std::size_t i) {
      if (usable(*fits[i]) && (pass == 0 || fitted(*fits[i]))) fits[i]->observe();
    });
    const double limit = std::min(lowest, lowest_standing(fits)) + worth_weighing +
                         (evidence_.observations.empty() ? 0 : observed_along);
    for (const bool twins : {false, true})  // those take after what the others found
      each(fits, [&](std::size_t i) {
        if (fitted(*fits[i]) && fits[i]->follows_twin() == twins && fits[i]->total_neg_log_evidence() < limit)
          fits[i]->weigh();
      });
  }
}

/// Of those that follow, the silent ones first: a twin may follow one of them.
void Ranking::update_followers(Fits& fits) {
  for (const auto& fit : fits)
    if (fit->follows() && !fit->follows_twin()) fit->update_from_leader();
  each(fits, [&](std::size_t i) {
    if (fits[i]->follows_twin()) fits[i]->update_from_leader();
  });
}

/// In rounds, in each only those that are not hopelessly behind.
void Ranking::descend(Fits& fits) {
  for (std::size_t round = 0; round < CandidateSearch::rounds; ++round) {
    const double limit = (round == 0 ? lowest_scan_cost(fits) : lowest_descent_cost(fits)) + hopeless[round];
    each(fits, [&](std::size_t i) {
      if (searched(*fits[i]) && !fits[i]->searched_widened() &&
          worth(*fits[i], round == 0 ? fits[i]->best_scan_cost() : fits[i]->descent_cost(), limit))
        fits[i]->descend(round);
    });
  }
}

Ranking::Fits Ranking::singles(const std::vector<Candidate>& candidates) {
  Fits fits;
  for (const Candidate& candidate : candidates)
    fits.push_back(std::make_unique<CandidateFit>(circuit_, evidence_, candidate));
  all_ += single_steps * fits.size();
  follow_twins(circuit_, evidence_, fits);
  each(fits, [&](std::size_t i) {
    if (!fits[i]->follows()) fits[i]->scan_severities();
  });
  follow_healthy(fits);
  const CandidateFit& best = scout(fits);
  const Eigen::MatrixXd others = best.nuisance_jacobian();
  const double worth_a_screen = lowest_scan_cost(fits) + hopeless_at_once;
  in_parallel(fits.size(), options_.threads, [&](std::size_t i) {
    if (searched(*fits[i]) && !fits[i]->searched_widened() &&
        worth(*fits[i], fits[i]->best_scan_cost(), worth_a_screen))
      fits[i]->rescan_at(others, best.fit().u);
  });
  descend(fits);
  const double limit = hopeless_after + hopeless_times * lowest_descent_cost(fits);
  each(fits, [&](std::size_t i) {
    if (searched(*fits[i]) && !fits[i]->searched_widened() && worth(*fits[i], fits[i]->descent_cost(), limit))
      fits[i]->search_widened();
  });
  fit_what_can_matter(fits, lowest_cost(fits), std::numeric_limits<double>::infinity());
  return fits;
}

/// A pair is searched from where the first of its faults was found alone.
Ranking::Fits Ranking::fit_pairs(const std::vector<Pair>& pairs, const Fits& singles) {
  Fits fits;
  for (const Pair& pair : pairs) {
    fits.push_back(std::make_unique<CandidateFit>(circuit_, evidence_, pair.candidate));
    fits.back()->begin_from(*pair.first);
  }
  all_ += pair_steps * fits.size();
  const double lowest = lowest_cost(singles);
  each(fits, [&](std::size_t i) {
    fits[i]->scan_severities();
    fits[i]->rescan_at(pairs[i].first->jacobian(), pairs[i].first->fit().u);
    if (fits[i]->expected_neg_log_evidence() < lowest - pair_gain) fits[i]->search_widened();
  });
  fit_what_can_matter(fits, lowest - pair_gain - out_of_running, lowest_standing(singles) - pair_gain);
  return fits;
}

Ranking::Fits Ranking::pairs(const Fits& singles, double share) {
  const std::vector<Kind> kinds = kinds_of(singles);
  const double weights = weight_of_pairs(kinds);
  std::vector<Pair> all;
  for (std::size_t i = 0; i < std::min(pair_firsts, kinds.size()); ++i)
    for (std::size_t k = i + 1; k < kinds.size() && fitted(*kinds[i].best); ++k)
      all.push_back({kinds[i].best, pair_of(kinds[i], kinds[k], share / weights)});
  return fit_pairs(all, singles);
}

Ranking::Fits Ranking::pairs_of_laws(const Fits& singles, double share, std::size_t& screened) {
  const std::vector<Kind> kinds = kinds_of(singles);
  const double weights = weight_of_pairs(kinds);
  std::vector<Kind> holes, films;
  for (const Kind& kind : kinds) {
    if (hole_like(kind.best->candidate()) && holes.size() < pair_laws) holes.push_back(kind);
    if (film_like(kind.best->candidate()) && films.size() < pair_laws) films.push_back(kind);
  }
  std::vector<Pair> all;
  for (const Kind& hole : holes)
    for (const Kind& film : films) {
      const bool hole_first = hole.best->total_neg_log_evidence() <= film.best->total_neg_log_evidence();
      const Kind &first = hole_first ? hole : film, &second = hole_first ? film : hole;
      if (fitted(*first.best)) all.push_back({first.best, pair_of(first, second, share / weights)});
    }
  screened = all.size();
  Fits fits = fit_pairs(all, singles);
  const double limit = lowest_standing(singles) - pair_gain;
  std::erase_if(fits, [limit](const auto& fit) { return !fitted(*fit) || fit->total_neg_log_evidence() > limit; });
  return fits;
}

}  // namespace railseep

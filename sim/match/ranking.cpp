#include "match/ranking.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "match/in_parallel.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr std::size_t scouts = 3;      // fitted first, to learn how the nuisances act
constexpr std::size_t single_steps = 6 + LogFit::rounds, pair_steps = 5;  // of each candidate, counted for the progress
// Of cost with wide tolerances behind the best: not taken into the next round of descents; after the last one, not searched.
constexpr std::array<double, LogFit::rounds> hopeless{40, 20, 8};
constexpr double out_of_running = 12;  // ln evidence behind the best, by the linear guess from where the rough search ended: not fitted
constexpr int most_passes = 4;         // of what the best found over to all others
constexpr double better_engine = 1;    // ln evidence that the best has gained since all were told of it: worth telling them again
constexpr double worth_weighing = 4;   // ln evidence behind the best: the posterior's true shape no longer matters
constexpr double observed_along = 4;   // more of it where something was observed beside the logs: it may speak otherwise at another severity
constexpr std::size_t pair_firsts = 6; // kinds of fault that a second one is tried beside
constexpr double pair_gain = 2;        // ln evidence that a second fault must promise to be fitted

bool usable(const CandidateFit& fit) { return fit.fit().trouble.empty(); }
bool searched(const CandidateFit& fit) { return usable(fit) && !fit.follows(); }
bool fitted(const CandidateFit& fit) { return usable(fit) && fit.fit().fitted; }
/// Of the logs alone.
double lowest_cost(const Ranking::Fits& fits) {
  double lowest = std::numeric_limits<double>::infinity();
  for (const auto& fit : fits)
    if (fitted(*fit)) lowest = std::min(lowest, fit->of_logs());
  return lowest;
}

double lowest_standing(const Ranking::Fits& fits) {
  double lowest = std::numeric_limits<double>::infinity();
  for (const auto& fit : fits)
    if (fitted(*fit)) lowest = std::min(lowest, fit->standing());
  return lowest;
}

double lowest_descended(const Ranking::Fits& fits) {
  double lowest = std::numeric_limits<double>::infinity();
  for (const auto& fit : fits)
    if (usable(*fit)) lowest = std::min(lowest, fit->descended());
  return lowest;
}

const CandidateFit* healthy_of(const Ranking::Fits& fits) {
  const auto found = std::ranges::find_if(fits, [](const auto& fit) { return fit->candidate().healthy() && usable(*fit); });
  return found == fits.end() ? nullptr : found->get();
}

/// A fault that these logs do not feel explains them as a sound engine does.
void follow_healthy(const Ranking::Fits& fits) {
  const CandidateFit* healthy = healthy_of(fits);
  for (const auto& fit : fits)
    if (healthy && usable(*fit) && !fit->candidate().healthy()) fit->follow(*healthy);
}

void take_after_healthy(const Ranking::Fits& fits) {
  for (const auto& fit : fits)
    if (fit->follows() && (!fitted(*fit) || healthy_of(fits)->explained() < fit->explained())) fit->take_after(*healthy_of(fits));
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
    const bool better = fit->standing() < known->best->standing();
    known->suspect.places.insert(better ? known->suspect.places.begin() : known->suspect.places.end(), suspect.places.begin(), suspect.places.end());
    if (better) known->best = fit.get();
  }
  std::ranges::stable_sort(all, {}, [](const Kind& kind) { return kind.best->standing(); });
  return all;
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
  std::ranges::stable_sort(order, {}, [](const CandidateFit* fit) { return fit->glance(); });
  order.resize(std::min(scouts, order.size()));
  in_parallel(order.size(), options_.threads, [&](std::size_t i) {
    order[i]->search_roughly();
    order[i]->search();
  });
  const CandidateFit* best = nullptr;
  for (const CandidateFit* fit : order)
    if (fitted(*fit) && (!best || fit->standing() < best->standing())) best = fit;
  if (!best) throw Error(circuit_.name, fits.front()->fit().trouble, "check the circuit and the conditions of the logs");
  return *best;
}

const CandidateFit* Ranking::best_single(const Fits& fits) const {
  const CandidateFit* best = nullptr;
  for (const auto& fit : fits)
    if (fitted(*fit) && fit->candidate().suspects.size() <= 1 && (!best || fit->explained() < best->explained())) best = fit.get();
  return best;
}

/// Candidates that explain the same logs agree about the engine: what the best found is a place to begin for all.
void Ranking::tell_others(Fits& fits, const CandidateFit& best) {
  const Eigen::MatrixXd others = best.nuisance_jacobian();
  const Eigen::VectorXd at = best.fit().u;
  const double limit = best.of_logs() + out_of_running;
  each(fits, [&](std::size_t i) {
    if (fits[i].get() != &best && searched(*fits[i]) && fits[i]->candidate().suspects.size() <= 1) fits[i]->search_beside(others, at, limit);
  });
}

/// What these must come near to: @param lowest_cost -ln evidence of the logs, @param lowest of all that is known
void Ranking::fit_what_can_matter(Fits& fits, double lowest_cost, double lowest) {
  each(fits, [&](std::size_t i) {
    if (!fitted(*fits[i]) && fits[i]->promised() < lowest_cost + out_of_running) fits[i]->search();
  });
  double told = std::numeric_limits<double>::infinity();
  for (int pass = 0; pass < most_passes; ++pass) {
    const CandidateFit* best = best_single(fits);
    const bool tell = best && best->explained() < told - better_engine;
    if (pass > 0 && !tell) break;
    if (tell) told = best->explained(), tell_others(fits, *best);
    take_after_healthy(fits);
    each(fits, [&](std::size_t i) {
      if (usable(*fits[i]) && (pass == 0 || fitted(*fits[i]))) fits[i]->observe();
    });
    const double limit = std::min(lowest, lowest_standing(fits)) + worth_weighing + (evidence_.observations.empty() ? 0 : observed_along);
    each(fits, [&](std::size_t i) {
      if (fitted(*fits[i]) && fits[i]->standing() < limit) fits[i]->weigh();
    });
  }
}

/// In rounds, in each only those that are not hopelessly behind.
void Ranking::descend(Fits& fits) {
  for (std::size_t round = 0; round < LogFit::rounds; ++round) {
    const double limit = round == 0 ? std::numeric_limits<double>::infinity() : lowest_descended(fits) + hopeless[round - 1];
    each(fits, [&](std::size_t i) {
      if (searched(*fits[i]) && !fitted(*fits[i]) && (round == 0 || fits[i]->descended() < limit)) fits[i]->descend(round);
    });
  }
}

Ranking::Fits Ranking::singles(const std::vector<Candidate>& candidates) {
  Fits fits;
  for (const Candidate& candidate : candidates) fits.push_back(std::make_unique<CandidateFit>(circuit_, evidence_, candidate));
  all_ += single_steps * fits.size();
  each(fits, [&](std::size_t i) { fits[i]->look(); });
  follow_healthy(fits);
  const CandidateFit& best = scout(fits);
  const Eigen::MatrixXd others = best.nuisance_jacobian();
  in_parallel(fits.size(), options_.threads, [&](std::size_t i) {
    if (searched(*fits[i]) && !fitted(*fits[i])) fits[i]->screen(others, best.fit().u);
  });
  descend(fits);
  const double limit = lowest_descended(fits) + hopeless.back();
  each(fits, [&](std::size_t i) {
    if (!fitted(*fits[i]) && fits[i]->descended() < limit) fits[i]->search_roughly();
  });
  fit_what_can_matter(fits, lowest_cost(fits), std::numeric_limits<double>::infinity());
  return fits;
}

Ranking::Fits Ranking::pairs(const Fits& singles, double share) {
  const std::vector<Kind> kinds = kinds_of(singles);
  double weights = 0;
  for (std::size_t i = 0; i < kinds.size(); ++i)
    for (std::size_t k = i + 1; k < kinds.size(); ++k) weights += kinds[i].prior * kinds[k].prior;
  Fits fits;
  std::vector<const CandidateFit*> firsts;
  for (std::size_t i = 0; i < std::min(pair_firsts, kinds.size()); ++i)
    for (std::size_t k = i + 1; k < kinds.size() && fitted(*kinds[i].best); ++k) {
      const Candidate pair{{kinds[i].suspect, kinds[k].suspect}, share * kinds[i].prior * kinds[k].prior / weights};
      fits.push_back(std::make_unique<CandidateFit>(circuit_, evidence_, pair));
      fits.back()->begin_beside(*kinds[i].best);
      firsts.push_back(kinds[i].best);
    }
  all_ += pair_steps * fits.size();
  const double lowest = lowest_cost(singles);
  each(fits, [&](std::size_t i) {
    fits[i]->look();
    fits[i]->screen(firsts[i]->jacobian(), firsts[i]->fit().u);
    if (fits[i]->promised() < lowest - pair_gain) fits[i]->search_roughly();
  });
  fit_what_can_matter(fits, lowest - pair_gain - out_of_running, lowest_standing(singles) - pair_gain);
  return fits;
}

}  // namespace railseep

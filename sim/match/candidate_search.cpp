#include "match/candidate_search.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "fit/cliffs.hpp"
#include "fit/in_parallel.hpp"
#include "match/goodness_of_fit.hpp"
#include "match/severity_posterior.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr int pair_row_points = 5, beside_row_points = 5, screen_row_points = 7;
constexpr double row_end = 2.6;              // prior standard deviations to either side
constexpr double widest = 6, less_wide = 3;  // times the tolerances, on the way to the best
constexpr double far_off = 2;                // of the widest tolerances: beyond, a residual pulls by its sign alone
constexpr double rough_settled = 0.1;        // of cost
constexpr std::size_t every_start = 2;       // of the first row's points begins a descent
constexpr double other_air =
    1.3;  // prior standard deviations: a filling that runs at another time than the log's is in no valley near it
constexpr std::size_t other_air_starts = 3;
constexpr double other_valley = 0.5;  // prior standard deviations, of all unknowns together: nearer ends are one
constexpr double rough_tolerance = 1e-3, fine_tolerance = 1e-4,
                 exact_tolerance = 1e-5;  // of the solver: on the way, for the search, for what is weighed
constexpr double slope_width = 0.1;       // prior standard deviations of a severity
constexpr double least_gain = 0.1;        // ln evidence that a search beside must promise

constexpr double beside_again = 0.3;  // of cost below where it was looked for: looked for again

/// One round of descents: steps of each, how many valleys go on, and how far behind the best they may be.
struct Round {
  int steps;
  std::size_t valleys;
  double behind;      // of cost with the widest tolerances
  bool wild_samples;  // looked for at last: far off everything looks wild
};
constexpr std::array<Round, CandidateSearch::rounds> lent_rounds{
    {{2, 4, 20, false}, {3, 2, 6, false}, {5, 2, 2, true}}};
constexpr std::array<Round, CandidateSearch::rounds> first_rounds{
    {{2, 6, 20, false}, {3, 4, 6, false}, {5, 4, 3, true}}};

FaultFit fit_of(Candidate candidate) {
  FaultFit fit;
  fit.candidate = std::move(candidate);
  return fit;
}

/// All columns but one.
MatrixXd without_column(const MatrixXd& matrix, Index column) {
  MatrixXd rest(matrix.rows(), matrix.cols() - 1);
  rest << matrix.leftCols(column), matrix.rightCols(matrix.cols() - column - 1);
  return rest;
}

MatrixXd with_column(const MatrixXd& rest, Index column, const VectorXd& values) {
  MatrixXd matrix(rest.rows(), rest.cols() + 1);
  matrix << rest.leftCols(column), values, rest.rightCols(rest.cols() - column);
  return matrix;
}

}  // namespace

CandidateSearch::CandidateSearch(const Circuit& circuit, const std::vector<CrankEvidence>& logs, Candidate candidate)
    : fit_(fit_of(std::move(candidate))), predictor_(circuit, fit_.candidate, logs), logs_(logs) {
  fit_.unknowns = predictor_.unknowns();
  const auto size = static_cast<Index>(fit_.unknowns.size());
  problem_.residuals = [this](const VectorXd& u) { return residuals_at(u); };
  problem_.least.resize(size), problem_.most.resize(size);
  for (Index i = 0; i < size; ++i) {
    const Unknown& unknown = fit_.unknowns[static_cast<std::size_t>(i)];
    problem_.least[i] = unknown.coordinate(unknown.least), problem_.most[i] = unknown.coordinate(unknown.most);
  }
  problem_.tolerances = tolerances_of(logs);
  fit_.u = base_ = VectorXd::Zero(size);
}

/// A corner of the unknowns that cannot be computed is as bad as can be; a search turns back there.
VectorXd CandidateSearch::residuals_at(const VectorXd& u) {
  constexpr double as_bad_as_can_be = 1e3;  // standard deviations, of every sample
  try {
    VectorXd r = predictor_.residuals(u);
    computed_ = true;
    return r;
  } catch (const Error&) {
    Index samples = 0;
    for (const CrankEvidence& log : logs_) samples += static_cast<Index>(log.time.size());
    return VectorXd::Constant(samples, as_bad_as_can_be);
  }
}

void CandidateSearch::begin_from(const CandidateSearch& first) {
  scanned_ = 1;
  row_points_ = pair_row_points;
  base_[0] = first.found_->u[0];
  base_.tail(base_.size() - 2) = first.found_->u.tail(base_.size() - 2);
}

VectorXd CandidateSearch::with_air_matching_rise(const VectorXd& u) const {
  try {
    return predictor_.with_air_matching_rise(u);
  } catch (const Error&) {
    return u;
  }
}

VectorXd CandidateSearch::with_best_clock(const VectorXd& u, const Tolerances& tolerances, double wider) const {
  try {
    return predictor_.with_best_clock(u, tolerances, wider);
  } catch (const Error&) {
    return u;
  }
}

/// A candidate whose circuit cannot be solved anywhere is no hypothesis; the others go on.
void CandidateSearch::guard(const std::function<void()>& work) {
  if (!fit_.trouble.empty()) return;
  try {
    work();
  } catch (const Error& error) {
    fit_.trouble = error.what();
    expected_ = std::numeric_limits<double>::infinity();
  }
}

std::vector<double> CandidateSearch::row(int points) const {
  if (severities() == 0 || logs_.empty() || insensitive_) return {0};
  std::vector<double> all;
  const double low = std::max(-row_end, problem_.least[scanned_]), high = std::min(row_end, problem_.most[scanned_]);
  for (int i = 0; i < points; ++i) all.push_back(low + (high - low) * i / (points - 1));
  return all;
}

void CandidateSearch::scan_severities() {
  guard([this] {
    scan_row();
    for (const Place& place : row_)
      expected_ = std::min(expected_, problem_.tolerances.loss(place.residuals) + 0.5 * place.u.squaredNorm());
    if (!computed_) predictor_.residuals(row_.front().u);  // says why not
  });
}

void CandidateSearch::compute_finely() { predictor_.compute_within(fine_tolerance); }

bool CandidateSearch::insensitive_along(std::size_t begin) const {
  return row_.size() > begin + 1 &&
         std::all_of(row_.begin() + static_cast<std::ptrdiff_t>(begin), row_.end(),
                     [&](const Place& place) { return (place.residuals - row_[begin].residuals).norm() < 1e-9; });
}

void CandidateSearch::scan_row() {
  predictor_.compute_within(rough_tolerance);
  const Tolerances tolerances = problem_.tolerances.widened(widest);
  const std::size_t begin = row_.size();
  VectorXd u = base_;
  for (const double severity : row(row_points_)) {
    if (!lent_)
      u = base_;  // else the air of one place is nearly that of the next; a first row is of more use the more its
                  // places differ
    if (severities() > 0) u[scanned_] = severity;
    u = with_best_clock(with_air_matching_rise(u), tolerances, widest);
    row_.push_back({u, problem_.residuals(u)});
  }
  if (insensitive_along(begin)) insensitive_ = true, row_.resize(begin + 1);
  std::vector<double> costs;
  for (std::size_t i = begin; i < row_.size(); ++i) costs.push_back(wide_cost(row_[i]));
  for (std::size_t i = 0; i < costs.size(); ++i)
    if ((i == 0 || costs[i] <= costs[i - 1]) && (i + 1 == costs.size() || costs[i] < costs[i + 1]))
      starts_.insert(begin + i);
}

double CandidateSearch::wide_cost(const Place& place) const {
  return problem_.tolerances.widened(widest).loss(place.residuals / widest) + 0.5 * place.u.squaredNorm();
}

/// Where it would be, were there no time to go on.
VectorXd CandidateSearch::best_so_far() const {
  if (found_) return found_->u;
  if (!rough_.empty()) return rough_.front().u;
  if (row_.empty()) return base_;
  return std::ranges::min_element(row_, {}, [this](const Place& place) { return wide_cost(place); })->u;
}

double CandidateSearch::best_scan_cost() const {
  double lowest = std::numeric_limits<double>::infinity();
  if (!fit_.trouble.empty()) return lowest;
  for (const Place& place : row_) lowest = std::min(lowest, wide_cost(place));
  return lowest;
}

/// The same fit with tolerances so many times as wide.
LeastSquaresProblem CandidateSearch::widened(double times) const {
  LeastSquaresProblem wide = problem_;
  wide.residuals = [this, times](const VectorXd& u) -> VectorXd { return problem_.residuals(u) / times; };
  wide.tolerances = problem_.tolerances.widened(times);
  wide.settled = rough_settled;
  return wide;
}

/// The Jacobian at u, if the others' derivatives hold here too. @param others empty: not known, nor is the result
MatrixXd CandidateSearch::with_slope(const MatrixXd& others, const VectorXd& u) const {
  if (others.size() == 0 || severities() == 0) return others;
  if (insensitive_) return with_column(others, scanned_, VectorXd::Zero(others.rows()));
  VectorXd moved = u;
  moved[scanned_] += u[scanned_] + slope_width > problem_.most[scanned_] ? -slope_width : slope_width;
  return with_column(others, scanned_,
                     (problem_.residuals(moved) - problem_.residuals(u)) / (moved[scanned_] - u[scanned_]));
}

void CandidateSearch::rescan_at(const MatrixXd& others, const VectorXd& at) {
  guard([&] {
    others_ = others;
    lent_ = true;
    if (scanned_ == 0) {  // a pair has begun there
      base_.tail(base_.size() - severities()) = at.tail(base_.size() - severities());
      row_points_ = screen_row_points;
      scan_row();
    }
    expected_ = std::numeric_limits<double>::infinity();
    for (const Place& place : row_) {
      MatrixXd jacobian = others;
      VectorXd least = problem_.least, most = problem_.most;
      if (severities() > 0) {
        jacobian = with_column(others, scanned_, VectorXd::Zero(others.rows()));
        least[scanned_] = most[scanned_] = place.u[scanned_];
      }
      const LinearFit linear = linear_fit(place.u, place.residuals, jacobian, problem_.tolerances, least, most);
      expected_ = std::min(expected_, linear.cost + 0.5 * linear.log_determinant);
    }
  });
}

/// Where descents begin. The first candidates of all know nothing yet: they begin from everywhere, and from their best
/// places try other air in the passages too. The others will begin where they end.
std::vector<VectorXd> CandidateSearch::begins(const LeastSquaresProblem& wide) const {
  std::set<std::size_t> starts = starts_;
  if (!lent_ && scanned_ == 0)
    for (std::size_t i = 0; i < row_.size(); i += every_start) starts.insert(i);
  std::vector<VectorXd> all;
  std::vector<std::pair<double, std::size_t>> order;
  for (const std::size_t start : starts) {
    all.push_back(row_[start].u);
    order.emplace_back(wide_cost(row_[start]), start);
  }
  if (lent_) return all;
  std::ranges::sort(order);
  for (std::size_t k = 0; k < std::min(other_air_starts, order.size()); ++k)
    for (const double air : {-other_air, other_air}) {
      VectorXd u = row_[order[k].second].u;
      for (Index i = 0; i < u.size(); ++i)
        if (fit_.unknowns[static_cast<std::size_t>(i)].where == Unknown::Where::rest_air) u[i] = air;
      all.push_back(with_best_clock(u, wide.tolerances, widest));
    }
  return all;
}

void CandidateSearch::begin_descent(const LeastSquaresProblem& wide) {
  const std::vector<VectorXd> all = begins(wide);
  rough_.resize(all.size());
  const auto descend_from = [&](std::size_t i) {
    rough_[i] = least_squares(wide, all[i], with_slope(others_, all[i]) / widest);
  };
  const bool first_of_all = others_.size() == 0;
  if (first_of_all) {  // what the first descent computed serves the others
    descend_from(0);
    const MatrixXd jacobian = rough_.front().jacobian * widest;
    others_ = severities() > 0 ? without_column(jacobian, scanned_) : jacobian;
  }
  with_idle_threads(all.size() - first_of_all, [&](std::size_t i) { descend_from(i + first_of_all); });
}

void CandidateSearch::descend(std::size_t round) {
  guard([&] {
    predictor_.compute_within(rough_tolerance);
    const Round& now = (lent_ ? lent_rounds : first_rounds)[round];
    LeastSquaresProblem wide = widened(widest);
    wide.renew = false, wide.most_steps = now.steps;
    if (!now.wild_samples) wide.tolerances = Tolerances::huber(far_off);
    if (rough_.empty())
      begin_descent(wide);
    else
      with_idle_threads(rough_.size(), [&](std::size_t i) {
        LeastSquaresFit& end = rough_[i];
        if (!end.converged || now.wild_samples) end = least_squares(wide, end.u, end.jacobian);
      });
    keep_valleys(now.valleys, now.behind);
  });
}

/// Best first, one of each valley.
void CandidateSearch::keep_valleys(std::size_t most, double behind) {
  std::ranges::stable_sort(rough_, {}, &LeastSquaresFit::cost);
  std::vector<LeastSquaresFit> kept;
  for (LeastSquaresFit& end : rough_) {
    const bool known =
        std::ranges::any_of(kept, [&](const LeastSquaresFit& one) { return (one.u - end.u).norm() < other_valley; });
    if (kept.empty() || (!known && kept.size() < most && end.cost < kept.front().cost + behind))
      kept.push_back(std::move(end));
  }
  rough_ = std::move(kept);
}

/// -ln evidence if it were linear from there on. @param times as wide as they are its tolerances were
double CandidateSearch::expected_after(const LeastSquaresFit& rough, double times) const {
  const LinearFit linear = linear_fit(rough.u, rough.residuals * times, rough.jacobian * times, problem_.tolerances,
                                      problem_.least, problem_.most);
  return linear.cost + 0.5 * linear.log_determinant;
}

void CandidateSearch::search_widened() {
  searched_widened_ = true;
  if (rough_.empty())
    for (std::size_t round = 0; round < rounds; ++round) descend(round);
  guard([this] {
    predictor_.compute_within(rough_tolerance);
    const LeastSquaresProblem wide = widened(less_wide);
    expected_ = std::numeric_limits<double>::infinity();
    with_idle_threads(rough_.size(), [&](std::size_t i) {
      LeastSquaresFit& end = rough_[i];
      end =
          least_squares(wide, with_best_clock(end.u, wide.tolerances, less_wide), end.jacobian * (widest / less_wide));
    });
    for (const LeastSquaresFit& end : rough_) expected_ = std::min(expected_, expected_after(end, less_wide));
    constexpr double few_behind = 2, more_behind = 8;  // of cost with the less wide tolerances
    if (lent_)
      keep_valleys(2, few_behind);
    else
      keep_valleys(3, more_behind);
  });
}

void CandidateSearch::search() {
  guard([this] {
    compute_finely();
    std::vector<LeastSquaresFit> ends(rough_.size());
    with_idle_threads(rough_.size(), [&](std::size_t i) {
      const LeastSquaresFit& rough = rough_[i];
      ends[i] = least_squares(problem_, with_best_clock(rough.u, problem_.tolerances, 1), rough.jacobian * less_wide);
    });
    for (LeastSquaresFit& end : ends) take_better(std::move(end));
    if (found_) fit_.log_evidence = found_->log_evidence + gain_beside_cliffs();
  });
}

void CandidateSearch::restart_from(const MatrixXd& others, const VectorXd& at, double limit) {
  if (others.rows() == 0) return;  // without a log there is nothing to search by
  guard([&] {
    predictor_.compute_within(rough_tolerance);
    VectorXd u = VectorXd::Zero(base_.size());
    u.tail(u.size() - severities()) = at.tail(u.size() - severities());
    double lowest = std::numeric_limits<double>::infinity();
    VectorXd begin = u;
    for (const double severity : row(beside_row_points)) {
      if (severities() > 0) u[scanned_] = severity;
      const double cost = problem_.tolerances.loss(problem_.residuals(u)) + 0.5 * u.squaredNorm();
      if (cost < lowest) lowest = cost, begin = u;
    }
    compute_finely();
    const MatrixXd jacobian = with_slope(others, begin);
    const LinearFit linear =
        linear_fit(begin, problem_.residuals(begin), jacobian, problem_.tolerances, problem_.least, problem_.most);
    if (linear.cost + 0.5 * linear.log_determinant > std::min(neg_log_evidence() - least_gain, limit)) return;
    LeastSquaresFit found = least_squares(problem_, begin, jacobian);
    if (-found.log_evidence > neg_log_evidence()) return;
    take(std::move(found));
    fit_.log_evidence = found_->log_evidence + gain_beside_cliffs();
  });
}

void CandidateSearch::take_better(LeastSquaresFit found) {
  if (-found.log_evidence < neg_log_evidence()) take(std::move(found));
}

void CandidateSearch::take(LeastSquaresFit found) {
  found_ = std::move(found);
  fit_.u = found_->u;
  fit_.log_evidence = found_->log_evidence;
  fit_.converged = found_->converged;
  fit_.covariance = found_->covariance;
  fit_.reduced_chi_square =
      reduced_chi_square(problem_.tolerances, found_->residuals, fit_.u.tail(fit_.u.size() - severities()));
  fit_.fitted = true;
  set_gaussian_severities();
}

void CandidateSearch::polish() {
  predictor_.compute_within(exact_tolerance);
  if (follows_twin() &&
      leader_->polished_at_ == leader_->neg_log_evidence()) {  // its Jacobian is exact, and nearly at the same place
    LeastSquaresProblem problem = problem_;
    problem.confirm = false;
    take(least_squares(problem, found_->u, as_own(leader_->found_->jacobian)));
  } else {
    take(least_squares(problem_, found_->u));
  }
  polished_at_ = neg_log_evidence();
}

double CandidateSearch::gain_beside_cliffs() {
  if (found_->cost < beside_cost_ - beside_again) {
    std::vector<Index> air;
    for (Index i = severities(); i < found_->u.size(); ++i)
      if (fit_.unknowns[static_cast<std::size_t>(i)].where == Unknown::Where::rest_air) air.push_back(i);
    beside_ = log_evidence_beside_cliffs(problem_, *found_, air), beside_cost_ = found_->cost;
  }
  return std::max(0.0, beside_ - found_->log_evidence);
}

std::vector<ProfilePoint> CandidateSearch::profile() {
  profile_.clear();
  if (follows_twin()) profile_ = profile_of_twin();
  if (profile_.empty()) profile_ = own_profile();
  return profile_;
}

/// The profile's shape needs no more exactness than the search: its costs are shifted to those of what was settled.
std::vector<ProfilePoint> CandidateSearch::own_profile() {
  compute_finely();
  LeastSquaresFit centre = *found_;
  centre.residuals = problem_.residuals(centre.u);
  centre.cost = problem_.tolerances.loss(centre.residuals) + 0.5 * centre.u.squaredNorm();
  const double settled = centre.cost;
  MultimodalProfile whole = multimodal_profile(problem_, centre, insensitive_ ? std::vector<Place>{} : row_);
  double shift = found_->cost - settled;
  predictor_.compute_within(exact_tolerance);
  if (whole.best.cost < settled) {
    take(least_squares(problem_, whole.best.u, whole.best.jacobian));
    shift = found_->cost - whole.best.cost;
  }
  for (ProfilePoint& point : whole.points) point.cost += shift;
  return std::move(whole.points);
}

MatrixXd CandidateSearch::nuisance_jacobian() const {
  return found_->jacobian.rightCols(found_->jacobian.cols() - severities());
}

void CandidateSearch::set_gaussian_severities() {
  fit_.severities.clear();
  for (Index i = 0; i < severities(); ++i)
    fit_.severities.push_back(
        SeverityPosterior(fit_.u[i], std::sqrt(fit_.covariance(i, i)), problem_.least[i], problem_.most[i])
            .severity(fit_.unknowns[static_cast<std::size_t>(i)], assumed_tolerances(logs_)));
}

}  // namespace railseep

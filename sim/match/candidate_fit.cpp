#include "match/candidate_fit.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "match/surprise.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr int pair_row_points = 5;
constexpr double row_end = 2.6;          // prior standard deviations to either side
constexpr double widest = 6, less_wide = 3;  // times the tolerances, on the way to the best
constexpr double rough_settled = 0.1;    // of cost
constexpr std::size_t every_start = 2;   // of the first row's points begins a descent
constexpr int descent_steps = 10;
constexpr std::size_t most_valleys = 2;
constexpr double other_valley = 0.5;     // prior standard deviations, of all unknowns together: nearer ends are one
constexpr double worse_valley = 2;       // of cost with the widest tolerances: the best valley is surely elsewhere
constexpr double rough_tolerance = 1e-4, fine_tolerance = 1e-5;  // of the solver: a whole crank within 1e-2 and 1e-3
constexpr double slope_width = 0.1;      // prior standard deviations of a severity
constexpr double better = 0.1;           // of cost: a point of the profile below the best fit by more is where the search goes on
constexpr int most_restarts = 2;
constexpr double observed_matters = 1;     // difference of ln p(observations) along the severities that is worth a finer look
constexpr double narrow_deviation = 0.5;   // of a severity, in prior standard deviations
constexpr int observed_rounds = 3;       // of halving around the likeliest severity, when something was observed beside the logs
constexpr std::size_t observed_points = 7;  // along a profile that is wide

FaultFit fit_of(Candidate candidate) {
  FaultFit fit;
  fit.candidate = std::move(candidate);
  return fit;
}

double root_mean_square(const std::vector<CrankEvidence>& logs, const std::vector<std::vector<double>>& computed) {
  double sum = 0, count = 0;
  for (std::size_t i = 0; i < logs.size(); ++i)
    for (std::size_t k = 0; k < logs[i].time.size(); ++k) sum += std::pow(logs[i].measured[k] - computed[i][k], 2), count += 1;
  return count > 0 ? std::sqrt(sum / count) : 0;
}

}  // namespace

CandidateFit::CandidateFit(const Circuit& circuit, const Evidence& evidence, Candidate candidate)
    : circuit_(circuit), evidence_(evidence), fit_(fit_of(std::move(candidate))), predictor_(circuit, fit_.candidate, evidence.logs) {
  fit_.unknowns = predictor_.unknowns();
  const auto size = static_cast<Index>(fit_.unknowns.size());
  problem_.residuals = [this](const VectorXd& u) { return residuals_at(u); };
  problem_.least.resize(size), problem_.most.resize(size);
  for (Index i = 0; i < size; ++i) {
    const Unknown& unknown = fit_.unknowns[static_cast<std::size_t>(i)];
    problem_.least[i] = unknown.coordinate(unknown.least), problem_.most[i] = unknown.coordinate(unknown.most);
  }
  problem_.wild = wild_samples(evidence.logs);
  fit_.u = base_ = VectorXd::Zero(size);
}

/// A corner of the unknowns that can not be computed is as bad as can be; a search turns back there.
VectorXd CandidateFit::residuals_at(const VectorXd& u) {
  constexpr double as_bad_as_can_be = 1e3;  // standard deviations, of every sample
  try {
    VectorXd r = predictor_.residuals(u);
    ++computed_;
    return r;
  } catch (const Error& error) {
    last_trouble_ = error.what();
    Index samples = 0;
    for (const CrankEvidence& log : evidence_.logs) samples += static_cast<Index>(log.time.size());
    return VectorXd::Constant(samples, as_bad_as_can_be);
  }
}

void CandidateFit::begin_beside(const CandidateFit& first) {
  looked_ = 1;
  row_points_ = pair_row_points;
  base_[0] = first.found_->u[0];
  base_.tail(base_.size() - 2) = first.found_->u.tail(base_.size() - 2);
}

VectorXd CandidateFit::aligned(const VectorXd& u, const WildSamples& wild, double wider) {
  try {
    return predictor_.aligned(u, wild, wider);
  } catch (const Error&) {
    return u;
  }
}

/// A candidate whose circuit can not be solved anywhere is no hypothesis; the others go on.
void CandidateFit::guard(const std::function<void()>& work) {
  if (!fit_.trouble.empty()) return;
  try {
    work();
  } catch (const Error& error) {
    fit_.trouble = error.what();
    promised_ = std::numeric_limits<double>::infinity();
  }
}

std::vector<double> CandidateFit::row() const {
  if (severities() == 0 || evidence_.logs.empty()) return {0};
  std::vector<double> all;
  const double low = std::max(-row_end, problem_.least[looked_]), high = std::min(row_end, problem_.most[looked_]);
  for (int i = 0; i < row_points_; ++i) all.push_back(low + (high - low) * i / (row_points_ - 1));
  return all;
}

void CandidateFit::look() {
  guard([this] {
    look_along_row();
    if (computed_ == 0) throw Error(fit_.candidate.title(), last_trouble_, "check the circuit and the conditions of the logs");
  });
}

void CandidateFit::look_along_row() {
  predictor_.compute_within(rough_tolerance);
  const WildSamples wild = problem_.wild.widened(widest);
  const std::size_t begin = row_.size();
  std::vector<double> costs;
  for (const double severity : row()) {
    VectorXd u = base_;
    if (severities() > 0) u[looked_] = severity;
    row_.push_back(aligned(u, wild, widest));
    residuals_.push_back(problem_.residuals(row_.back()));
    costs.push_back(wild.loss(residuals_.back() / widest) + 0.5 * row_.back().squaredNorm());
  }
  const bool first = begin == 0 && looked_ == 0;  // nothing is known yet: from everywhere
  for (std::size_t i = 0; i < costs.size(); ++i)
    if ((first && i % every_start == 0) || ((i == 0 || costs[i] <= costs[i - 1]) && (i + 1 == costs.size() || costs[i] < costs[i + 1]))) starts_.insert(begin + i);
}

double CandidateFit::glance() const {
  double lowest = std::numeric_limits<double>::infinity();
  if (!fit_.trouble.empty()) return lowest;
  const WildSamples wild = problem_.wild.widened(widest);
  for (std::size_t i = 0; i < row_.size(); ++i) lowest = std::min(lowest, wild.loss(residuals_[i] / widest) + 0.5 * row_[i].squaredNorm());
  return lowest;
}

/// The same fit with tolerances so many times as wide.
LeastSquaresProblem CandidateFit::widened(double times) const {
  LeastSquaresProblem wide = problem_;
  wide.residuals = [this, times](const VectorXd& u) -> VectorXd { return problem_.residuals(u) / times; };
  wide.wild = problem_.wild.widened(times);
  wide.settled = rough_settled;
  return wide;
}

/// The Jacobian at u, if the others' derivatives hold here too. @param others empty: not known, nor is the result
MatrixXd CandidateFit::with_slope(const MatrixXd& others, const VectorXd& u) const {
  if (others.size() == 0 || severities() == 0) return others;
  VectorXd moved = u;
  moved[looked_] += u[looked_] + slope_width > problem_.most[looked_] ? -slope_width : slope_width;
  MatrixXd jacobian(others.rows(), u.size());
  jacobian << others.leftCols(looked_), (problem_.residuals(moved) - problem_.residuals(u)) / (moved[looked_] - u[looked_]), others.rightCols(others.cols() - looked_);
  return jacobian;
}

void CandidateFit::screen(const MatrixXd& others, const VectorXd& at) {
  guard([&] {
    others_ = others;
    if (looked_ == 0) {  // a pair has begun there
      base_.tail(base_.size() - severities()) = at.tail(base_.size() - severities());
      look_along_row();
    }
    promised_ = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < row_.size(); ++i) {
      MatrixXd jacobian = others;
      VectorXd least = problem_.least, most = problem_.most;
      if (severities() > 0) {
        jacobian.resize(others.rows(), row_[i].size());
        jacobian << others.leftCols(looked_), VectorXd::Zero(others.rows()), others.rightCols(others.cols() - looked_);
        least[looked_] = most[looked_] = row_[i][looked_];
      }
      const LinearFit linear = linear_fit(row_[i], residuals_[i], jacobian, problem_.wild, least, most);
      promised_ = std::min(promised_, linear.cost + 0.5 * linear.log_determinant);
    }
  });
}

void CandidateFit::descend() {
  guard([this] {
    predictor_.compute_within(rough_tolerance);
    LeastSquaresProblem wide = widened(widest);
    wide.renew = false, wide.most_steps = descent_steps;
    for (const std::size_t start : starts_) rough_.push_back(least_squares(wide, row_[start], with_slope(others_, row_[start]) / widest));
    keep_valleys();
  });
}

/// Best first, one of each valley.
void CandidateFit::keep_valleys() {
  std::ranges::stable_sort(rough_, {}, &LeastSquaresFit::cost);
  std::vector<LeastSquaresFit> kept;
  for (LeastSquaresFit& end : rough_) {
    const bool known = std::ranges::any_of(kept, [&](const LeastSquaresFit& one) { return (one.u - end.u).norm() < other_valley; });
    if (kept.empty() || (!known && kept.size() < most_valleys && end.cost < kept.front().cost + worse_valley)) kept.push_back(std::move(end));
  }
  rough_ = std::move(kept);
}

void CandidateFit::search_roughly() {
  if (rough_.empty()) descend();
  guard([this] {
    predictor_.compute_within(rough_tolerance);
    const LeastSquaresProblem wide = widened(less_wide);
    promised_ = std::numeric_limits<double>::infinity();
    for (LeastSquaresFit& end : rough_) {
      end = least_squares(wide, aligned(end.u, wide.wild, less_wide), end.jacobian * (widest / less_wide));
      const LinearFit linear = linear_fit(end.u, end.residuals * less_wide, end.jacobian * less_wide, problem_.wild, problem_.least, problem_.most);
      promised_ = std::min(promised_, linear.cost + 0.5 * linear.log_determinant);
    }
    keep_valleys();
  });
}

void CandidateFit::search() {
  guard([this] {
    predictor_.compute_within(fine_tolerance);
    for (const LeastSquaresFit& rough : rough_) take_better(least_squares(problem_, aligned(rough.u, problem_.wild, 1), rough.jacobian * less_wide));
  });
}

void CandidateFit::search_beside(const MatrixXd& others, const VectorXd& at, double limit) {
  guard([&] {
    predictor_.compute_within(fine_tolerance);
    VectorXd u = VectorXd::Zero(base_.size());
    u.tail(u.size() - severities()) = at.tail(u.size() - severities());
    double lowest = std::numeric_limits<double>::infinity();
    VectorXd begin = u;
    for (const double severity : row()) {
      if (severities() > 0) u[looked_] = severity;
      const double cost = problem_.wild.loss(problem_.residuals(u)) + 0.5 * u.squaredNorm();
      if (cost < lowest) lowest = cost, begin = u;
    }
    const MatrixXd jacobian = with_slope(others, begin);
    const LinearFit linear = linear_fit(begin, problem_.residuals(begin), jacobian, problem_.wild, problem_.least, problem_.most);
    const double known = found_ ? -found_->log_evidence : std::numeric_limits<double>::infinity();
    if (linear.cost + 0.5 * linear.log_determinant < std::min(known - better, limit)) take_better(least_squares(problem_, begin, jacobian));
  });
}

void CandidateFit::take_better(LeastSquaresFit found) {
  if (!found_ || found.log_evidence > found_->log_evidence) take(std::move(found));
}

void CandidateFit::take(LeastSquaresFit found) {
  found_ = std::move(found);
  fit_.u = found_->u;
  fit_.log_evidence = found_->log_evidence;
  fit_.converged = found_->converged;
  fit_.covariance = found_->covariance;
  fit_.surprise = mean_surprise(problem_.wild.weigh(found_->residuals), found_->residuals, fit_.u.tail(fit_.u.size() - severities()));
  fit_.fitted = true;
  gaussian_severities();
}

MatrixXd CandidateFit::nuisance_jacobian() const { return found_->jacobian.rightCols(found_->jacobian.cols() - severities()); }

void CandidateFit::gaussian_severities() {
  fit_.severities.clear();
  for (Index i = 0; i < severities(); ++i)
    fit_.severities.push_back(SeverityPosterior(fit_.u[i], std::sqrt(fit_.covariance(i, i)), problem_.least[i], problem_.most[i]).severity(fit_.unknowns[static_cast<std::size_t>(i)]));
}

std::vector<Fault> CandidateFit::faults_at(const VectorXd& u) const {
  std::vector<double> values;
  for (Index i = 0; i < severities(); ++i) values.push_back(fit_.unknowns[static_cast<std::size_t>(i)].value(u[i]));
  return fit_.candidate.faults(values);
}

/// ln p(observations) with the severities of u and each fault at its first place.
double CandidateFit::observed_at(const VectorXd& u) const {
  if (evidence_.observations.empty()) return 0;
  const std::vector<Fault> faults = faults_at(u);
  return log_likelihood(evidence_.observations, with_faults(circuit_, faults), faults);
}

/// Where it is, from what was heard and seen: the likeliest place of each suspect comes first.
/// @return ln p(observations) over all places, less that at the first ones
double CandidateFit::weigh_places() {
  double gain = 0;
  fit_.places.clear();
  for (std::size_t s = 0; s < fit_.candidate.suspects.size(); ++s) {
    std::vector<PossibleFault>& places = fit_.candidate.suspects[s].places;
    std::vector<std::pair<double, PossibleFault>> weighed;
    const bool told = !evidence_.observations.air.empty() || !evidence_.observations.checks.empty();
    for (const PossibleFault& place : places) {
      std::vector<Fault> faults = faults_at(found_->u);
      faults[s].place = place.place;
      weighed.emplace_back(told ? place_log_likelihood(evidence_.observations, with_faults(circuit_, faults), faults) : 0, place);
    }
    std::ranges::stable_sort(weighed, std::greater{}, [](const auto& one) { return one.first; });
    double sum = 0;
    for (const auto& [seen, place] : weighed) sum += std::exp(seen - weighed.front().first);
    fit_.places.emplace_back();
    for (std::size_t i = 0; i < places.size(); ++i) {
      places[i] = weighed[i].second;
      fit_.places.back().push_back(std::exp(weighed[i].first - weighed.front().first) / sum);
    }
    gain += std::log(sum / static_cast<double>(places.size()));
  }
  return gain;
}

/// The profile of the best fit; where it shows a better one, of that.
std::vector<ProfilePoint> CandidateFit::profile() {
  std::vector<ProfilePoint> all = severity_profile(problem_, *found_);
  for (int restart = 0; restart < most_restarts; ++restart) {
    const ProfilePoint& lowest = *std::ranges::min_element(all, {}, &ProfilePoint::cost);
    if (lowest.cost > found_->cost - better) break;
    LeastSquaresFit found = least_squares(problem_, lowest.u, lowest.jacobian);
    if (found.cost > found_->cost - better) break;
    take(std::move(found));
    all = severity_profile(problem_, *found_);
  }
  return all;
}

/// ln p(observations) along a profile: they take long, so between some points it runs in straight lines. Where the logs leave little room, what was
/// observed beside them changes little within it: its ends will do.
std::vector<double> CandidateFit::observed_along(const std::vector<ProfilePoint>& profile) const {
  std::vector<double> seen(profile.size(), observed_);
  if (evidence_.observations.empty()) return seen;
  const bool narrow = !evidence_.logs.empty() && std::sqrt(found_->covariance(0, 0)) < narrow_deviation;
  const auto best = static_cast<std::size_t>(std::ranges::min_element(profile, {}, [this](const ProfilePoint& point) { return std::abs(point.at - found_->u[0]); }) - profile.begin());
  std::vector<std::size_t> known{0, best, profile.size() - 1};
  for (std::size_t i = 1; !narrow && i + 1 < observed_points; ++i) known.push_back(i * (profile.size() - 1) / (observed_points - 1));
  std::ranges::sort(known);
  const auto repeated = std::ranges::unique(known);
  known.erase(repeated.begin(), repeated.end());
  for (std::size_t k = 0; k < known.size(); ++k) {
    const std::size_t here = known[k];
    if (here != best) seen[here] = observed_at(profile[here].u);
    for (std::size_t i = k > 0 ? known[k - 1] + 1 : here; i < here; ++i) {
      const double share = (profile[i].at - profile[known[k - 1]].at) / (profile[here].at - profile[known[k - 1]].at);
      seen[i] = seen[known[k - 1]] + share * (seen[here] - seen[known[k - 1]]);
    }
  }
  return seen;
}

void CandidateFit::weigh() {
  guard([this] {
    predictor_.compute_within(fine_tolerance);
    const std::vector<ProfilePoint> points = severities() == 1 ? profile() : std::vector<ProfilePoint>{};
    const double places = weigh_places();
    observed_ = observed_at(found_->u);
    weighed_ = true;
    fit_.log_evidence = found_->log_evidence + observed_ + places;
    if (points.empty()) return;
    const std::vector<double> seen = observed_along(points);
    SeverityPosterior posterior(problem_.least[0], problem_.most[0]);
    for (std::size_t i = 0; i < points.size(); ++i) posterior.add(points[i].at, found_->cost - points[i].cost + seen[i] - observed_);
    const auto [lowest, highest] = std::ranges::minmax(seen);
    if (highest - lowest > observed_matters)
      for (int round = 0; round < observed_rounds; ++round)
        for (const double at : posterior.finer_points()) {
          const VectorXd u = on_profile(points, at);
          posterior.add(at, found_->cost - cost_on(points, at) + observed_at(u) - observed_);
        }
    fit_.severities = {posterior.severity(fit_.unknowns[0])};
    fit_.u = on_profile(points, posterior.mode());
    // det of the nuisances alone is det(all)*C_ss
    fit_.log_evidence = -found_->cost - 0.5 * (found_->log_determinant + std::log(found_->covariance(0, 0))) + posterior.log_integral() + observed_ + places;
  });
}

FaultFit CandidateFit::finish(double observed_instead) {
  guard([this, observed_instead] {
    predictor_.compute_within(fine_tolerance);
    if (!fit_.fitted) {
      fit_.log_evidence = -promised_;
      if (!rough_.empty()) fit_.u = rough_.front().u;
      fit_.covariance = MatrixXd::Identity(fit_.u.size(), fit_.u.size());
      gaussian_severities();
      fit_.covariance.resize(0, 0);
      const VectorXd r = problem_.residuals(fit_.u);
      fit_.surprise = mean_surprise(problem_.wild.weigh(r), r, fit_.u.tail(fit_.u.size() - severities()));
    }
    if (!weighed_) fit_.log_evidence += observed_instead;
    if (fit_.places.empty())
      for (const Suspect& suspect : fit_.candidate.suspects) fit_.places.emplace_back(suspect.places.size(), 1.0 / static_cast<double>(suspect.places.size()));
    fit_.computed = predictor_.shown(fit_.u);
    fit_.misfit = root_mean_square(evidence_.logs, fit_.computed);
  });
  if (!fit_.trouble.empty()) fit_.log_evidence = -std::numeric_limits<double>::infinity();
  return std::move(fit_);
}

}  // namespace railseep

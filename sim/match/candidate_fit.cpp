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
constexpr double row_end = 2.6;           // prior standard deviations to either side
constexpr std::size_t parts_of_a_step = 4;  // the row is looked at so finely between its points
constexpr double observed_matters = 1;     // difference of ln p(observations) along the severities that is worth a finer look
constexpr double narrow_deviation = 0.5;   // of a severity, in prior standard deviations
constexpr int observed_rounds = 3;        // of halving around the likeliest severity, when something was observed beside the logs
constexpr double other_valley = 1.0;      // prior standard deviations between beginnings worth a search each
constexpr double beside_the_end = 0.3;      // of a severity, in prior standard deviations: where a second search begins
constexpr double worse_beginning = 8;     // of cost: a beginning so much worse than the best is left out
constexpr double ninety = 1.645;          // standard deviations to either end of the middle 90 %

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
  problem_.residuals = [this](const VectorXd& u) { return predictor_.residuals(u); };
  problem_.least.resize(size), problem_.most.resize(size);
  for (Index i = 0; i < size; ++i) {
    const Unknown& unknown = fit_.unknowns[static_cast<std::size_t>(i)];
    problem_.least[i] = unknown.coordinate(unknown.least), problem_.most[i] = unknown.coordinate(unknown.most);
  }
  if (!evidence.logs.empty()) problem_.tails.wild = evidence.logs.front().wild;
  fit_.u = base_ = VectorXd::Zero(size);
}

void CandidateFit::begin_beside(const CandidateFit& first) {
  looked_ = 1;
  row_points_ = pair_row_points;
  base_[0] = first.found_->u[0];
  base_.tail(base_.size() - 2) = first.found_->u.tail(base_.size() - 2);
}

/// A candidate whose circuit can not be solved is no hypothesis; the others go on.
void CandidateFit::guard(const std::function<void()>& work) {
  if (!fit_.trouble.empty()) return;
  try {
    work();
  } catch (const Error& error) {
    fit_.trouble = error.what();
    screened_ = std::numeric_limits<double>::infinity();
  }
}

std::vector<double> CandidateFit::row() const {
  if (severities() == 0) return {0};
  std::vector<double> all;
  const double low = std::max(-row_end, problem_.least[looked_]), high = std::min(row_end, problem_.most[looked_]);
  for (int i = 0; i < row_points_; ++i) all.push_back(low + (high - low) * i / (row_points_ - 1));
  return all;
}

VectorXd CandidateFit::in_row(std::size_t i) const {
  VectorXd u = base_;
  if (severities() > 0) u[looked_] = row_[i];
  return u;
}

void CandidateFit::look() {
  guard([this] {
    row_ = evidence_.logs.empty() ? std::vector<double>{0} : row();
    for (std::size_t i = 0; i < row_.size(); ++i) residuals_.push_back(problem_.residuals(in_row(i)));
  });
}

double CandidateFit::glance() const {
  double lowest = std::numeric_limits<double>::infinity();
  if (!fit_.trouble.empty()) return lowest;
  for (std::size_t i = 0; i < row_.size(); ++i) lowest = std::min(lowest, problem_.tails.loss(residuals_[i]) + 0.5 * in_row(i).squaredNorm());
  return lowest;
}

/// Residuals between the points of the row, by cubics through the four nearest.
VectorXd CandidateFit::between(double severity) const {
  const int count = static_cast<int>(row_.size());
  const double step = (row_.back() - row_.front()) / (count - 1);
  const int first = std::clamp(static_cast<int>(std::floor((severity - row_.front()) / step)) - 1, 0, count - 4);
  VectorXd sum = VectorXd::Zero(residuals_.front().size());
  for (int i = first; i < first + 4; ++i) {
    double weight = 1;
    for (int k = first; k < first + 4; ++k)
      if (k != i) weight *= (severity - row_[static_cast<std::size_t>(k)]) / (row_[static_cast<std::size_t>(i)] - row_[static_cast<std::size_t>(k)]);
    sum += weight * residuals_[static_cast<std::size_t>(i)];
  }
  return sum;
}

/// Where the search may begin near one severity, if the others' derivatives hold here too.
CandidateFit::Beginning CandidateFit::beginning(double severity, double reach, const MatrixXd& others) const {
  VectorXd u = base_, r = residuals_.front(), least = problem_.least, most = problem_.most;
  MatrixXd jacobian(r.size(), u.size());
  if (severities() == 0 || evidence_.logs.empty()) {
    if (!evidence_.logs.empty()) jacobian = others;
  } else {
    u[looked_] = severity, least[looked_] = std::max(row_.front(), severity - reach), most[looked_] = std::min(row_.back(), severity + reach);
    r = between(severity);
    const VectorXd slope = (between(most[looked_]) - between(least[looked_])) / (most[looked_] - least[looked_]);
    jacobian << others.leftCols(looked_), slope, others.rightCols(others.cols() - looked_);
  }
  const LinearFit linear = linear_fit(u, r, jacobian, problem_.tails, least, most);
  return {linear.cost + 0.5 * linear.log_determinant, u + linear.du, std::move(jacobian)};
}

void CandidateFit::screen(const MatrixXd& others) {
  guard([&] {
    std::vector<Beginning> all;
    const std::size_t parts = row_.size() == 1 ? 0 : parts_of_a_step * (row_.size() - 1);
    const double reach = parts == 0 ? 0 : (row_.back() - row_.front()) / static_cast<double>(parts);
    for (std::size_t i = 0; i <= parts; ++i) all.push_back(beginning(row_.front() + reach * static_cast<double>(i), reach, others));
    std::ranges::stable_sort(all, {}, &Beginning::score);
    screened_ = all.front().score;
    first_jacobian_ = all.front().jacobian;
    for (const Beginning& one : all) {
      const bool near = std::ranges::any_of(starts_, [&](const VectorXd& start) { return std::abs(start[looked_] - one.u[looked_]) < other_valley; });
      if (starts_.size() < 2 && !near && one.score < screened_ + worse_beginning) starts_.push_back(one.u);
    }
  });
}

void CandidateFit::search() {
  guard([this] {
    if (starts_.empty()) {
      const auto best = std::ranges::min_element(residuals_, {}, [this](const VectorXd& r) { return problem_.tails.loss(r); }) - residuals_.begin();
      starts_ = {in_row(static_cast<std::size_t>(best))};
    }
    for (std::size_t i = 0; i < starts_.size(); ++i) take_better(least_squares(problem_, starts_[i], i == 0 ? first_jacobian_ : MatrixXd()));
  });
}

void CandidateFit::search_around() {
  guard([this] {
    if (severities() == 0) return;
    const double ended = found_->u[looked_];
    for (const double aside : {-2 * beside_the_end, -beside_the_end, beside_the_end, 2 * beside_the_end}) {
      VectorXd u = base_;
      u[looked_] = std::clamp(ended + aside, problem_.least[looked_], problem_.most[looked_]);
      take_better(least_squares(problem_, u));
    }
  });
}

void CandidateFit::take_better(LeastSquaresFit found) {
  if (found_ && found.log_evidence <= found_->log_evidence) return;
  found_ = std::move(found);
  fit_.u = found_->u;
  fit_.log_evidence = found_->log_evidence;
  fit_.converged = found_->converged;
  fit_.covariance = found_->covariance;
  fit_.surprise = mean_surprise(found_->residuals, fit_.u.tail(fit_.u.size() - severities()));
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

/// The unknowns at another severity, the nuisances having gone along as their covariance says.
VectorXd CandidateFit::along(double severity) const {
  VectorXd u = found_->u + found_->covariance.col(0) / found_->covariance(0, 0) * (severity - found_->u[0]);
  u = u.cwiseMax(problem_.least).cwiseMin(problem_.most);
  u[0] = severity;
  return u;
}

/// ln of (likelihood of the logs times prior), less that of the best point: the nuisances go as far as they help.
double CandidateFit::profile(const VectorXd& u) const {
  VectorXd least = problem_.least, most = problem_.most;
  least[0] = most[0] = u[0];
  return found_->cost - linear_fit(u, problem_.residuals(u), found_->jacobian, problem_.tails, least, most).cost;
}

void CandidateFit::weigh() {
  guard([this] {
    const double places = weigh_places();
    observed_ = observed_at(found_->u);
    weighed_ = true;
    fit_.log_evidence = found_->log_evidence + observed_ + places;
    if (severities() != 1) return;
    const double deviation = std::sqrt(found_->covariance(0, 0));
    SeverityPosterior posterior(found_->u[0], deviation, problem_.least[0], problem_.most[0]);
    // Where the logs leave little room, what was observed beside them changes little within it: its ends will do.
    const std::vector<double> points = posterior.points();
    const bool narrow = !evidence_.logs.empty() && deviation < narrow_deviation && points.size() > 2;
    const double low_seen = narrow ? observed_at(along(points.front())) : 0, high_seen = narrow ? observed_at(along(points.back())) : 0;
    double lowest = observed_, highest = observed_;
    const auto add = [&](double at) {
      const VectorXd u = along(at);
      const double best = found_->u[0], end = at < best ? points.front() : points.back();
      const double seen = narrow ? observed_ + (at - best) / (end - best) * ((at < best ? low_seen : high_seen) - observed_) : observed_at(u);
      posterior.add(at, profile(u) + seen - observed_);
      lowest = std::min(lowest, seen), highest = std::max(highest, seen);
    };
    for (const double at : points) add(at);
    if (highest - lowest > observed_matters && !narrow)
      for (int round = 0; round < observed_rounds; ++round)
        for (const double at : posterior.finer_points()) add(at);
    fit_.severities = {posterior.severity(fit_.unknowns[0])};
    fit_.u = along(posterior.mode());
    // det of the nuisances alone is det(all)*C_ss
    fit_.log_evidence = -found_->cost - 0.5 * (found_->log_determinant + 2 * std::log(deviation)) + posterior.log_integral() + observed_ + places;
  });
}

FaultFit CandidateFit::finish(double observed_instead) {
  guard([this, observed_instead] {
    if (!fit_.fitted) {
      fit_.log_evidence = -screened_;
      if (!starts_.empty()) fit_.u = starts_.front();
      fit_.covariance = MatrixXd::Identity(fit_.u.size(), fit_.u.size());
      gaussian_severities();
      fit_.covariance.resize(0, 0);
      fit_.surprise = mean_surprise(problem_.residuals(fit_.u), fit_.u.tail(fit_.u.size() - severities()));
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

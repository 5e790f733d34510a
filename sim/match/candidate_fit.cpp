#include "match/candidate_fit.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "match/goodness_of_fit.hpp"
#include "match/severity_posterior.hpp"

namespace railseep {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double observed_matters =
    1;  // difference of ln p(observations) along the severities that is worth a finer look
constexpr double narrow_deviation = 0.5;  // of a severity, in prior standard deviations
constexpr int observed_rounds =
    3;  // of halving around the likeliest severity, when something was observed beside the logs
constexpr std::size_t observed_points = 7;  // along a profile that is wide

double root_mean_square(const std::vector<CrankEvidence>& logs, const std::vector<std::vector<double>>& computed) {
  double sum = 0, count = 0;
  for (std::size_t i = 0; i < logs.size(); ++i)
    for (std::size_t k = 0; k < logs[i].time.size(); ++k)
      sum += std::pow(logs[i].measured[k] - computed[i][k], 2), count += 1;
  return count > 0 ? std::sqrt(sum / count) : 0;
}

}  // namespace

CandidateFit::CandidateFit(const Circuit& circuit, const Evidence& evidence, Candidate candidate)
    : CandidateSearch(circuit, evidence.logs, std::move(candidate)), circuit_(circuit), evidence_(evidence) {}

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
      std::vector<Fault> faults = faults_at(fit_.u);
      faults[s].place = place.place;
      weighed.emplace_back(
          told ? place_log_likelihood(evidence_.observations, with_faults(circuit_, faults), faults) : 0, place);
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

/// ln p(observations) along a profile: they take long, so between some points it runs in straight lines. Where the logs
/// leave little room, what was observed beside them changes little within it: its ends will do.
std::vector<double> CandidateFit::observed_along(const std::vector<ProfilePoint>& profile) const {
  std::vector<double> seen(profile.size(), observed_);
  if (evidence_.observations.empty()) return seen;
  const bool narrow = !evidence_.logs.empty() && std::sqrt(found()->covariance(0, 0)) < narrow_deviation;
  const auto best = static_cast<std::size_t>(
      std::ranges::min_element(profile, {},
                               [this](const ProfilePoint& point) { return std::abs(point.at - found()->u[0]); }) -
      profile.begin());
  std::vector<std::size_t> known{0, best, profile.size() - 1};
  for (std::size_t i = 1; !narrow && i + 1 < observed_points; ++i)
    known.push_back(i * (profile.size() - 1) / (observed_points - 1));
  std::ranges::sort(known);
  known.erase(std::unique(known.begin(), known.end()), known.end());
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

void CandidateFit::observe() {
  if (weighed()) return;
  guard([this] {
    if (!fit_.fitted && !follows()) fit_.u = best_so_far();
    const double places = weigh_places();
    observed_ = observed_at(fit_.u);
    fit_.observations_log_evidence = observed_ + places;
  });
}

double CandidateFit::total_neg_log_evidence() const {
  if (!fit_.fitted) return expected_neg_log_evidence() - fit_.observations_log_evidence;
  return -fit_.log_evidence - (weighed() ? 0 : fit_.observations_log_evidence);
}

void CandidateFit::weigh() {
  if (weighed()) return;
  guard([this] {
    polish();
    const std::vector<ProfilePoint> points = severities() == 1 ? profile() : std::vector<ProfilePoint>{};
    const double places = weigh_places(), beside = gain_beside_cliffs();
    observed_ = observed_at(found()->u);
    weighed_ = neg_log_evidence();
    fit_.observations_log_evidence = observed_ + places;
    fit_.log_evidence = found()->log_evidence + beside + fit_.observations_log_evidence;
    if (!points.empty()) weigh_severity(points, places + beside);
  });
}

/// @param besides what else the evidence has: ln p(observations) over all places, less that at the first ones, and what
/// lies beside cliffs
void CandidateFit::weigh_severity(const std::vector<ProfilePoint>& points, double besides) {
  const LeastSquaresFit& best = *found();
  const std::vector<double> seen = observed_along(points);
  SeverityPosterior posterior(problem().least[0], problem().most[0]);
  for (std::size_t i = 0; i < points.size(); ++i)
    posterior.add(points[i].at, best.cost - points[i].cost, seen[i] - observed_);
  const auto [lowest, highest] = std::ranges::minmax(seen);
  if (highest - lowest > observed_matters)
    for (int round = 0; round < observed_rounds; ++round)
      for (const double at : posterior.finer_points()) {
        const VectorXd u = on_profile(points, at);
        posterior.add(at, best.cost - cost_on(points, at), observed_at(u) - observed_);
      }
  fit_.severities = {posterior.severity(fit_.unknowns[0], assumed_tolerances(evidence_.logs))};
  fit_.u = on_profile(points, posterior.mode());
  fit_.observations_log_evidence += posterior.log_integral() - posterior.log_integral_of_logs();
  // det of the nuisances alone is det(all)*C_ss
  fit_.log_evidence = -best.cost - 0.5 * (best.log_determinant + std::log(best.covariance(0, 0))) +
                      posterior.log_integral() + observed_ + besides;
}

FaultFit CandidateFit::finish() {
  guard([this] {
    fit_.log_evidence = -total_neg_log_evidence();
    if (!fit_.fitted) {
      fit_.covariance = MatrixXd::Identity(fit_.u.size(), fit_.u.size());
      set_gaussian_severities();
      fit_.covariance.resize(0, 0);
      const VectorXd r = problem().residuals(fit_.u);
      fit_.reduced_chi_square = reduced_chi_square(problem().tolerances, r, fit_.u.tail(fit_.u.size() - severities()));
    }
    fit_.computed = predictor_.shown(fit_.u);
    fit_.misfit = root_mean_square(evidence_.logs, fit_.computed);
  });
  if (!fit_.trouble.empty()) fit_.log_evidence = -std::numeric_limits<double>::infinity();
  return std::move(fit_);
}

}  // namespace railseep

#include "match/match.hpp"

#include <algorithm>
#include <cmath>
#include <mutex>
#include <thread>

#include "fluid/grade.hpp"
#include "match/least_squares.hpp"
#include "match/look_alikes.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr double ninety = 1.645;  // standard deviations to either end of the middle 90 %

Eigen::VectorXd whitened(const std::vector<CrankEvidence>& logs, const std::vector<std::vector<double>>& computed) {
  Eigen::Index size = 0;
  for (const CrankEvidence& log : logs) size += static_cast<Eigen::Index>(log.time.size());
  Eigen::VectorXd all(size);
  Eigen::Index at = 0;
  for (std::size_t i = 0; i < logs.size(); ++i) {
    const Eigen::VectorXd r = logs[i].whiten(computed[i]);
    all.segment(at, r.size()) = r;
    at += r.size();
  }
  return all;
}

double misfit(const std::vector<CrankEvidence>& logs, const std::vector<std::vector<double>>& computed) {
  double sum = 0, count = 0;
  for (std::size_t i = 0; i < logs.size(); ++i)
    for (std::size_t k = 0; k < logs[i].time.size(); ++k) sum += std::pow(logs[i].pressure[k] - computed[i][k], 2), count += 1;
  return std::sqrt(sum / count);
}

/// Severities from which a search begins: the two deepest valleys in a row of typical ones.
/// A lone valley at the end of the row may be none: the middle is tried too.
std::vector<double> starts(const LeastSquaresProblem& problem, const Unknown& severity, Eigen::Index size) {
  constexpr int points = 13;
  std::vector<double> u(points), cost(points);
  for (int i = 0; i < points; ++i) {
    Eigen::VectorXd all = Eigen::VectorXd::Zero(size);
    all[0] = u[i] = std::clamp(-2.7 + 5.4 * i / (points - 1), severity.coordinate(severity.least), severity.coordinate(severity.most));
    cost[i] = problem.residuals(all).squaredNorm() + u[i] * u[i];
  }
  std::vector<std::pair<double, double>> valleys;
  for (int i = 0; i < points; ++i)
    if ((i == 0 || cost[i] < cost[i - 1]) && (i == points - 1 || cost[i] <= cost[i + 1])) valleys.emplace_back(cost[i], u[i]);
  std::sort(valleys.begin(), valleys.end());
  std::vector<double> chosen;
  for (std::size_t i = 0; i < std::min<std::size_t>(2, valleys.size()); ++i) chosen.push_back(valleys[i].second);
  if (chosen.size() == 1 && std::abs(chosen[0]) > 2) chosen.push_back(0);
  return chosen;
}

FaultFit fit_candidate(const Circuit& circuit, const std::vector<CrankEvidence>& logs, const Candidate& candidate) {
  FaultFit fit;
  fit.candidate = candidate;
  fit.unknowns = nuisances(circuit, logs);
  for (std::size_t i = candidate.suspects.size(); i-- > 0;) {
    fit.unknowns.insert(fit.unknowns.begin(), severity_unknown(candidate.suspects[i]));
    fit.unknowns.front().index = static_cast<int>(i);
  }
  const auto size = static_cast<Eigen::Index>(fit.unknowns.size());

  Predictor predictor(circuit, candidate, fit.unknowns, logs);
  LeastSquaresProblem problem;
  problem.residuals = [&](const Eigen::VectorXd& u) { return whitened(logs, predictor.pressures(u)); };
  problem.least.resize(size), problem.most.resize(size);
  for (Eigen::Index i = 0; i < size; ++i) {
    const Unknown& unknown = fit.unknowns[static_cast<std::size_t>(i)];
    problem.least[i] = unknown.coordinate(unknown.least), problem.most[i] = unknown.coordinate(unknown.most);
  }

  std::optional<LeastSquaresFit> best;
  const std::vector<double> beginnings = !candidate.healthy() ? starts(problem, fit.unknowns[0], size) : std::vector<double>{0};
  for (const double begin : beginnings) {
    Eigen::VectorXd u = Eigen::VectorXd::Zero(size);
    u[0] = begin;
    LeastSquaresFit found = least_squares(problem, u);
    if (!best || found.log_evidence > best->log_evidence) best = std::move(found);
  }
  fit.u = best->u;
  fit.log_evidence = best->log_evidence;
  fit.converged = best->converged;
  fit.computed = predictor.pressures(fit.u);
  fit.misfit = misfit(logs, fit.computed);
  for (Eigen::Index i = 0; i < static_cast<Eigen::Index>(candidate.suspects.size()); ++i) {
    const Unknown& unknown = fit.unknowns[static_cast<std::size_t>(i)];
    const double deviation = std::sqrt(best->covariance(i, i));
    fit.severities.push_back({unknown.value(fit.u[i]), unknown.value(fit.u[i] - ninety * deviation), unknown.value(fit.u[i] + ninety * deviation)});
  }
  return fit;
}

/// Oil that a leak, or a pump's wear beyond new, costs at the reference pressure with the oil of the hottest log.
std::optional<double> fault_flow(const Circuit& circuit, const std::vector<CrankEvidence>& logs, const FaultFit& fit) {
  if (fit.candidate.suspects.size() != 1) return std::nullopt;
  const Suspect& suspect = fit.candidate.suspects.front();
  const auto hottest = std::max_element(logs.begin(), logs.end(), [](const auto& a, const auto& b) { return a.condition.oil_temperature < b.condition.oil_temperature; });
  const Condition& condition = hottest->condition;
  const Oil oil = oil_at(find_oil_grade(condition.oil.empty() ? circuit.oil : condition.oil), condition.oil_temperature);
  const Circuit faulty = with_faults(circuit, fit.faults());
  const Ports<double> port{atmospheric_pressure + reference_pressure, atmospheric_pressure, {0, 0}};
  if (suspect.kind->change == FaultKind::Change::opens_leak)
    return std::visit([&](const auto& e) { return e.volume_flow(port, Signals<double>{}, oil); }, faulty.links.back().element);
  const int link = faulty.find_link(suspect.places.front().place);
  if (const Pump* worn = std::get_if<Pump>(&faulty.links[link].element)) {
    const Pump& before = std::get<Pump>(circuit.links[link].element);
    const Ports<double> across{port.to, port.from, {0, 0}};
    if (worn->lost_capacity == before.lost_capacity) return worn->slipped(across, oil) - before.slipped(across, oil);
  }
  return std::nullopt;
}

void fit_all(const Circuit& circuit, MatchResult& result, const std::vector<Candidate>& all, const MatchOptions& options) {
  result.fits.resize(all.size());
  std::mutex guard;
  std::size_t next = 0, done = 0, best = 0;
  std::exception_ptr trouble;
  const auto work = [&] {
    for (;;) {
      std::size_t mine;
      {
        const std::lock_guard lock(guard);
        if (next == all.size() || trouble) return;
        mine = next++;
      }
      try {
        FaultFit fit = fit_candidate(circuit, result.logs, all[mine]);
        fit.flow = fault_flow(circuit, result.logs, fit);
        const std::lock_guard lock(guard);
        result.fits[mine] = std::move(fit);
        if (done == 0 || result.fits[mine].log_evidence > result.fits[best].log_evidence) best = mine;
        ++done;
        if (options.progress) options.progress(done, all.size(), result.fits[best]);
      } catch (...) {
        const std::lock_guard lock(guard);
        trouble = std::current_exception();
      }
    }
  };
  const unsigned wanted = options.threads > 0 ? static_cast<unsigned>(options.threads) : std::max(1u, std::thread::hardware_concurrency());
  std::vector<std::thread> threads;
  for (unsigned i = 1; i < wanted; ++i) threads.emplace_back(work);
  work();
  for (std::thread& thread : threads) thread.join();
  if (trouble) std::rethrow_exception(trouble);
}

void set_probabilities(std::vector<FaultFit>& fits) {
  double highest = -INFINITY, sum = 0;
  for (const FaultFit& fit : fits) highest = std::max(highest, fit.log_evidence);
  for (FaultFit& fit : fits) sum += fit.probability = fit.candidate.prior * std::exp(fit.log_evidence - highest);
  for (FaultFit& fit : fits) fit.probability /= sum;
  std::stable_sort(fits.begin(), fits.end(), [](const FaultFit& a, const FaultFit& b) { return a.probability > b.probability; });
}

}  // namespace

std::vector<Fault> FaultFit::faults() const {
  std::vector<double> best;
  for (const Severity& severity : severities) best.push_back(severity.best);
  return candidate.faults(best);
}

MatchResult match(const Circuit& circuit, const Evidence& evidence, const Priors& priors, const MatchOptions& options) {
  const std::vector<CrankEvidence>& logs = evidence.logs;
  if (logs.empty()) throw Error("job", "it has no log", "add at least one");
  MatchResult result;
  result.logs = logs;
  fit_all(circuit, result, candidates(circuit, priors), options);
  set_probabilities(result.fits);
  result.sets = look_alikes(circuit, result.fits);
  const FaultFit& best = result.fits.front();
  const Assumed assumed = assume(circuit, best.candidate, best.unknowns, logs, best.u);
  for (std::size_t i = 0; i < logs.size(); ++i) {
    CrankOptions full;
    full.duty = logs[i].duty;
    full.duration = logs[i].duration;
    result.best.push_back(crank(assumed.circuit, assumed.conditions[i], full));
    result.balances.push_back(balance(assumed.circuit, result.best.back().trace));
  }
  return result;
}

}  // namespace railseep

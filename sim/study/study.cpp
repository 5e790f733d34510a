#include "study/study.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <mutex>

#include "fit/in_parallel.hpp"
#include "hypothesis/predictor.hpp"
#include "study/median.hpp"

namespace railseep {

namespace {

/// The same job as a perfect tool would have logged it; its clock and its columns stay as they are.
MadeUpJob without_noise(MadeUpJob job) {
  for (LogPlan& plan : job.plans) plan.noise = 0, plan.unit = "kPa", plan.step = 0.1, plan.blanks = 0, plan.wild = 0;
  return job;
}

struct Residuals {
  std::string conditions;
  double late_share = 0, early_square = 0, memory = 0;
};

Residuals residuals_of(const CrankEvidence& log, const std::vector<double>& computed) {
  Residuals result{log.name, 0, 0, 0};
  double late = 0, late_pressure = 0, late_count = 0, early_count = 0, square = 0, product = 0;
  const auto r = [&](std::size_t i) { return log.measured[i] - computed[i]; };
  for (std::size_t i = 0; i < log.time.size(); ++i) {
    if (log.time[i] > 2.0 / 3 * log.time.back()) late += r(i), late_pressure += log.measured[i], late_count += 1;
    if (i > 0) square += 0.5 * (r(i) * r(i) + r(i - 1) * r(i - 1)), product += r(i) * r(i - 1);
  }
  late /= late_count, late_pressure /= late_count;
  for (std::size_t i = 0; i < log.time.size() && log.time[i] < log.time.back() / 3; ++i)
    result.early_square += std::pow(r(i) - late, 2), early_count += 1;
  result.early_square /= std::max(1.0, early_count);
  result.late_share = late / std::max(late_pressure, 1e5);
  const double correlation = std::clamp(product / std::max(square, 1.0), 0.01, 0.99);
  result.memory = -log.sample_interval / std::log(correlation);
  return result;
}

Departure summary(const std::string& deviations, const std::string& conditions, const std::vector<Residuals>& all) {
  Departure row{deviations, conditions, static_cast<int>(all.size()), 0, 0, 0, 0};
  std::vector<double> memories;
  const auto n = static_cast<double>(all.size());
  for (const Residuals& one : all) {
    row.late_share += one.late_share * one.late_share / n, row.late_bias += one.late_share / n,
        row.early += one.early_square / n;
    memories.push_back(one.memory);
  }
  row.late_share = std::sqrt(row.late_share), row.early = std::sqrt(row.early), row.memory = median(memories);
  return row;
}

}  // namespace

std::vector<JobOutcome> run_study(const Circuit& circuit, const Priors& priors, const StudySettings& settings,
                                  std::vector<JobOutcome> done, const StudyProgress& progress) {
  std::erase_if(done, [&](const JobOutcome& outcome) { return outcome.number >= settings.jobs; });
  std::vector<std::uint64_t> left;
  for (std::uint64_t i = 0; i < settings.jobs; ++i)
    if (std::ranges::none_of(done, [&](const JobOutcome& outcome) { return outcome.number == i; })) left.push_back(i);
  std::mutex guard;
  in_parallel(left.size(), settings.threads, [&](std::size_t i) {
    JobOutcome outcome = run_job(circuit, priors, settings.seed, left[i], settings.deviations);
    const std::lock_guard lock(guard);
    done.push_back(std::move(outcome));
    if (progress) progress(done.size(), done.back());
  });
  std::ranges::sort(done, {}, &JobOutcome::number);
  return done;
}

std::vector<Departure> measure_departures(const Circuit& circuit, const Priors& priors, const StudySettings& settings,
                                          std::uint64_t jobs) {
  std::vector<Deviations> kinds{{}};
  for (const DeviationInfo& info : all_deviations()) kinds.push_back({info.deviation});
  kinds.push_back(parse_deviations("all"));
  std::vector<std::map<std::string, std::vector<Residuals>>> found(kinds.size() * jobs);
  in_parallel(found.size(), settings.threads, [&](std::size_t i) {
    const MadeUpJob job = without_noise(draw_job(circuit, priors, settings.seed, i % jobs, kinds[i / jobs]));
    try {
      const Evidence evidence = made_up_evidence(circuit, job, settings.seed);
      Predictor predictor(circuit, job.candidate, evidence.logs);
      const auto computed = predictor.shown(coordinates_of(job, predictor.unknowns()));
      for (std::size_t k = 0; k < computed.size(); ++k)
        found[i][evidence.logs[k].name].push_back(residuals_of(evidence.logs[k], computed[k]));
    } catch (const std::exception&) {
      // A job that cannot be made is refused in the study itself, and counted there.
    }
  });
  std::vector<Departure> rows;
  for (std::size_t k = 0; k < kinds.size(); ++k) {
    std::map<std::string, std::vector<Residuals>> all;
    for (std::uint64_t j = 0; j < jobs; ++j)
      for (const auto& [name, residuals] : found[k * jobs + j])
        all[name].insert(all[name].end(), residuals.begin(), residuals.end());
    for (const auto& [name, residuals] : all) rows.push_back(summary(words(kinds[k]), name, residuals));
  }
  return rows;
}

}  // namespace railseep

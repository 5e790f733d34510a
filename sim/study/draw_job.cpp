#include <algorithm>
#include <cmath>
#include <numbers>

#include "study/made_up_job.hpp"

namespace railseep {

namespace {

constexpr double rpm = 2 * std::numbers::pi / 60, celsius = 273.15;
enum Stream : std::uint64_t { truth, switches };  // of random numbers; logs follow

/// Ranges of practice, assumed: trade values for the speeds and voltages, scan tools for the rest.
LogPlan draw_plan(const std::string& name, Dice& dice) {
  struct Range {
    double cold, hot, slow, fast, flat, full;
  };
  const Range range = name == "cold"           ? Range{0, 30, 130, 165, 9.5, 10.5}
                      : name == "weak battery" ? Range{70, 95, 90, 135, 8, 9.5}
                                               : Range{75, 100, 155, 190, 10, 11};
  LogPlan plan;
  plan.name = name;
  plan.oil_temperature = celsius + std::round(dice.uniform(range.cold, range.hot));
  plan.speed = rpm * dice.uniform(range.slow, range.fast);
  plan.battery = dice.uniform(range.flat, range.full);
  plan.begins = dice.uniform(0.3, 1.5);
  plan.rate = dice.pick(std::vector<double>{1, 2, 2, 4, 5, 10});
  plan.seconds = plan.begins + dice.uniform(6, 12);
  plan.noise = 1e4 * std::pow(6.0, dice.uniform(0, 1));
  struct Steps {
    const char* unit;
    std::vector<double> steps;
  };
  const Steps steps =
      dice.pick(std::vector<Steps>{{"psi", {1, 4, 10}}, {"kPa", {7, 40}}, {"MPa", {0.01, 0.1}}, {"bar", {0.1, 0.5}}});
  plan.unit = steps.unit, plan.step = dice.pick(steps.steps);
  plan.speed_skew = plan.sample_interval() * dice.uniform(-0.15, 0.15);
  plan.duty_skew = plan.sample_interval() * dice.uniform(-0.15, 0.15);
  plan.jitter = 0.1 * plan.sample_interval();
  plan.blanks = dice.chance(0.5) ? dice.uniform(0.02, 0.12) : 0;
  plan.wild = dice.chance(0.3) ? (dice.chance(0.5) ? 1 : 2) : 0;
  plan.has_duty = !dice.chance(0.03);  // rare: they cost ten times as long to match
  plan.decimal_comma = dice.chance(0.2);
  const double which = dice.uniform(0, 1);
  if (which > 0.9)
    plan.temperature = LogPlan::Temperature::none, plan.oil_temperature = 313.15;  // what the match then takes
  else if (which > 0.8)
    plan.temperature = LogPlan::Temperature::of_coolant;
  return plan;
}

std::vector<std::string> draw_conditions(Dice& dice) {
  const double which = dice.uniform(0, 1);
  if (which < 0.5) return {"cold", "hot"};
  if (which < 0.65) return {"weak battery", "hot"};
  if (which < 0.825) return {"hot"};
  return {which < 0.9125 ? "cold" : "weak battery"};
}

/// What nuisances() needs to know of a log that is yet to be made.
CrankEvidence announced(const LogPlan& plan) {
  const NoiseModel noise;
  CrankEvidence evidence;
  evidence.name = plan.name;
  evidence.condition.oil_temperature = plan.oil_temperature;
  evidence.sample_interval = plan.sample_interval();
  evidence.temperature_doubt = plan.temperature == LogPlan::Temperature::of_oil       ? noise.measured_temperature
                               : plan.temperature == LogPlan::Temperature::of_coolant ? 3 * noise.measured_temperature
                                                                                      : noise.doubtful_temperature;
  return evidence;
}

double draw(const Unknown& unknown, Dice& dice) {
  for (;;) {
    const double x = unknown.mean + unknown.spread * dice.normal(), si = unknown.logarithmic ? std::exp(x) : x;
    if (si >= unknown.least && si <= unknown.most) return si;
  }
}

const Candidate& draw_candidate(const std::vector<Candidate>& all, Dice& dice) {
  double left = dice.uniform(0, 1);
  for (const Candidate& candidate : all)
    if ((left -= candidate.prior) < 0) return candidate;
  return all.back();
}

}  // namespace

std::string MadeUpJob::conditions() const {
  std::string text;
  for (const LogPlan& plan : plans) text += (text.empty() ? "" : ", ") + plan.name;
  return text;
}

MadeUpJob draw_job(const Circuit& circuit, const Priors& priors, std::uint64_t seed, std::uint64_t number,
                   const std::optional<Deviations>& deviations) {
  Dice dice(seed, number, truth);
  MadeUpJob job;
  job.number = number;
  job.candidate = draw_candidate(candidates(circuit, priors), dice);
  for (const std::string& condition : draw_conditions(dice)) job.plans.push_back(draw_plan(condition, dice));
  std::vector<CrankEvidence> logs;
  for (const LogPlan& plan : job.plans) logs.push_back(announced(plan));
  job.unknowns = unknowns_of(circuit, job.candidate, logs);
  for (const Unknown& unknown : job.unknowns) job.values.push_back(draw(unknown, dice));
  // Oil that nobody measured is within what an engine can be cranked with.
  for (std::size_t i = 0; i < job.unknowns.size(); ++i)
    if (job.unknowns[i].where == Unknown::Where::oil_temperature)
      job.values[i] = std::clamp(job.values[i], celsius - 20, celsius + 120);
  if (deviations) {
    job.deviations = *deviations;
  } else {
    Dice coins(seed, number, switches);
    for (const DeviationInfo& info : all_deviations())
      if (coins.chance(0.5)) job.deviations.insert(info.deviation);
  }
  // The other law in full, in place of one drawn from the match's doubt about it.
  if (job.deviations.contains(Deviation::hole_law))
    for (std::size_t i = 0; i < job.unknowns.size(); ++i)
      if (job.unknowns[i].where == Unknown::Where::hole_law) job.values[i] = 0;
  return job;
}

Eigen::VectorXd coordinates_of(const MadeUpJob& job, const std::vector<Unknown>& unknowns) {
  Eigen::VectorXd u(static_cast<Eigen::Index>(unknowns.size()));
  for (std::size_t i = 0; i < unknowns.size(); ++i)
    u[static_cast<Eigen::Index>(i)] = unknowns[i].coordinate(job.values[i]);
  return u;
}

}  // namespace railseep

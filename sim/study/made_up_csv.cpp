#include <algorithm>
#include <cmath>
#include <numbers>

#include "log/log_reader.hpp"
#include "quantity/quantity.hpp"
#include "study/made_up_job.hpp"

namespace railseep {

namespace {

constexpr std::uint64_t first_log_stream = 2;
constexpr double run_up = 0.3;            // of the starter [s] (assumed)
constexpr double tachometer_noise = 0.1;  // [rad/s], about 1 rpm
constexpr double generator_tolerance = 2e-5;

/// One number as the tool writes it: rounded to its steps, perhaps with a decimal comma.
std::string cell(double value, double step, bool comma) {
  const int decimals = std::clamp(static_cast<int>(std::ceil(-std::log10(step) - 1e-9)), 0, 4);
  char text[40];
  std::snprintf(text, sizeof text, "%.*f", decimals, std::round(value / step) * step);
  std::string written = text;
  if (comma) std::replace(written.begin(), written.end(), '.', ',');
  return written;
}

/// When each column of each row is asked [s].
struct Sweep {
  double row, pressure, speed, duty;
};

std::vector<Sweep> sweeps(const LogPlan& plan, double delay, Dice& dice) {
  std::vector<Sweep> all;
  const int last = static_cast<int>(plan.seconds * plan.rate);
  for (int i = 0; i <= last; ++i) {
    const double t = i / plan.rate;
    const auto within = [&](double at) { return std::clamp(at, 0.0, plan.seconds + 0.5); };
    all.push_back(
        {t, within(t + delay + plan.jitter * dice.normal()), within(t + plan.speed_skew), within(t + plan.duty_skew)});
  }
  return all;
}

/// Nothing turns, the starter runs up, the speed sags a little with the battery.
Profile speed_of(const LogPlan& plan) {
  const double end = plan.seconds + 1;
  return {{0, plan.begins, plan.begins + run_up, end}, {0, 0, plan.speed, 0.97 * plan.speed}};
}

class Columns {
 public:
  explicit Columns(const Trace& trace) : trace_(trace) {}
  double at(std::string_view channel, double t) const {
    const auto found = std::lower_bound(trace_.time.begin(), trace_.time.end(), t);
    return trace_.find(channel)
        .value[static_cast<std::size_t>(std::min(found, trace_.time.end() - 1) - trace_.time.begin())];
  }

 private:
  const Trace& trace_;
};

Trace crank_of(const MadeUpJob& job, std::size_t log, const std::vector<Sweep>& asked, Assumed& assumed) {
  const LogPlan& plan = job.plans[log];
  CrankOptions options;
  options.duration = plan.seconds + 0.5;
  options.tolerance = generator_tolerance;
  for (const Sweep& sweep : asked)
    options.output_times.insert(options.output_times.end(), {sweep.pressure, sweep.speed, sweep.duty});
  std::sort(options.output_times.begin(), options.output_times.end());
  options.output_times.erase(std::unique(options.output_times.begin(), options.output_times.end()),
                             options.output_times.end());
  Condition& condition = assumed.condition;
  condition.speed = speed_of(plan);
  condition.battery = Profile(plan.battery);
  Circuit deviating = assumed.circuit;
  depart(job.deviations, deviating, condition, options);
  return crank(deviating, condition, options).trace;
}

}  // namespace

std::string made_up_csv(const Circuit& circuit, const MadeUpJob& job, std::size_t log, std::uint64_t seed) {
  Dice dice(seed, job.number, first_log_stream + log);
  const LogPlan& plan = job.plans[log];
  std::vector<CrankEvidence> bare(job.plans.size());
  Assumed assumed = assume(circuit, job.candidate, job.unknowns, bare, log, coordinates_of(job, job.unknowns));
  const std::vector<Sweep> asked = sweeps(plan, assumed.delay, dice);
  const Trace trace = crank_of(job, log, asked, assumed);
  const Columns columns(trace);

  const bool comma = plan.decimal_comma;
  const std::string mark = comma ? ";" : ",";
  std::string csv = "time (s)" + mark + "icp (" + plan.unit + ")" + mark + "rpm" + mark + "battery (V)";
  if (plan.has_duty) csv += mark + "ipr (%)";
  if (plan.temperature == LogPlan::Temperature::of_oil) csv += mark + "eot (degC)";
  if (plan.temperature == LogPlan::Temperature::of_coolant) csv += mark + "ect (degC)";
  csv += "\n";
  std::vector<std::size_t> wild;
  for (int i = 0; i < plan.wild; ++i)
    wild.push_back(static_cast<std::size_t>(dice.uniform(2, static_cast<double>(asked.size()) - 1)));
  for (std::size_t i = 0; i < asked.size(); ++i) {
    const auto blank = [&](const std::string& text) {
      return i > 0 && dice.chance(plan.blanks) ? std::string() : text;
    };
    double shown = std::max(0.0, columns.at(signal::shown_pressure, asked[i].pressure) + plan.noise * dice.normal());
    if (std::find(wild.begin(), wild.end(), i) != wild.end()) shown = dice.chance(0.5) ? 0 : dice.uniform(0, 2e7);
    const double turning = columns.at(signal::engine_speed, asked[i].speed);
    const double speed = turning > 1 ? turning + tachometer_noise * dice.normal() : 0;
    csv += cell(asked[i].row, 0.001, comma);
    csv += mark + blank(cell(to_unit(shown, Quantity::pressure, plan.unit), plan.step, comma));
    csv += mark + blank(cell(to_unit(speed, Quantity::speed, "rpm"), 1, comma));
    csv += mark + blank(cell(plan.battery + 0.02 * dice.normal(), 0.01, comma));
    if (plan.has_duty) csv += mark + blank(cell(100 * columns.at(signal::regulator_duty, asked[i].duty), 0.1, comma));
    if (plan.temperature != LogPlan::Temperature::none)
      csv += mark + blank(cell(plan.oil_temperature - 273.15, 1, comma));
    csv += "\n";
  }
  return csv;
}

Evidence made_up_evidence(const Circuit& circuit, const MadeUpJob& job, std::uint64_t seed) {
  Evidence evidence;
  for (std::size_t i = 0; i < job.plans.size(); ++i) {
    const std::string name = job.plans[i].name + " " + std::to_string(job.number);
    evidence.logs.push_back(crank_evidence(parse_log(made_up_csv(circuit, job, i, seed), name + ".csv"),
                                           {job.plans[i].name, "", {}, {}, {}, {}}));
  }
  return evidence;
}

}  // namespace railseep

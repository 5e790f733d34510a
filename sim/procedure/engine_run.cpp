#include "procedure/engine_run.hpp"

#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

double coil_surroundings(const Circuit& circuit) {
  const int at = circuit.only<Regulator>();
  return at < 0 ? 293.15 : std::get<Regulator>(circuit.links[at].element).coil_temperature;
}

}  // namespace

EngineRun::EngineRun(const Circuit& circuit, const Condition& condition, const RunOptions& options)
    : circuit_(circuit),
      condition_(condition),
      side_(circuit, condition),
      integration_(side_, side_.start(condition), options.tolerance),
      module_(circuit.control, condition.oil_temperature),
      recorder_(side_, Recorder::Keep::run, Recorder::even_times(options.output_interval, options.longest)),
      goal_(circuit.control.idle_speed) {
  recorder_.set_wanted(module_.wanted());
  recorder_.set_coil_temperature(coil_surroundings(circuit));
  recorder_.record(0, integration_.state());
}

std::optional<double> EngineRun::crank(double longest) {
  const Starter starter(circuit_.starter, side_.network().oil().viscosity, condition_.battery_charge);
  cranking_speed_ = starter_share(circuit_, condition_) *
                    (condition_.speed.empty() ? starter.settled_speed() : condition_.speed.at(0));
  phase_ = Phase::cranking;
  since_crank_ = since_injection_ = below_hold_ = 0;
  injecting_ = false;
  const double begin = time();
  while (phase_ == Phase::cranking && time() < begin + longest) {
    const double voltage = condition_.speed.empty() ? starter.voltage(side_.speed(time())) : condition_.battery.at(0);
    side_.set_battery(time(), voltage, 0);
    set_speed_towards(cranking_speed_, circuit_.starter.run_up_time);
    sample();
  }
  if (phase_ != Phase::running) return std::nullopt;
  return time() - begin;
}

bool EngineRun::run(double duration, double warm_rate, double warm_end) {
  constexpr double warm_step = 2;  // the oil is exchanged for warmer oil in such steps [K]
  const double end = time() + duration;
  double owed = 0;
  while (phase_ == Phase::running && time() < end) {
    side_.set_battery(time(), charging_voltage, 0);
    set_speed_towards(goal_, run_up_time);
    sample();
    owed += warm_rate * circuit_.control.sample_time;
    if (owed < warm_step || oil_temperature() >= warm_end) continue;
    const Oil warmer = oil_of(circuit_, condition_.oil, std::min(oil_temperature() + owed, warm_end));
    integration_.go_on_from(side_.set_oil(warmer, integration_.state()), time());
    owed = 0;
  }
  return phase_ == Phase::running;
}

void EngineRun::key_off(double duration) {
  phase_ = Phase::stopped;
  injecting_ = false;
  side_.set_duty(time(), 0), side_.set_pulse(0), side_.set_battery(time(), 0, 0);
  const double end = time() + duration;
  while (time() < end) {
    const double t = time(), speed = side_.speed(t);
    // Once it stands nothing is sampled any more, and the solver may take long steps.
    const double next = speed > 0 ? std::min(end, t + circuit_.control.sample_time) : end;
    if (speed > 0.1)
      set_speed_towards(0, run_down_time);
    else
      side_.set_speed(t, 0, 0);
    advance(next);
  }
}

void EngineRun::stand(double rest_time) {
  Condition standing = condition_;
  standing.rest_time = rest_time;
  standing.oil_temperature = oil_temperature();
  side_.set_speed(time(), 0, 0);
  integration_.go_on_from(side_.start(standing), time() + rest_time);
  side_.set_speed(time(), 0, 0);
  recorder_.skip_to(time());
  coil_ = WarmingCoil();
}

void EngineRun::set_speed_towards(double goal, double time_constant) {
  const double dt = circuit_.control.sample_time, now = side_.speed(time());
  const double next = goal + (now - goal) * std::exp(-dt / time_constant);
  side_.set_speed(time(), now, (next - now) / dt);
}

void EngineRun::advance(double t_end) {
  integration_.advance(t_end, recorder_.next_time(),
                       [&](double t, const Network::State& state) { return recorder_.record(t, state); });
}

bool EngineRun::injectors_work() const {
  return std::any_of(circuit_.links.begin(), circuit_.links.end(), [](const Link& link) {
    const auto* injector = std::get_if<Injector>(&link.element);
    return injector && injector->shot_share > 0.05;
  });
}

void EngineRun::decide(double shown, double actual) {
  const ControlSettings& control = circuit_.control;
  const double dt = control.sample_time;
  const bool cranking = phase_ == Phase::cranking;
  since_crank_ += dt;
  if (cranking && !injecting_)
    injecting_ = circuit_.engine.synchronised > 0.5 && module_.enables_injection(since_crank_, shown);
  if (cranking && injecting_ && shown < control.hold_pressure) injecting_ = false;
  const bool burning = injecting_ && injectors_work() && actual >= control.hold_pressure;
  since_injection_ = burning ? since_injection_ + dt : 0;
  if (cranking && since_injection_ > catch_time) phase_ = Phase::running, below_hold_ = 0;
  if (phase_ != Phase::running) return;
  below_hold_ = burning ? 0 : below_hold_ + dt;
  if (below_hold_ > stall_time) phase_ = Phase::stopped, injecting_ = false;
}

void EngineRun::sample() {
  const ControlSettings& control = circuit_.control;
  const double shown = side_.shown(integration_.state());
  decide(shown, side_.actual(integration_.state()));
  module_.observe(oil_temperature(), side_.speed(time()), phase_ == Phase::running);
  if (commanded_) module_.command(*commanded_);
  const double duty = side_.believed(integration_.state()) ? module_.sample(shown) : module_.sample_blind();
  side_.set_duty(time(), circuit_.engine.regulator_driver > 0.5 ? duty : control.least_duty);
  const double full = control.crank_pulse, idle = control.idle_pulse;
  side_.set_pulse(!injecting_ ? 0 : phase_ == Phase::cranking ? full : idle);
  recorder_.set_wanted(module_.wanted());
  advance(time() + control.sample_time);
  coil_.heat(side_.coil_power(integration_.state()), control.sample_time);
  side_.set_coil_warming(coil_.warming());
  recorder_.set_coil_temperature(coil_surroundings(circuit_) + coil_.warming());
}

}  // namespace railseep

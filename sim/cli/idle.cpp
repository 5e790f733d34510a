#include "procedure/idle.hpp"

#include <memory>

#include "cli/commands.hpp"
#include "cli/crank_summary.hpp"
#include "cli/engine_choices.hpp"
#include "procedure/step_test.hpp"

namespace railseep {

namespace {

struct IdleChoices {
  EngineChoices engine;
  std::string high, duration;
  CurveChoices curves;
  OutputChoices output;
};

constexpr QuantityRange high_idle_range{Quantity::speed, 52.36, 418.88, "rpm"};  // 500 to 4000 rpm

/// The engine idles, however it was started.
int run_low_idle(const IdleChoices& choices, Output& out, const ChosenEngine& engine) {
  CrankOptions options;
  options.duration = read_duration(choices.duration.empty() ? "6 s" : choices.duration, "--duration", 600,
                                   "an idle that is settled stays so");
  const CrankResult result = idle(engine.circuit, engine.condition, options);
  const CrankSummary summary = summarise(engine.circuit, result.trace);
  const bool sealed = choices.curves.sealed;
  const bool holds = summary.plateau >= engine.circuit.control.hold_pressure;
  const OilBalance oil = balance(engine.circuit, result.trace);
  out.text() << "  idles at " << out.shown(engine.circuit.control.idle_speed, Quantity::speed)
             << ": rail pressure shown, last fifth " << out.shown(summary.plateau, Quantity::pressure) << ", duty "
             << out.shown(summary.duty, Quantity::ratio) << "\n  it needs "
             << out.shown(engine.circuit.control.hold_pressure, Quantity::pressure)
             << " to run: " << (holds ? "runs on" : "stalls") << "\n";
  if (!sealed) print_oil_balance(out, oil);
  give_curves(out, choices.curves, result.trace, engine.healthy.name + ": idle");
  Json json = result_head("idle");
  json["engine"] = engine_json(engine, sealed);
  json["speed_rad/s"] = engine.circuit.control.idle_speed;
  json["runs"] = holds;
  json["mean_Pa"] = summary.plateau;
  json["duty"] = summary.duty;
  if (!sealed) json["oil_balance"] = oil_balance_json(oil);
  out.json(json);
  return out.code(holds ? Answered::yes : Answered::no);
}

/// Started, then held at a speed: does the oil froth?
int run_high_idle(const IdleChoices& choices, Output& out, const ChosenEngine& engine) {
  const double speed = read_option(choices.high, high_idle_range, "--high");
  const double duration = read_duration(choices.duration.empty() ? "20 s" : choices.duration, "--duration", 600,
                                        "the trade holds it for 3 min");
  const HighIdle high = high_idle(engine.circuit, engine.condition, speed, duration);
  const bool sealed = choices.curves.sealed;
  out.text() << "  high idle at " << out.shown(speed, Quantity::speed) << " for "
             << out.shown(duration, Quantity::time, "s") << ": ";
  if (high.ran)
    out.text() << "rail pressure shown " << out.shown(high.mean, Quantity::pressure) << ", unsteady by "
               << out.shown(high.spread, Quantity::pressure, "", 2) << ", duty "
               << out.shown(high.duty, Quantity::ratio) << " (second half)\n";
  else
    out.text() << "it does not start, or stalls\n";
  give_curves(out, choices.curves, high.trace, engine.healthy.name + ": high idle");
  Json json = result_head("idle");
  json["engine"] = engine_json(engine, sealed);
  json["speed_rad/s"] = speed;
  json["runs"] = high.ran;
  if (high.ran) {
    json["mean_Pa"] = high.mean;
    json["spread_Pa"] = high.spread;
    json["duty"] = high.duty;
  }
  out.json(json);
  return out.code(high.ran ? Answered::yes : Answered::no);
}

int run_idle(const IdleChoices& choices) {
  Output out(choices.output, {choices.curves.trace, choices.curves.plot});
  const ChosenEngine engine = chosen_engine(choices.engine);
  print_cautions_for(out, {"crank", "hot oil"});
  print_engine(out.text(), engine, out.units(), choices.curves.sealed);
  return choices.high.empty() ? run_low_idle(choices, out, engine) : run_high_idle(choices, out, engine);
}

}  // namespace

void add_idle(CLI::App& program, Run& run) {
  auto choices = std::make_shared<IdleChoices>();
  CLI::App* command =
      program.add_subcommand("idle", "Compute pressure, duty and oil use at idle, or at high idle, where oil froths");
  choices->engine.oil_temperature = "90 degC";
  add_engine_options(*command, choices->engine);
  command->add_option("--high", choices->high,
                      "High idle: started, then held at this speed, such as \"3300 rpm\" (default: low idle)");
  command->add_option("--duration", choices->duration, "So long (default: 6 s, high idle 20 s)");
  add_curve_options(*command, choices->curves);
  add_overwrite(*command, choices->output);
  add_output_options(*command, choices->output);
  add_verdict(*command, choices->output, "it runs on");
  command->callback([choices, &run] { run = [choices] { return run_idle(*choices); }; });
}

}  // namespace railseep

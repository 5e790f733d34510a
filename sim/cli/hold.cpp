#include <memory>

#include "cli/commands.hpp"
#include "cli/crank_summary.hpp"
#include "cli/engine_choices.hpp"
#include "procedure/key_off_hold.hpp"

namespace railseep {

namespace {

struct HoldChoices {
  EngineChoices engine;
  std::string duration = "5 s", watched = "60 s";
  CurveChoices curves;
  OutputChoices output;
};

/// The shown pressure at a time [s], gauge [Pa].
double shown_at(const Trace& trace, double time) {
  const std::vector<double>& shown = trace.find(signal::shown_pressure).value;
  double last = 0;
  for (std::size_t i = 0; i < shown.size() && trace.time[i] <= time + 1e-9; ++i) last = shown[i];
  return last;
}

int run_hold(const HoldChoices& choices) {
  Output out(choices.output, {choices.curves.trace, choices.curves.plot});
  const ChosenEngine engine = chosen_engine(choices.engine);
  const double cranked = read_duration(choices.duration, "--duration", 30, "a starter needs its rest");
  const double watched = read_duration(choices.watched, "--watched", 3600, "an hour");
  const Trace trace = key_off_hold(engine.circuit, engine.condition, cranked, watched);
  const std::optional<double> half = decay_time(trace, cranked);
  const double at_key_off = shown_at(trace, cranked), left = shown_at(trace, cranked + watched);
  print_cautions_for(out, {"crank"});
  print_engine(out.text(), engine, out.units(), choices.curves.sealed);
  out.text() << "  cranked, then key off " << out.shown(at_key_off, Quantity::pressure) << " shown after "
             << out.shown(cranked, Quantity::time, "s") << "\n  fallen to half        "
             << (half ? "after " + out.shown(*half, Quantity::time, "s") : "not while it was watched")
             << "\n  left                  " << out.shown(left, Quantity::pressure) << " after "
             << out.shown(watched, Quantity::time, "s") << "\n";
  give_curves(out, choices.curves, trace, engine.healthy.name + ": key off and hold");
  Json json = result_head("hold");
  json["engine"] = engine_json(engine, choices.curves.sealed);
  json["cranked_s"] = cranked;
  json["watched_s"] = watched;
  json["at_key_off_Pa"] = at_key_off;
  json["half_after_s"] = half ? Json(*half) : Json();
  json["left_Pa"] = left;
  out.json(json);
  return exit_done;
}

}  // namespace

void add_hold(CLI::App& program, Run& run) {
  auto choices = std::make_shared<HoldChoices>();
  CLI::App* command = program.add_subcommand(
      "hold", "Compute key off and hold: cranked with injection off, how fast the rail pressure falls then");
  choices->engine.oil_temperature = "90 degC";
  add_engine_options(*command, choices->engine);
  command->add_option("--duration", choices->duration, "Cranking time")->capture_default_str();
  command->add_option("--watched", choices->watched, "So long after key off")->capture_default_str();
  add_curve_options(*command, choices->curves);
  add_overwrite(*command, choices->output);
  add_output_options(*command, choices->output);
  command->callback([choices, &run] { run = [choices] { return run_hold(*choices); }; });
}

}  // namespace railseep

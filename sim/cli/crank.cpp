#include "procedure/crank.hpp"

#include <iomanip>
#include <memory>

#include "cli/commands.hpp"
#include "cli/crank_summary.hpp"
#include "cli/engine_choices.hpp"
#include "procedure/isolate.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

struct CrankChoices {
  EngineChoices engine;
  std::string duration = "6 s", plugged;
  CurveChoices curves;
  OutputChoices output;
};

// What the trade expects of a good pump with both rails plugged [Pa].
constexpr double expected_of_pump = 1500 * 6894.757293168;

int run_crank(const CrankChoices& choices) {
  Output out(choices.output, {choices.curves.trace, choices.curves.plot});
  const bool sealed = choices.curves.sealed, plugged = !choices.plugged.empty();
  const ChosenEngine engine = chosen_engine(choices.engine);
  CrankOptions options;
  options.duration = read_duration(choices.duration, "--duration", 60, "a starter needs its rest");
  const CrankResult result =
      plugged
          ? of_option("--plugged", [&] { return isolate(engine.circuit, engine.condition, choices.plugged, options); })
          : crank(engine.circuit, engine.condition, options);
  const CrankSummary summary = summarise(engine.circuit, result.trace);
  const std::optional<OilBalance> oil = sealed ? std::nullopt : std::optional(balance(engine.circuit, result.trace));

  if (plugged) print_cautions_for(out, {"opening", "gauge", "crank"});
  print_engine(out.text(), engine, out.units(), sealed);
  out.text() << "  cranked at " << out.shown(result.trace.find(signal::engine_speed).value.back(), Quantity::speed)
             << " for " << out.shown(result.trace.time.back(), Quantity::time, "s")
             << (plugged ? ", plugged: " + choices.plugged + ", duty held" : "") << "\n";
  print_crank(out, engine.circuit, summary, oil);
  const bool both = choices.plugged == both_rails;
  if (both)
    out.text() << "  of a good pump more than " << out.shown(expected_of_pump, Quantity::pressure)
               << " is expected with both rails plugged (trade)\n";
  give_curves(out, choices.curves, result.trace, engine.healthy.name + ": crank");

  Json json = result_head("crank");
  json["engine"] = engine_json(engine, sealed);
  if (plugged) json["plugged"] = choices.plugged;
  json.update(crank_json(engine.circuit, summary, oil));
  json["duration_s"] = result.trace.time.back();
  out.json(json);
  if (plugged && !both) return out.code(Answered::open);
  const bool good = both ? summary.plateau > expected_of_pump : summary.injection_enabled;
  return out.code(good ? Answered::yes : Answered::no);
}

}  // namespace

void add_crank(CLI::App& program, Run& run) {
  auto choices = std::make_shared<CrankChoices>();
  CLI::App* command =
      program.add_subcommand("crank", "Compute what the gauges would show while the starter turns the engine");
  choices->engine.speed = "170 rpm";
  add_engine_options(*command, choices->engine);
  command->add_option("--duration", choices->duration, "Cranking time")->capture_default_str();
  command->add_option("--plugged", choices->plugged,
                      "Pump isolation or half-split: crank with \"rails\" plugged, or one side such as \"left rail\", "
                      "the duty held at its ceiling");
  add_curve_options(*command, choices->curves);
  add_overwrite(*command, choices->output);
  add_output_options(*command, choices->output);
  add_verdict(*command, choices->output, "injection would be enabled, or the pump passes with both rails plugged");
  command->callback([choices, &run] { run = [choices] { return run_crank(*choices); }; });
}

}  // namespace railseep

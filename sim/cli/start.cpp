#include <memory>

#include "cli/commands.hpp"
#include "cli/crank_summary.hpp"
#include "cli/engine_choices.hpp"
#include "cli/page.hpp"
#include "procedure/start_warm_restart.hpp"

namespace railseep {

namespace {

struct StartChoices {
  EngineChoices engine;
  std::string warm_to = "90 degC", idle = "5 s", stand = "5 min", longest = "15 s";
  CurveChoices curves;
  OutputChoices output;
};

StoryOptions story_of(const StartChoices& choices) {
  StoryOptions options;
  options.warm_to = read_option(choices.warm_to, condition_range::oil_temperature, "--warm-to");
  options.idle_cold = read_duration(choices.idle, "--idle", 60, "it settles within seconds");
  options.idle_hot = options.idle_cold;
  options.rest_time = read_duration(choices.stand, "--stand", 7200, "the oil stays hot in the meantime");
  options.longest_crank = read_duration(choices.longest, "--longest", 30, "a starter needs its rest");
  return options;
}

void print_start(Output& out, const char* which, const std::optional<double>& time) {
  out.text() << which
             << (time ? "starts after " + out.shown(*time, Quantity::time, "s") : std::string("does not start"));
}

void print_story(Output& out, const Story& story, const StoryOptions& options) {
  print_start(out, "  first start           ", story.first_start);
  out.text() << "\n";
  if (!story.first_start) return;
  out.text() << "  cold idle, warming up " << (story.idled_cold ? "runs" : "stalls") << "\n";
  if (!story.idled_cold) return;
  out.text() << "  idle at " << fitted(out.shown(options.warm_to, Quantity::temperature), 14);
  if (!story.idled_hot) {
    out.text() << "stalls\n";
    return;
  }
  out.text() << out.shown(story.hot_idle_pressure, Quantity::pressure) << " shown, duty "
             << out.shown(story.hot_idle_duty, Quantity::ratio) << "\n";
  out.text() << "  key off, stood        " << format_quantity(options.rest_time, Quantity::time, "min", 3) << "\n";
  print_start(out, "  hot restart           ", story.restart);
  out.text() << ", peak while cranking " << out.shown(story.restart_peak, Quantity::pressure) << "\n";
}

Json story_json(const Story& story) {
  const auto seconds = [](const std::optional<double>& time) { return time ? Json(*time) : Json(); };
  Json json{{"first_start_s", seconds(story.first_start)},
            {"idled_while_warming", story.idled_cold},
            {"idled_hot", story.idled_hot},
            {"hot_restart_s", seconds(story.restart)}};
  if (story.idled_hot) {
    json["hot_idle_Pa"] = story.hot_idle_pressure;
    json["hot_idle_duty"] = story.hot_idle_duty;
    json["restart_peak_Pa"] = story.restart_peak;
  }
  return json;
}

int run_start(const StartChoices& choices) {
  Output out(choices.output, {choices.curves.trace, choices.curves.plot});
  const ChosenEngine engine = chosen_engine(choices.engine);
  const StoryOptions options = story_of(choices);
  const Story story = start_warm_restart(engine.circuit, engine.condition, options);
  print_cautions_for(out, {"crank", "hot oil"});
  print_engine(out.text(), engine, out.units(), choices.curves.sealed);
  print_story(out, story, options);
  give_curves(out, choices.curves, story.trace, engine.healthy.name + ": start, warm up, hot restart");
  Json json = result_head("start");
  json["engine"] = engine_json(engine, choices.curves.sealed);
  json.update(story_json(story));
  out.json(json);
  return out.code(story.restart ? Answered::yes : Answered::no);
}

}  // namespace

void add_start(CLI::App& program, Run& run) {
  auto choices = std::make_shared<StartChoices>();
  CLI::App* command =
      program.add_subcommand("start", "Compute a cold start, the idle while it warms up, key off, and the hot restart");
  add_engine_options(*command, choices->engine);
  command->add_option("--warm-to", choices->warm_to, "Oil temperature at which the key is turned off")
      ->capture_default_str();
  command->add_option("--idle", choices->idle, "It idles so long cold, and so long hot")->capture_default_str();
  command->add_option("--stand", choices->stand, "It stands hot so long before the restart")->capture_default_str();
  command->add_option("--longest", choices->longest, "Cranked at a go")->capture_default_str();
  add_curve_options(*command, choices->curves);
  add_overwrite(*command, choices->output);
  add_output_options(*command, choices->output);
  add_verdict(*command, choices->output, "it starts cold and hot");
  command->callback([choices, &run] { run = [choices] { return run_start(*choices); }; });
}

}  // namespace railseep

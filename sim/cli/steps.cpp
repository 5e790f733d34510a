#include <iomanip>
#include <memory>

#include "cli/commands.hpp"
#include "cli/crank_summary.hpp"
#include "cli/engine_choices.hpp"
#include "procedure/step_test.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

struct StepsChoices {
  EngineChoices engine;
  std::vector<std::string> goals = {"700 psi", "1200 psi", "1700 psi", "900 psi"};
  std::string each = "5 s";
  CurveChoices curves;
  OutputChoices output;
};

constexpr QuantityRange goal_range{Quantity::pressure, 1e6, 4e7, "psi"};
constexpr std::size_t most_goals = 20;
constexpr double near_enough = 0.05;  // of what was commanded: as the response is timed

std::vector<double> goals_of(const StepsChoices& choices) {
  if (choices.goals.size() > most_goals)
    throw Error("--goal", "these are more than " + std::to_string(most_goals) + " steps", "give fewer");
  std::vector<double> goals;
  for (const std::string& text : choices.goals) goals.push_back(read_option(text, goal_range, "--goal"));
  return goals;
}

void print_steps(Output& out, const StepTest& test, const std::vector<double>& goals, double each) {
  if (!test.ran) {
    out.text() << "  it does not start, or stalls on a step: no step test; smaller steps may go\n";
    return;
  }
  const auto pressure = [&](double p) { return out.shown(p, Quantity::pressure); };
  const auto row = [&](const std::string& goal, const std::string& settled, const std::string& duty,
                       const std::string& beyond, const std::string& there) {
    out.text() << "  " << std::left << std::setw(14) << goal << std::setw(14) << settled << std::setw(9) << duty
               << std::setw(14) << beyond << there << std::right << "\n";
  };
  row("commanded", "settles at", "duty", "overshoots by", " first within 5 % after");
  for (std::size_t i = 0; i < goals.size(); ++i)
    row(pressure(goals[i]), pressure(test.settled[i]), out.shown(test.duty[i], Quantity::ratio),
        pressure(std::max(0.0, test.overshoot[i])),
        test.response[i] < each ? " " + out.shown(test.response[i], Quantity::time, "s") : " never");
}

Json steps_json(const StepTest& test, const std::vector<double>& goals, double each) {
  Json json = Json::array();
  for (std::size_t i = 0; test.ran && i < goals.size(); ++i)
    json.push_back({{"commanded_Pa", goals[i]},
                    {"settled_Pa", test.settled[i]},
                    {"duty", test.duty[i]},
                    {"overshoot_Pa", test.overshoot[i]},
                    {"within_5_percent_after_s", test.response[i] < each ? Json(test.response[i]) : Json()}});
  return json;
}

int run_steps(const StepsChoices& choices) {
  Output out(choices.output, {choices.curves.trace, choices.curves.plot});
  const ChosenEngine engine = chosen_engine(choices.engine);
  const std::vector<double> goals = goals_of(choices);
  const double each = read_duration(choices.each, "--each", 60, "a step is over within seconds");
  const StepTest test = step_test(engine.circuit, engine.condition, goals, each);
  print_cautions_for(out, {"crank", "hot oil"});
  print_engine(out.text(), engine, out.units(), choices.curves.sealed);
  print_steps(out, test, goals, each);
  give_curves(out, choices.curves, test.trace, engine.healthy.name + ": regulator step test");
  Json json = result_head("steps");
  json["engine"] = engine_json(engine, choices.curves.sealed);
  json["ran"] = test.ran;
  json["steps"] = steps_json(test, goals, each);
  out.json(json);
  bool follows = test.ran;
  for (std::size_t i = 0; test.ran && i < goals.size(); ++i)
    follows &= std::abs(test.settled[i] - goals[i]) < near_enough * goals[i];
  return out.code(follows ? Answered::yes : Answered::no);
}

}  // namespace

void add_steps(CLI::App& program, Run& run) {
  auto choices = std::make_shared<StepsChoices>();
  CLI::App* command = program.add_subcommand(
      "steps", "Compute the regulator step test: at idle a tool commands one pressure after another");
  choices->engine.oil_temperature = "90 degC";
  add_engine_options(*command, choices->engine);
  command->add_option("--goal", choices->goals, "Pressures that are commanded in turn; given again for each")
      ->capture_default_str();
  command->add_option("--each", choices->each, "Each is held so long")->capture_default_str();
  add_curve_options(*command, choices->curves);
  add_overwrite(*command, choices->output);
  add_output_options(*command, choices->output);
  add_verdict(*command, choices->output, "it settles within 5 % of each step");
  command->callback([choices, &run] { run = [choices] { return run_steps(*choices); }; });
}

}  // namespace railseep

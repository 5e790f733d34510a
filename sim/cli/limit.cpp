#include "whatif/limit.hpp"

#include <iomanip>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "cli/engine_choices.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

struct LimitChoices {
  std::string circuit, fault, oil, oil_temperature, speed, rested_battery, longest = "10 s";
  std::vector<std::string> others;
  OutputChoices output;
};

struct NamedCondition {
  std::string name;
  Condition condition;
};

/// Cold and hot, with a good starter and slowed down. The sizes are those of the ten questions of the design; they are
/// an example, not a rule.
std::vector<NamedCondition> usual_conditions(const std::string& oil) {
  const auto condition = [&](std::string name, double celsius, double rpm, double charge) {
    NamedCondition named{std::move(name), {}};
    named.condition.oil = oil;
    named.condition.oil_temperature = 273.15 + celsius;
    named.condition.battery_charge = charge;
    if (rpm > 0) named.condition.speed = Profile(rpm * 2 * 3.141592653589793 / 60);
    return named;
  };
  return {condition("cold, 0 degC", 0, 0, 1), condition("20 degC", 20, 0, 1), condition("hot, 90 degC", 90, 0, 1),
          condition("hot, at 130 rpm", 90, 130, 1), condition("hot, battery at 80 % of its volts", 90, 0, 0.8)};
}

std::vector<NamedCondition> conditions(const LimitChoices& choices, const Circuit& circuit) {
  if (choices.oil_temperature.empty() && choices.speed.empty() && choices.rested_battery.empty())
    return usual_conditions(choices.oil);
  NamedCondition asked{"as asked", {}};
  asked.condition.oil = choices.oil;
  asked.condition.oil_temperature = read_option(choices.oil_temperature.empty() ? "90 degC" : choices.oil_temperature,
                                                condition_range::oil_temperature, "--oil-temperature");
  if (!choices.speed.empty())
    asked.condition.speed = Profile(read_option(choices.speed, condition_range::speed, "--speed"));
  if (!choices.rested_battery.empty()) asked.condition.battery_charge = rested_share(choices.rested_battery, circuit);
  return {asked};
}

/// "PLACE: KIND", with or without a size: the size does not count.
Fault fault_without_size(const std::string& text, const Circuit& circuit) {
  const std::size_t colon = text.find(": ");
  if (colon == std::string::npos) return parse_fault(text, circuit);
  Fault fault{text.substr(0, colon), text.substr(colon + 2), 0};
  for (const FaultKind& kind : fault_kinds())
    if (kind.word == fault.kind) return kind_of(fault, circuit), fault;
  return parse_fault(text, circuit);
}

std::string limit_words(const Output& out, const Limit& limit, const FaultKind& kind) {
  const auto size = [&](double si) { return out.shown(si, kind.quantity, kind.unit); };
  if (!limit.start_without) return "does not start even without it";
  if (!limit.edge) return "the mildest that was tried keeps it from starting";
  if (limit.starts_throughout) return "starts even with " + size(*limit.edge);
  return "starts up to " + size(*limit.edge) + ", then after " + out.shown(limit.time_at_edge, Quantity::time, "s", 2);
}

Json limit_json(const NamedCondition& named, const Limit& limit) {
  const auto number = [](const std::optional<double>& value) { return value ? Json(*value) : Json(); };
  return {{"condition", named.name},
          {"oil_temperature_K", named.condition.oil_temperature},
          {"starts_without_after_s", number(limit.start_without)},
          {"starts_with_all_that_were_tried", limit.starts_throughout},
          {"largest_that_starts", number(limit.edge)},
          {"then_after_s", limit.edge ? Json(limit.time_at_edge) : Json()}};
}

void print_limit(Output& out, const NamedCondition& named, const Limit& limit, const FaultKind& kind) {
  out.text() << "  " << std::left << std::setw(36) << named.name << limit_words(out, limit, kind);
  if (limit.start_without)
    out.text() << " (without it after " << out.shown(*limit.start_without, Quantity::time, "s", 2) << ")";
  out.text() << "\n";
}

int run_limit(const LimitChoices& choices) {
  Output out(choices.output, {});
  const Circuit circuit = read_circuit(data_file(choices.circuit));
  const Fault fault = fault_without_size(choices.fault, circuit);
  const FaultKind& kind = kind_of(fault, circuit);
  std::vector<Fault> others;
  for (const std::string& text : choices.others) others.push_back(parse_fault(text, circuit));
  LimitOptions options;
  options.longest = read_duration(choices.longest, "--longest", 30, "a starter needs its rest");
  Json json = result_head("limit");
  json["circuit"] = circuit.name;
  json["fault"] = fault.place + ": " + fault.kind;
  json["size_unit"] = info(kind.quantity).si_unit;
  json["faults"] = Json::array();
  out.text() << "How bad may it be? " << fault.place << ": " << fault.kind << ", in " << circuit.name << "\n";
  for (const Fault& other : others) {
    out.text() << "  with it in the engine: " << fault_text(other, circuit) << "\n";
    json["faults"].push_back(fault_text(other, circuit));
  }
  json["limits"] = Json::array();
  bool starts = true;
  for (const NamedCondition& named : conditions(choices, circuit)) {
    const Limit limit = limit_of(circuit, fault, others, named.condition, options);
    print_limit(out, named, limit, kind);
    json["limits"].push_back(limit_json(named, limit));
    starts &= limit.edge.has_value();
  }
  out.text() << wrapped("  Cranked for up to " + out.shown(options.longest, Quantity::time, "s", 2) +
                            "; everything else as the circuit file says, so an engine at the edge may do either.",
                        "  ");
  out.json(json);
  return out.code(starts ? Answered::yes : Answered::no);
}

}  // namespace

void add_limit(CLI::App& program, Run& run) {
  auto choices = std::make_shared<LimitChoices>();
  CLI::App* command = program.add_subcommand(
      "limit", "How bad a fault may be before the engine no longer starts: hot, cold, cranked slowly");
  add_circuit(*command, choices->circuit);
  command
      ->add_option(
          "which", choices->fault,
          "The fault that is asked about, PLACE: KIND, such as \"left rail front end plug: hole\"; its size is "
          "what is looked for")
      ->required();
  add_faults_option(*command, choices->others);
  command->add_option("--oil-temperature", choices->oil_temperature,
                      "Oil temperature, this alone instead of the usual conditions");
  command->add_option("--oil", choices->oil, "Oil grade (default: the circuit's)");
  command->add_option("--speed", choices->speed, "Cranking speed (default: what starter and battery make of it)");
  add_rested_battery(*command, choices->rested_battery);
  command->add_option("--longest", choices->longest, "Cranked at a go")->capture_default_str();
  add_output_options(*command, choices->output);
  add_verdict(*command, choices->output, "with the mildest it starts under every condition");
  command->callback([choices, &run] { run = [choices] { return run_limit(*choices); }; });
}

}  // namespace railseep

#include "whatif/limit.hpp"

#include <iomanip>
#include <iostream>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

struct LimitChoices {
  std::string circuit, fault, oil, oil_temperature, speed, longest = "10 s";
  double battery = 1;
  std::vector<std::string> others;
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

std::vector<NamedCondition> conditions(const LimitChoices& choices) {
  if (!(choices.battery > 0.3 && choices.battery <= 1.1))
    throw Error("--battery-charge", "it is out of range",
                "write the rested voltage as a share of a healthy battery's: 0.4 to 1");
  if (choices.oil_temperature.empty() && choices.speed.empty() && choices.battery == 1)
    return usual_conditions(choices.oil);
  NamedCondition asked{"as asked", {}};
  asked.condition.oil = choices.oil;
  asked.condition.oil_temperature = read_option(choices.oil_temperature.empty() ? "90 degC" : choices.oil_temperature,
                                                condition_range::oil_temperature, "--oil-temperature");
  if (!choices.speed.empty())
    asked.condition.speed = Profile(read_option(choices.speed, condition_range::speed, "--speed"));
  asked.condition.battery_charge = choices.battery;
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

std::string verdict(const Limit& limit, const FaultKind& kind) {
  const auto size = [&](double si) { return format_quantity(si, kind.quantity, kind.unit, 3); };
  if (!limit.start_without) return "does not start even without it";
  if (!limit.edge) return "the mildest that was tried keeps it from starting";
  if (limit.starts_throughout) return "starts even with " + size(*limit.edge);
  return "starts up to " + size(*limit.edge) + ", then after " +
         format_quantity(limit.time_at_edge, Quantity::time, "s", 2);
}

int run_limit(const LimitChoices& choices) {
  const Circuit circuit = read_circuit(data_file(choices.circuit));
  const Fault fault = fault_without_size(choices.fault, circuit);
  const FaultKind& kind = kind_of(fault, circuit);
  std::vector<Fault> others;
  for (const std::string& text : choices.others) others.push_back(parse_fault(text, circuit));
  LimitOptions options;
  options.longest = read_option(choices.longest, Quantity::time, "--longest");
  if (!(options.longest > 0 && options.longest <= 30))
    throw Error("--longest", "the cranking time is out of range", "write up to 30 s (a starter needs its rest)");
  std::cout << "How bad may it be? " << fault.place << ": " << fault.kind << ", in " << circuit.name << "\n";
  for (const Fault& other : others) std::cout << "  beside it: " << fault_text(other, circuit) << "\n";
  for (const NamedCondition& named : conditions(choices)) {
    const Limit limit = limit_of(circuit, fault, others, named.condition, options);
    std::cout << "  " << std::left << std::setw(36) << named.name << verdict(limit, kind);
    if (limit.start_without)
      std::cout << " (without it after " << format_quantity(*limit.start_without, Quantity::time, "s", 2) << ")";
    std::cout << "\n";
  }
  std::cout << wrapped("  Cranked for up to " + format_quantity(options.longest, Quantity::time, "s", 2) +
                           "; everything else as the circuit file says, so an engine at the edge may do either.",
                       "  ");
  return exit_done;
}

}  // namespace

void add_limit(CLI::App& program, Run& run) {
  auto choices = std::make_shared<LimitChoices>();
  CLI::App* command = program.add_subcommand(
      "limit", "How bad a fault may be before the engine no longer starts: hot, cold, cranked slowly");
  command->add_option("circuit", choices->circuit, "Circuit file, such as models/valley_v8.json")->required();
  command
      ->add_option("fault", choices->fault,
                   "PLACE: KIND, such as \"left rail front end plug: hole\"; a size is not needed")
      ->required();
  command->add_option("--beside", choices->others,
                      "PLACE: KIND SIZE that stays in the engine meanwhile; may be given again");
  command->add_option("--oil-temperature", choices->oil_temperature,
                      "This oil temperature alone, instead of the usual conditions");
  command->add_option("--oil", choices->oil, "Oil grade (default: the circuit's)");
  command->add_option("--speed", choices->speed, "Cranking speed (default: what the starter makes of it)");
  command
      ->add_option("--battery-charge", choices->battery, "Volts of the rested battery, as a share of a healthy one's")
      ->capture_default_str();
  command->add_option("--longest", choices->longest, "Cranked at a go")->capture_default_str();
  command->callback([choices, &run] { run = [choices] { return run_limit(*choices); }; });
}

}  // namespace railseep

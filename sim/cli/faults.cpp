#include "circuit/faults.hpp"

#include <memory>

#include "circuit/catalogue.hpp"
#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "cli/output.hpp"

namespace railseep {

namespace {

void print_catalogue(Output& out) {
  for (const CatalogueFault& entry : fault_catalogue())
    out.text() << wrapped(std::string(entry.name) + ": " + std::string(entry.explanation), "    ");
  out.text() << "\nName a circuit to see where it can have them, such as: railseep faults models/valley_v8.json\n";
}

/// Each fault of the catalogue as this circuit would have it, in the words that --fault takes.
void print_catalogue_of(Output& out, const Circuit& circuit) {
  for (const CatalogueFault& entry : fault_catalogue()) {
    out.text() << entry.name << ": " << entry.explanation << "\n";
    const std::vector<Fault> mild = faults_of(entry, circuit, 0), severe = faults_of(entry, circuit, 1);
    if (mild.empty()) out.text() << "    this circuit has no such part\n";
    for (std::size_t i = 0; i < mild.size(); ++i)
      out.text() << "    " << fault_text(mild[i], circuit) << " to "
                 << fault_text(severe[i], circuit).substr(mild[i].place.size() + mild[i].kind.size() + 3) << "\n";
  }
}

void print_kinds_of(Output& out, const Circuit& circuit) {
  const FaultKind* shown = nullptr;
  for (const FaultKind& kind : fault_kinds())
    for (const PossibleFault& fault : possible_faults(circuit)) {
      if (fault.kind != &kind) continue;
      if (shown != &kind)
        out.text() << kind.word
                   << (kind.change == FaultKind::Change::opens_leak ? "" : " (" + std::string(kind.applies_to) + ")")
                   << ": " << kind.meaning << "\n";
      shown = &kind;
      out.text() << "    " << fault.place << ": " << kind.word << " "
                 << out.shown(fault.least, kind.quantity, kind.unit) << " to "
                 << out.shown(fault.most, kind.quantity, kind.unit) << "\n";
    }
}

Json catalogue_json(const Circuit* circuit) {
  Json all = Json::array();
  for (const CatalogueFault& entry : fault_catalogue()) {
    Json one{{"name", entry.name}, {"explanation", entry.explanation}};
    if (circuit) {
      one["mild"] = Json::array();
      one["severe"] = Json::array();
      for (const Fault& fault : faults_of(entry, *circuit, 0)) one["mild"].push_back(fault_text(fault, *circuit));
      for (const Fault& fault : faults_of(entry, *circuit, 1)) one["severe"].push_back(fault_text(fault, *circuit));
    }
    all.push_back(std::move(one));
  }
  return all;
}

Json possible_json(const Circuit& circuit) {
  Json all = Json::array();
  for (const PossibleFault& fault : possible_faults(circuit))
    all.push_back({{"place", fault.place},
                   {"kind", fault.kind->word},
                   {"quantity", info(fault.kind->quantity).name},
                   {"unit", info(fault.kind->quantity).si_unit},
                   {"least", fault.least},
                   {"most", fault.most}});
  return all;
}

struct FaultsChoices {
  std::string circuit;
  OutputChoices output;
};

int run_faults(const FaultsChoices& choices) {
  Output out(choices.output, {});
  Json json = result_head("faults");
  if (choices.circuit.empty()) {
    print_catalogue(out);
    json["usual"] = catalogue_json(nullptr);
    out.json(json);
    return exit_done;
  }
  const Circuit circuit = read_circuit(data_file(choices.circuit));
  out.text() << "What the trade knows, in this engine; at one place each, mild to severe:\n";
  print_catalogue_of(out, circuit);
  out.text() << "\nEvery kind of fault and every place:\n";
  print_kinds_of(out, circuit);
  json["circuit"] = circuit.name;
  json["usual"] = catalogue_json(&circuit);
  json["possible"] = possible_json(circuit);
  out.json(json);
  return exit_done;
}

}  // namespace

void add_faults(CLI::App& program, Run& run) {
  auto choices = std::make_shared<FaultsChoices>();
  CLI::App* command =
      program.add_subcommand("faults", "List the faults that the trade knows, and those that a circuit can have");
  command->add_option("circuit", choices->circuit, "Circuit file, such as models/valley_v8.json");
  add_output_options(*command, choices->output);
  command->callback([choices, &run] { run = [choices] { return run_faults(*choices); }; });
}

}  // namespace railseep

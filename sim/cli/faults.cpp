#include "circuit/faults.hpp"

#include <iostream>
#include <memory>

#include "circuit/catalogue.hpp"
#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"

namespace railseep {

namespace {

void print_catalogue() {
  for (const CatalogueFault& entry : fault_catalogue())
    std::cout << wrapped(std::string(entry.name) + ": " + std::string(entry.explanation), "    ");
  std::cout << "\nName a circuit to see where it can have them, such as: railseep faults models/valley_v8.json\n";
}

/// Each fault of the catalogue as this circuit would have it, in the words that --fault takes.
void print_catalogue_of(const Circuit& circuit) {
  for (const CatalogueFault& entry : fault_catalogue()) {
    std::cout << entry.name << ": " << entry.explanation << "\n";
    const std::vector<Fault> mild = faults_of(entry, circuit, 0), severe = faults_of(entry, circuit, 1);
    if (mild.empty()) std::cout << "    this circuit has no such part\n";
    for (std::size_t i = 0; i < mild.size(); ++i)
      std::cout << "    " << fault_text(mild[i], circuit) << " to "
                << fault_text(severe[i], circuit).substr(mild[i].place.size() + mild[i].kind.size() + 3) << "\n";
  }
}

void print_kinds_of(const Circuit& circuit) {
  const FaultKind* shown = nullptr;
  for (const FaultKind& kind : fault_kinds())
    for (const PossibleFault& fault : possible_faults(circuit)) {
      if (fault.kind != &kind) continue;
      if (shown != &kind)
        std::cout << kind.word
                  << (kind.change == FaultKind::Change::opens_leak ? "" : " (" + std::string(kind.applies_to) + ")")
                  << ": " << kind.meaning << "\n";
      shown = &kind;
      std::cout << "    " << fault.place << ": " << kind.word << " "
                << format_quantity(fault.least, kind.quantity, kind.unit, 3) << " to "
                << format_quantity(fault.most, kind.quantity, kind.unit, 3) << "\n";
    }
}

}  // namespace

void add_faults(CLI::App& program, Run& run) {
  auto file = std::make_shared<std::string>();
  CLI::App* command =
      program.add_subcommand("faults", "List the faults of the trade's catalogue, and those that a circuit can have");
  command->add_option("circuit", *file, "Circuit file, such as models/valley_v8.json");
  command->callback([file, &run] {
    run = [file] {
      if (file->empty()) {
        print_catalogue();
        return exit_done;
      }
      const Circuit circuit = read_circuit(data_file(*file));
      print_catalogue_of(circuit);
      std::cout << "\nEvery kind of fault and every place:\n";
      print_kinds_of(circuit);
      return exit_done;
    };
  });
}

}  // namespace railseep

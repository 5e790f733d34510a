#include "circuit/faults.hpp"

#include <iostream>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"

namespace railseep {

void add_faults(CLI::App& program, Run& run) {
  auto file = std::make_shared<std::string>();
  CLI::App* command = program.add_subcommand("faults", "List the faults that a circuit can have, and what they mean");
  command->add_option("circuit", *file, "Circuit file, such as models/valley_v8.json")->required();
  command->callback([file, &run] {
    run = [file] {
      const Circuit circuit = read_circuit(data_file(*file));
      const FaultKind* shown = nullptr;
      for (const FaultKind& kind : fault_kinds())
        for (const PossibleFault& fault : possible_faults(circuit)) {
          if (fault.kind != &kind) continue;
          if (shown != &kind) std::cout << kind.word << (kind.change == FaultKind::Change::opens_leak ? "" : " (" + std::string(kind.applies_to) + ")") << ": " << kind.meaning << "\n";
          shown = &kind;
          std::cout << "    " << fault.place << ": " << kind.word << " " << format_quantity(fault.least, kind.quantity, kind.unit, 3) << " to "
                    << format_quantity(fault.most, kind.quantity, kind.unit, 3) << "\n";
        }
      return exit_done;
    };
  });
}

}  // namespace railseep

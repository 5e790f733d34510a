#include "procedure/cautions.hpp"

#include <iostream>
#include <memory>
#include <vector>

#include "cli/commands.hpp"
#include "quantity/error.hpp"

namespace railseep {

void add_cautions(CLI::App& program, Run& run) {
  auto wanted = std::make_shared<std::string>();
  CLI::App* command = program.add_subcommand("cautions", "Print the cautions in full, of one procedure or of all");
  command->add_option("procedure", *wanted, "\"air test\", \"coil\", \"crank\", \"opening\" ...; otherwise all");
  command->callback([wanted, &run] {
    run = [wanted] {
      std::vector<std::string> procedures;
      for (const Caution& caution : cautions())
        if (procedures.empty() || procedures.back() != caution.when) procedures.emplace_back(caution.when);
      if (!wanted->empty()) {
        if (std::ranges::find(procedures, *wanted) == procedures.end())
          throw Error(*wanted, "there are no cautions of that name",
                      "did you mean \"" + nearest_word(*wanted, procedures) + "\"? Without a name all are printed");
        procedures = {*wanted, "always"};
      }
      for (const std::string& procedure : procedures) {
        std::cout << procedure << "\n";
        for (const Caution& caution : cautions())
          if (caution.when == procedure) std::cout << wrapped("  ! " + std::string(caution.text), "    ");
      }
      return exit_done;
    };
  });
}

}  // namespace railseep

#include <filesystem>
#include <iostream>
#include <memory>

#include "cli/commands.hpp"
#include "cli/output.hpp"
#include "drawing/element_curves.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

void add_curves(CLI::App& program, Run& run) {
  auto folder = std::make_shared<std::string>();
  auto output = std::make_shared<OutputChoices>();
  CLI::App* command =
      program.add_subcommand("curves", "Draw the curve of each kind of element, computed by the program, as SVG files");
  command->add_option("folder", *folder, "Folder to write them to; it is made where it is not there")->required();
  add_overwrite(*command, *output);
  add_quiet(*command, *output);
  command->callback([folder, output, &run] {
    run = [folder, output] {
      Output out(*output, {});
      make_folder(*folder);
      for (const ElementPicture& picture : element_pictures())
        out.file("picture", *folder + "/" + picture.file, picture.svg);
      return exit_done;
    };
  });
}

}  // namespace railseep

#include <filesystem>
#include <iostream>
#include <memory>

#include "cli/commands.hpp"
#include "drawing/element_curves.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

void add_curves(CLI::App& program, Run& run) {
  auto folder = std::make_shared<std::string>();
  CLI::App* command =
      program.add_subcommand("curves", "Draw the curve of each kind of element, computed by the program, as SVG files");
  command->add_option("folder", *folder, "Folder to write them to; files of the same name are written over")
      ->required();
  command->callback([folder, &run] {
    run = [folder] {
      if (!std::filesystem::is_directory(*folder)) throw Error(*folder, "there is no such folder", "make it first");
      for (const ElementPicture& picture : element_pictures()) {
        const std::string path = *folder + "/" + picture.file;
        write_text(path, picture.svg, true);
        std::cout << path << "\n";
      }
      return exit_done;
    };
  });
}

}  // namespace railseep

#include "data_files.hpp"

#include <cstdlib>
#include <filesystem>

#include "quantity/error.hpp"

namespace railseep::gui {

std::string data_file(const std::string& name) {
  namespace fs = std::filesystem;
  for (const char* folder : {"", RAILSEEP_SOURCE_DATA_DIR, RAILSEEP_INSTALLED_DATA_DIR}) {
    const fs::path path = fs::path(folder) / name;
    std::error_code none;
    if (fs::exists(path, none)) return path.string();
  }
  throw Error(name, "there is no such file", "choose one that is there");
}

std::filesystem::path free_name(const std::filesystem::path& wanted) {
  std::filesystem::path name = wanted;
  std::error_code none;
  for (int i = 2; std::filesystem::exists(name, none); ++i)
    name = wanted.parent_path() / (wanted.stem().string() + "-" + std::to_string(i) + wanted.extension().string());
  return name;
}

std::filesystem::path picture_folder() {
  const char* home = std::getenv("HOME");
  if (!home || !*home) return ".";
  const std::filesystem::path pictures = std::filesystem::path(home) / "Pictures";
  std::error_code none;
  return std::filesystem::is_directory(pictures, none) ? pictures : home;
}

}  // namespace railseep::gui

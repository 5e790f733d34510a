#pragma once

#include <filesystem>
#include <string>

namespace railseep::gui {

/// A data file by the name a job gives: as it stands, or among the shipped data. @throws Error when neither is there
std::string data_file(const std::string& name);

/// The first of out.png, out-2.png, out-3.png ... that is not there yet.
std::filesystem::path free_name(const std::filesystem::path& wanted);

/// Where pictures are saved: the user's Pictures folder, else the home folder, else where the program was started.
std::filesystem::path picture_folder();

}  // namespace railseep::gui

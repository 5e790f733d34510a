#pragma once

#include <filesystem>
#include <string>

#include "log/log.hpp"
#include "log/log_options.hpp"

namespace railseep {

/// Reads a measured log: comma, semicolon or tab separated text as scan tools and spreadsheets save it.
///
/// Bytes -> text (decode_text) -> rows of cells (split_table) -> columns of text (find_columns) -> what they are
/// (interpret_columns) -> times (read_time_axis) and samples (read_channel) -> what is doubtful (add_flags).
/// Everything guessed on the way stands in Log::layout and can be told instead in the options.
/// @throws Error naming file, line and column
Log read_log(const std::filesystem::path& path, const LogOptions& options = {});

/// The same for a text in memory. @param name stands for the file in messages
Log parse_log(std::string bytes, const std::string& name, const LogOptions& options = {});

/// What the columns would be taken for, also where no samples could be read (times missing, no known header).
LogLayout describe_log(std::string bytes, const std::string& name, const LogOptions& options = {});

}  // namespace railseep

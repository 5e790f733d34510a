#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace railseep {

struct Row {
  int line;                        // in the file, from 1
  std::vector<std::string> cells;  // without quotes and outer blanks
};

struct Table {
  char separator = ',';
  std::size_t usual_width = 1;  // cells in most rows
  std::vector<Row> rows;        // those that are not blank
};

/// Text to rows of cells. The separator is the one of tab, ";" and "," that cuts most lines into equally many cells.
Table split_table(std::string_view text, std::optional<char> separator);

std::string_view without_blanks(std::string_view text);

/// For messages: at most some 40 bytes of a cell.
std::string shortened(std::string_view text);

}  // namespace railseep

#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace railseep {

/// The cells of one row, without quotes and outer blanks. They point into the text of the table: cells that had to be
/// put together anew (a quote inside quotes) are kept here.
struct Cells {
  std::vector<std::string_view> text;
  std::deque<std::string> rebuilt;

  std::string_view at(std::size_t k) const { return k < text.size() ? text[k] : std::string_view(); }
  std::size_t size() const { return text.size(); }
};

/// Where a row stands in the text.
struct RowPlace {
  std::uint32_t begin, length;
  int line;  // in the file, from 1
};

/// A text in rows of cells. Rows are cut into cells when they are asked for: a long log would not fit otherwise.
struct Table {
  std::string text;
  char separator = ',';           // ' ': runs of blanks
  std::size_t usual_width = 1;    // cells in most rows
  std::vector<RowPlace> rows;     // those that are not blank
  bool ends_within_line = false;  // no line end after the last row

  void cut(std::size_t row, Cells& cells) const;
};

/// The separator is the one of tab, ";", ",", "|" and blanks that cuts most lines into equally many cells that are
/// values.
/// @param text UTF-8, lines end in \n, below 4 GB
Table split_table(std::string text, std::optional<char> separator);

std::string_view without_blanks(std::string_view text);

/// For messages: at most some 40 bytes of a cell.
std::string shortened(std::string_view text);

}  // namespace railseep

#pragma once

#include <string>
#include <vector>

namespace railseep {

/// Where an answer is shown: how wide that is, and whether it may be bold. In a pipe or a file 100 columns and no
/// colour; NO_COLOR (any text) is obeyed on a terminal too.
class Page {
 public:
  Page();
  Page(std::size_t width, bool bold) : width_(width), bold_(bold) {}

  std::size_t width() const { return width_; }

  /// Text that stands out on a terminal.
  std::string strong(const std::string& text) const;

  /// A word in the margin with paragraphs beside it, each broken to the width; no more than so many lines, the last of
  /// which then says how to see the rest. @param indent of a paragraph's later lines
  std::string section(const std::string& label, const std::vector<std::string>& paragraphs, std::size_t most_lines,
                      const std::string& rest, std::size_t indent = 2) const;

 private:
  static constexpr std::size_t margin = 12;
  std::string label(const std::string& text) const;
  std::size_t width_;
  bool bold_;
};

/// A text broken into lines of so many letters at most; blanks in front of it are kept.
std::vector<std::string> broken(const std::string& text, std::size_t width, std::size_t indent = 2);

/// Number of letters: a letter of UTF-8 may take several bytes.
std::size_t letters(const std::string& text);

/// A text in a column of the screen, cut with "..." where it is longer.
std::string fitted(const std::string& text, std::size_t width);

}  // namespace railseep

#include "cli/page.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <sstream>

namespace railseep {

namespace {

constexpr std::size_t widest = 100, narrowest = 60;

std::size_t terminal_width() {
  winsize size{};
  if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0) return widest;
  return std::clamp<std::size_t>(size.ws_col, narrowest, widest);
}

bool bold_wanted() {
  const char* refused = std::getenv("NO_COLOR");
  const char* terminal = std::getenv("TERM");
  return isatty(STDOUT_FILENO) && !(refused && *refused) && terminal && std::string(terminal) != "dumb";
}

}  // namespace

std::size_t letters(const std::string& text) {
  return static_cast<std::size_t>(
      std::ranges::count_if(text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

std::string fitted(const std::string& text, std::size_t width) {
  const std::size_t there = letters(text);
  if (there <= width) return text + std::string(width - there, ' ');
  std::size_t end = 0, seen = 0;
  for (; end < text.size(); ++end)
    if ((static_cast<unsigned char>(text[end]) & 0xC0) != 0x80 && ++seen > width - 3) break;
  return text.substr(0, end) + "...";
}

std::vector<std::string> broken(const std::string& text, std::size_t width, std::size_t indent) {
  std::vector<std::string> lines;
  std::istringstream words(text);
  std::string line(std::min(text.find_first_not_of(' '), text.size()), ' '), word;
  for (bool first = true; words >> word; first = false) {
    if (!first && letters(line) + 1 + letters(word) > width) {
      lines.push_back(line);
      line = std::string(indent, ' ') + word;
    } else {
      line += (first ? "" : " ") + word;
    }
  }
  if (!line.empty()) lines.push_back(line);
  return lines;
}

Page::Page() : width_(isatty(STDOUT_FILENO) ? terminal_width() : widest), bold_(bold_wanted()) {}

std::string Page::strong(const std::string& text) const { return bold_ ? "\033[1m" + text + "\033[0m" : text; }

std::string Page::label(const std::string& text) const {
  return strong(text) + std::string(margin - std::min(margin, text.size()), ' ');
}

std::string Page::section(const std::string& text, const std::vector<std::string>& paragraphs, std::size_t most_lines,
                          const std::string& rest, std::size_t indent) const {
  std::vector<std::string> lines;
  for (const std::string& paragraph : paragraphs)
    for (const std::string& line : broken(paragraph, width_ - margin, indent)) lines.push_back(line);
  if (lines.size() > most_lines) {
    lines.resize(most_lines);
    const std::string more = " ... (" + rest + ")";
    std::string& last = lines.back();
    while (letters(last) + more.size() > width_ - margin) last.resize(last.rfind(' '));
    last += more;
  }
  std::string all;
  for (std::size_t i = 0; i < lines.size(); ++i)
    all += (i == 0 ? label(text) : std::string(margin, ' ')) + lines[i] + "\n";
  return all;
}

}  // namespace railseep

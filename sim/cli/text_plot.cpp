#include "cli/text_plot.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iomanip>
#include <sstream>

#include "quantity/quantity.hpp"

namespace railseep {

namespace {

constexpr std::size_t columns = 64, rows = 8;
constexpr std::size_t label_width = 9;

std::string label(double number) { return format_quantity(number, Quantity::ratio, "", 3); }

}  // namespace

std::string text_plot(const std::string& title, const std::vector<double>& time, const std::vector<double>& value) {
  const auto [least_at, most_at] = std::ranges::minmax_element(value);
  const double least = std::fmin(0, *least_at), most = std::fmax(*most_at, least + 1e-12);
  std::array<std::string, rows> lines;
  lines.fill(std::string(columns, ' '));
  const double span = std::fmax(time.back() - time.front(), 1e-12);
  for (std::size_t i = 0; i < value.size(); ++i) {
    const auto column = static_cast<std::size_t>((time[i] - time.front()) / span * (columns - 1) + 0.5);
    const auto row = static_cast<std::size_t>((most - value[i]) / (most - least) * (rows - 1) + 0.5);
    lines[row][column] = '*';
  }
  std::ostringstream text;
  text << "    " << title << "\n";
  for (std::size_t row = 0; row < rows; ++row) {
    const bool marked = row == 0 || row + 1 == rows;
    text << std::setw(label_width) << std::right << (marked ? label(row == 0 ? most : least) : "") << " |" << lines[row]
         << "\n";
  }
  const std::string last = label(time.back()), first = label(time.front());
  text << std::string(label_width, ' ') << " +" << std::string(columns, '-') << "\n";
  text << std::string(label_width + 2, ' ') << first
       << std::string(columns - std::min(columns, first.size() + last.size()), ' ') << last << "\n";
  return text.str();
}

}  // namespace railseep

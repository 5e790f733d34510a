#include "log/read_numbers.hpp"

#include <algorithm>
#include <limits>

namespace railseep {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t unreadable_kept = 100;
constexpr std::size_t most_units = 200;  // different ones in the cells of one column

std::size_t index_of(std::vector<std::string>& names, std::string_view name, std::size_t most) {
  const auto known = std::ranges::find(names, name);
  if (known != names.end()) return static_cast<std::size_t>(known - names.begin()) + 1;
  if (names.size() >= most) return 0;
  names.emplace_back(name);
  return names.size();
}

// Fills in what stands beside the number of the entry just pushed.
template <typename T>
void put_beside(std::vector<T>& beside, std::size_t entries, std::size_t index) {
  beside.resize(entries);
  beside.back() = static_cast<T>(index);
}

void push_clock(NumberColumn& column, const ClockTime& clock) {
  column.value.push_back(clock.seconds);
  column.clock.resize(column.value.size());
  column.clock.back() = true;
  if (clock.date.empty()) return;
  const bool same = !column.dates.empty() && column.dates.back() == clock.date;
  put_beside(column.date, column.value.size(), same ? column.dates.size() : index_of(column.dates, clock.date, 100000));
}

void push_cell(NumberColumn& column, const ReadAs& as, const PlacedCell& placed) {
  if (as.times && placed.text.find(':') != std::string_view::npos) {
    if (const auto clock = read_clock(placed.text)) {
      push_clock(column, *clock);
      return;
    }
  }
  const Cell cell = read_cell(placed.text, as.style);
  const bool number = cell.what == Cell::What::number || (cell.what == Cell::What::yes_no && as.yes_no);
  column.value.push_back(number ? cell.number : none);
  if (cell.hexadecimal && column.hexadecimal_line == 0) column.hexadecimal_line = placed.line;
  if (cell.what == Cell::What::blank) ++column.blanks;
  if (number) {
    const std::string_view own = cell.unit.empty() ? placed.unit : cell.unit;
    if (!own.empty()) put_beside(column.unit, column.value.size(), index_of(column.unit_names, own, most_units));
  } else if (cell.what != Cell::What::blank && column.unreadable_count++ < unreadable_kept) {
    column.unreadable.push_back({column.value.size() - 1, placed.line, shortened(placed.text)});
  }
}

}  // namespace

std::vector<NumberColumn> read_numbers(const Table& table, const RawLog& raw, const std::vector<ReadAs>& as) {
  std::vector<NumberColumn> columns(raw.columns.size());
  for (NumberColumn& column : columns) {
    if (!raw.long_form) column.value.reserve(raw.sweeps);
  }
  raw.each_cell(table, [&](const PlacedCell& placed) {
    NumberColumn& column = columns[placed.column];
    push_cell(column, as[placed.column], placed);
    if (raw.long_form) column.sweep.push_back(static_cast<std::uint32_t>(placed.sweep));
  });
  for (std::size_t k = 0; k < columns.size(); ++k) {
    NumberColumn& column = columns[k];
    if (!column.unit.empty()) column.unit.resize(column.value.size());
    if (!column.clock.empty()) column.clock.resize(column.value.size());
    if (!column.date.empty()) column.date.resize(column.value.size());
    if (!raw.columns[k].cut_off.empty() && !column.value.empty()) column.value.back() = none;
  }
  return columns;
}

}  // namespace railseep

#include "log/read_channel.hpp"

#include <algorithm>
#include <cmath>

#include "log/cell.hpp"
#include "log/log_unit.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

double smallest_step(std::vector<double> values) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  const double rounding = 1e-9 * std::max(std::fabs(values.front()), std::fabs(values.back()));
  double smallest = 0;
  for (std::size_t i = 1; i < values.size(); ++i) {
    const double step = values[i] - values[i - 1];
    if (step > rounding && (smallest == 0 || step < smallest)) smallest = step;
  }
  return smallest;
}

// The unit a cell brings with it, or else the column's. nullopt: it measures something else.
std::optional<LogUnit> unit_for(const Cell& cell, const RawCell& raw, const LogUnit& usual) {
  const std::string own = cell.unit.empty() ? raw.unit : std::string(cell.unit);
  if (own.empty()) return usual;
  const auto unit = find_log_unit(own);
  if (!unit) return cell.unit.empty() ? std::optional(usual) : std::nullopt;
  return unit->quantity == usual.quantity ? unit : std::nullopt;
}

std::string what_it_is(const RawCell& cell) {
  return "line " + std::to_string(cell.line) + ": \"" + shortened(cell.text) + "\"";
}

}  // namespace

Channel read_channel(const RawColumn& column, const ColumnLayout& layout, const TimeAxis& axis,
                     const ColumnOptions* told) {
  Channel channel;
  channel.kind = layout.kind;
  channel.header = layout.header;
  channel.unit = layout.unit;
  channel.quantity = kind_quantity(layout.kind);
  const LogUnit usual = *find_log_unit(layout.unit);
  const double factor = told ? told->factor : 1, shift = told ? told->time_shift : 0;

  std::size_t unreadable = 0;
  const RawCell* first_bad = nullptr;
  for (const RawCell& raw : column.cells) {
    const double t = axis.at_sweep[raw.sweep];
    const Cell cell = read_cell(raw.text, layout.numbers);
    if (std::isnan(t) || cell.what == Cell::What::blank) continue;
    // A unit that was told overrules what stands in the cells.
    const bool unit_told = layout.unit_why == "told";
    const auto unit = unit_told ? std::optional(usual) : unit_for(cell, raw, usual);
    const double si = unit ? cell.number * factor * unit->factor + unit->offset : 0;
    if (cell.what == Cell::What::text || !unit || !std::isfinite(si)) {
      if (unreadable++ == 0) first_bad = &raw;
      const std::size_t at = channel.value.size();
      channel.flags.push_back(
          {FlagKind::unreadable, at, at, what_it_is(raw) + " is no value; no sample is made of it"});
      continue;
    }
    channel.time.push_back(t + shift);
    channel.value.push_back(si);
  }
  if (unreadable > channel.value.size()) {
    throw Error("line " + std::to_string(first_bad->line) + ", column \"" + shortened(column.header) + "\"",
                "\"" + shortened(first_bad->text) + "\" is no value in " + layout.unit +
                    (unreadable > 1 ? ", and " + std::to_string(unreadable - 1) + " more are none" : ""),
                "numbers, or blanks such as \"-\"; or tell the reader to ignore this column");
  }
  for (Flag& flag : channel.flags) {
    if (channel.value.empty()) break;
    flag.first = flag.last = std::min(flag.first, channel.value.size() - 1);
  }
  channel.resolution = told && told->resolution ? *told->resolution : smallest_step(channel.value);
  return channel;
}

Channel pressure_from_volts(const Channel& volts, double zero, double gain) {
  Channel pressure = volts;
  pressure.kind = ChannelKind::rail_pressure;
  pressure.quantity = Quantity::pressure;
  pressure.from_volts = true;
  pressure.resolution = std::fabs(gain) * volts.resolution;
  for (double& v : pressure.value) v = gain * (v - zero);
  return pressure;
}

}  // namespace railseep

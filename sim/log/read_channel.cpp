#include "log/read_channel.hpp"

#include <algorithm>
#include <cmath>

#include "log/log_unit.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

// Units of the cells of a column, by NumberColumn::unit; nullopt: of another quantity, or not known.
std::vector<std::optional<LogUnit>> units_of_cells(const NumberColumn& numbers, const LogUnit& usual, bool told) {
  std::vector<std::optional<LogUnit>> units{usual};
  for (const std::string& name : numbers.unit_names) {
    auto unit = find_log_unit(name);
    if (told || !unit) unit = usual;  // a unit that was told overrules what stands in the cells
    units.push_back(unit->quantity == usual.quantity ? unit : std::nullopt);
  }
  return units;
}

void flag_unreadable(Channel& channel, const NumberColumn& numbers, const std::vector<std::size_t>& sample_of) {
  for (std::size_t i = 0; i < numbers.unreadable.size(); ++i) {
    const Unreadable& cell = numbers.unreadable[i];
    const std::size_t at = channel.value.empty() ? 0 : std::min(sample_of[i], channel.value.size() - 1);
    channel.flags.push_back(
        {FlagKind::unreadable, at, at, cell.line, "\"" + cell.text + "\" is no value; no sample is made of it"});
  }
  if (numbers.unreadable_count > numbers.unreadable.size()) {
    channel.flags.push_back(
        {FlagKind::unreadable, 0, 0, 0, std::to_string(numbers.unreadable_count) + " cells in all are no value"});
  }
}

void refuse_texts(const NumberColumn& numbers, const ColumnLayout& layout, std::size_t samples) {
  if (numbers.unreadable_count <= samples) return;
  const Unreadable& first = numbers.unreadable.front();
  const std::size_t more = numbers.unreadable_count - 1;
  throw Error("line " + std::to_string(first.line) + ", column \"" + shortened(layout.header) + "\"",
              "\"" + first.text + "\" is no value in " + layout.unit +
                  (more > 0 ? ", and " + std::to_string(more) + " more are none" : ""),
              "numbers, or blanks such as \"-\"; or tell the reader to ignore this column");
}

}  // namespace

Channel read_channel(InterpretedLog& log, std::size_t column, const TimeAxis& axis, const ColumnOptions* told) {
  const ColumnLayout& layout = log.layout[column];
  NumberColumn& numbers = log.numbers[column];
  Channel channel;
  channel.kind = layout.kind;
  channel.header = layout.header;
  channel.unit = layout.unit;
  channel.quantity = kind_quantity(layout.kind);
  const auto units = units_of_cells(numbers, *find_log_unit(layout.unit), layout.unit_source == UnitSource::told);
  const double factor = told ? told->factor : 1, shift = told ? told->time_shift : 0;

  const std::size_t cells = numbers.value.size();
  channel.time.reserve(cells - numbers.blanks);
  channel.value.reserve(cells - numbers.blanks);
  std::vector<std::size_t> sample_of(numbers.unreadable.size());  // before which sample an unreadable cell stands
  auto unreadable = numbers.unreadable.begin();
  for (std::size_t i = 0; i < cells; ++i) {
    const std::size_t k = axis.reversed ? cells - 1 - i : i;
    for (auto bad = unreadable; bad != numbers.unreadable.end() && bad->at == k; bad = ++unreadable) {
      sample_of[static_cast<std::size_t>(bad - numbers.unreadable.begin())] = channel.value.size();
    }
    const double number = numbers.value[k], t = axis.at_sweep[numbers.sweep_at(k)];
    if (std::isnan(number) || std::isnan(t)) continue;
    const auto& unit = units[numbers.unit.empty() ? 0 : numbers.unit[k]];
    const int line = log.raw.lines.at(numbers.sweep_at(k));
    const double si = unit ? number * factor * unit->factor + unit->offset : NAN;
    if (!std::isfinite(si)) {
      channel.flags.push_back(
          {FlagKind::unreadable, channel.value.size(), channel.value.size(), line,
           "the number here is no " + std::string(info(channel.quantity).name) + "; no sample is made of it"});
      continue;
    }
    channel.time.push_back(t + shift);
    channel.value.push_back(si);
    channel.lines.push(line);
  }
  for (Flag& flag : channel.flags)
    flag.first = flag.last = channel.value.empty() ? 0 : std::min(flag.first, channel.value.size() - 1);
  refuse_texts(numbers, layout, channel.value.size());
  flag_unreadable(channel, numbers, sample_of);
  if (told && told->resolution) channel.resolution = *told->resolution;
  numbers = {};
  return channel;
}

Channel pressure_from_volts(const Channel& volts, double zero, double gain) {
  Channel pressure = volts;
  pressure.kind = ChannelKind::rail_pressure;
  pressure.quantity = Quantity::pressure;
  pressure.unit = "MPa";
  pressure.from_volts = true;
  pressure.resolution = std::fabs(gain) * volts.resolution;
  pressure.flags.clear();
  for (double& v : pressure.value) v = gain * (v - zero);
  return pressure;
}

}  // namespace railseep

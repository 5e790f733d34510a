#pragma once

#include "log/time_axis.hpp"

namespace railseep {

/// The samples of one column in SI. Blank cells make no sample, unreadable ones a flag.
/// @throws Error when most of its cells are neither numbers nor blanks
Channel read_channel(const RawColumn& column, const ColumnLayout& layout, const TimeAxis& axis,
                     const ColumnOptions* told);

/// The pressure a sensor's volts stand for: gain*(volts - zero). Told zero [V] and gain [Pa/V] are needed.
Channel pressure_from_volts(const Channel& volts, double zero, double gain);

}  // namespace railseep

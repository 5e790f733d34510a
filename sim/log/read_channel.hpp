#pragma once

#include "log/time_axis.hpp"

namespace railseep {

/// The samples of one column in SI. Blank cells make no sample, unreadable ones a flag. The numbers of the column are
/// used up.
/// @throws Error when most of its cells are neither numbers nor blanks
Channel read_channel(InterpretedLog& log, std::size_t column, const TimeAxis& axis, const ColumnOptions* told);

/// The pressure a sensor's volts stand for: gain*(volts - zero) [V], [Pa/V].
Channel pressure_from_volts(const Channel& volts, double zero, double gain);

}  // namespace railseep

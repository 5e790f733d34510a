#pragma once

#include <algorithm>
#include <vector>

namespace railseep {

/// The middle value, of an even number the mean of both middle ones; 0 of none.
inline double median(std::vector<double> values) {
  if (values.empty()) return 0;
  std::ranges::sort(values);
  const std::size_t half = values.size() / 2;
  return values.size() % 2 ? values[half] : 0.5 * (values[half - 1] + values[half]);
}

}  // namespace railseep

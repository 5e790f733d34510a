#include "drive/profile.hpp"

#include <algorithm>
#include <cmath>

#include "quantity/error.hpp"

namespace railseep {

Profile::Profile(std::vector<double> time, std::vector<double> value)
    : time_(std::move(time)), value_(std::move(value)) {
  if (time_.empty() || time_.size() != value_.size())
    throw Error("signal", "it has no points, or times without values", "give a value for each time");
  for (std::size_t i = 0; i < time_.size(); ++i) {
    if (!std::isfinite(time_[i]) || !std::isfinite(value_[i]))
      throw Error("signal", "a point is not a number", "leave such points out");
    if (i > 0 && time_[i] <= time_[i - 1])
      throw Error("signal", "its times do not rise", "sort the points by time, each time once");
  }
}

std::size_t Profile::piece(double t) const {
  return static_cast<std::size_t>(std::upper_bound(time_.begin(), time_.end(), t) - time_.begin());
}

double Profile::at(double t) const {
  const std::size_t next = piece(t);
  if (next == 0) return value_.front();
  if (next == time_.size()) return value_.back();
  const double share = (t - time_[next - 1]) / (time_[next] - time_[next - 1]);
  return value_[next - 1] + share * (value_[next] - value_[next - 1]);
}

double Profile::held_at(double t) const {
  const std::size_t next = piece(t);
  return value_[next == 0 ? 0 : next - 1];
}

double Profile::slope_at(double t) const {
  const std::size_t next = piece(t);
  if (next == 0 || next == time_.size()) return 0;
  return (value_[next] - value_[next - 1]) / (time_[next] - time_[next - 1]);
}

}  // namespace railseep

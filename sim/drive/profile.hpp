#pragma once

#include <vector>

namespace railseep {

/// A signal over time in straight pieces; before the first point and after the last it stays.
class Profile {
 public:
  Profile() = default;
  explicit Profile(double constant) : time_{0}, value_{constant} {}
  /// @param time rising [s]; @param value one each, SI. @throws Error when empty, unequal or not rising
  Profile(std::vector<double> time, std::vector<double> value);

  bool empty() const { return time_.empty(); }
  double at(double t) const;
  double held_at(double t) const;   // of the last point at or before t: a signal in steps
  double slope_at(double t) const;  // of the piece that begins at or contains t
  const std::vector<double>& corners() const { return time_; }

 private:
  std::size_t piece(double t) const;  // index of the first corner after t
  std::vector<double> time_, value_;
};

}  // namespace railseep

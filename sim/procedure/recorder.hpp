#pragma once

#include <vector>

#include "channel/trace.hpp"
#include "procedure/oil_side.hpp"

namespace railseep {

/// Writes the rows of a trace as the solver passes their times.
class Recorder {
 public:
  enum class Keep { pressure_only, crank, run };  // run: also oil and coil temperature and the injectors' pulse

  Recorder(const OilSide& side, Keep keep, std::vector<double> times);

  /// Times at an even interval from 0 to the duration.
  static std::vector<double> even_times(double interval, double duration);

  double next_time() const;                              // infinity when all are written
  double record(double t, const Network::State& state);  // @return the next time

  void skip_to(double t);  // nothing is written before t

  void set_wanted(double wanted) { wanted_ = wanted; }
  void set_coil_temperature(double temperature) { coil_temperature_ = temperature; }

  Trace take() { return std::move(trace_); }

 private:
  void add(std::string_view name, Quantity quantity) {
    trace_.channels.push_back({std::string(name), quantity, {}});
    trace_.channels.back().value.reserve(times_.size());
  }
  void put(double value) { trace_.channels[column_++].value.push_back(value); }

  const OilSide& side_;
  Keep keep_;
  std::vector<double> times_;
  std::size_t next_ = 0, column_ = 0;
  double wanted_ = 0, coil_temperature_ = 293.15;
  Trace trace_;
};

}  // namespace railseep

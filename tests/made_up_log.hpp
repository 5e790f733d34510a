#pragma once

#include <cmath>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "circuit/circuit_file.hpp"
#include "circuit/faults.hpp"
#include "evidence/evidence.hpp"
#include "log/log_reader.hpp"
#include "procedure/crank.hpp"

namespace railseep {

/// A crank as a scan tool would have logged it, for tests: noise, the converter's steps, so many sweeps a second.
struct MadeUpCrank {
  std::string name;
  double celsius = 90, rpm = 170;
  double rate = 2;  // sweeps a second
  double seconds = 8;
  double noise = 3e4;  // [Pa]
  double step = 3e4;   // of the converter [Pa]
  unsigned seed = 1;
  double rest_air = Condition{}.rest_air;
  double begins = 0;  // the starter engages so long after the first sweep [s]
};

inline double from_rpm(double turns) { return turns * 2 * std::numbers::pi / 60; }

/// As CSV, read back by the log reader: the evidence takes the road a real log takes.
inline CrankEvidence made_up_log(const Circuit& faulty, const MadeUpCrank& wanted) {
  std::mt19937 random(wanted.seed);
  std::normal_distribution<double> gauss;
  Condition condition;
  condition.oil_temperature = 273.15 + wanted.celsius;
  condition.rest_air = wanted.rest_air;
  if (wanted.begins > 0)
    condition.speed =
        Profile({0, wanted.begins, wanted.begins + 0.4, 60}, {0, 0, from_rpm(wanted.rpm), from_rpm(wanted.rpm)});
  else
    condition.speed = Profile({0, 0.4, 60}, {0, from_rpm(wanted.rpm), from_rpm(wanted.rpm)});
  CrankOptions options;
  options.duration = wanted.seconds;
  for (int i = 0; i <= static_cast<int>(wanted.rate * wanted.seconds); ++i)
    options.output_times.push_back(i / wanted.rate);
  const Trace trace = crank(faulty, condition, options).trace;
  std::string csv = "time (s),icp (kPa),ipr (%),rpm,eot (degC),battery (V)\n";
  for (std::size_t i = 0; i < trace.time.size(); ++i) {
    const double shown = trace.find(signal::shown_pressure).value[i] + wanted.noise * gauss(random);
    const double kpa = std::max(0.0, std::round(shown / wanted.step) * wanted.step / 1e3);
    const double speed = trace.find(signal::engine_speed).value[i] * 60 / (2 * std::numbers::pi);
    char row[200];
    std::snprintf(row, sizeof row, "%.2f,%.0f,%.2f,%.0f,%.0f,%.2f\n", trace.time[i], kpa,
                  100 * trace.find(signal::regulator_duty).value[i], speed + (speed > 50 ? gauss(random) : 0),
                  wanted.celsius, 10.5 + 0.02 * gauss(random));
    csv += row;
  }
  return crank_evidence(parse_log(csv, wanted.name + ".csv"), {wanted.name, "", {}, {}, {}, {}});
}

inline std::string source_file(const std::string& name) { return std::string(RAILSEEP_SOURCE_DIR) + "/" + name; }

}  // namespace railseep

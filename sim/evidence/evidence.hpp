#pragma once

#include <Eigen/Core>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "channel/trace.hpp"
#include "evidence/observations.hpp"
#include "evidence/stage.hpp"
#include "fit/tolerances.hpp"
#include "log/log.hpp"
#include "procedure/condition.hpp"

namespace railseep {

/// What is told about a log beside its columns. What the log measures itself comes first.
struct LogCondition {
  std::string name;                       // "hot crank"
  std::string oil;                        // grade, empty: the circuit's
  std::optional<double> oil_temperature;  // [K]
  std::optional<double> speed;            // [rad/s]
  std::optional<double> battery;          // [V]
  std::optional<double> rest_air;         // [-]
  double rest_time = 0;                   // stood before the crank [s]
  std::string block = {};                 // plugged during the crank (isolation test); empty: none
};

/// In a share of all logs the model is off so many times as far as usual.
struct ModelErrorScale {
  double times, chance;  // [-]
};

/// How far what was measured may be from what is computed, in the unit of the channel. The defaults are those of a rail
/// pressure in Pa, all assumed; no published figures for such engines were found.
struct NoiseModel {
  double noise = 3.5e4;   // sensor and converter, one standard deviation; more where the log itself scatters more from
                          // sample to sample
  double offset = 3.0e4;  // what the model may be off for a while: a constant part
  double share = 0.03;    // and a share of what was measured [-]
  double memory = 1.5;    // time over which it keeps being off [s]
  double overshoot = 0.03;  // doubt about the height of an overshoot, as a share of what still has to fall [-]; it
                            // lasts: oil is trapped
  double overshoot_rate =
      0.25;  // and how it grows with the sample interval [1/s]: what the duty did between two samples made it
  double filling = 0.02;  // doubt about when the pressure rises, as a share of the time it took [-]: where air lies in
                          // the passages nobody knows
  double timing =
      0.15;  // doubt about the time of each sample, in sample intervals: columns are asked one after another [-]
  double doubtful_temperature = 25;  // doubt about an oil temperature that nobody measured [K]
  double measured_temperature = 3;   // doubt about a measured one: sump against passages [K]
  double wild = 0.01;                // share of samples that say nothing [-]
  std::vector<ModelErrorScale> off{
      {1, 0.7}, {1.7, 0.2}, {3, 0.07}, {5, 0.03}};  // of offset, share, overshoot and filling together; narrowest first
  bool assumed_tolerances = true;  // false: all this was measured on the very kind of machine that is judged
};

inline constexpr double untold_temperature = 15;  // doubt about an oil temperature from which on nobody measured it [K]
inline constexpr double reference_pressure = 3.5e6;  // at which a leak's flow is stated, gauge [Pa]

/// What the samples of a condensed log are means of (condense_log.hpp); one entry each. Empty: samples are as logged.
struct Averages {
  std::vector<double> samples;  // that differ from the one before [-]
  std::vector<double> bend;     // by which the mean may miss the curve, in the unit of the channel
  double scatter = 0;           // of the samples as logged, one standard deviation; NAN: not known

  bool empty() const { return samples.empty(); }
};

/// One crank as evidence: what drove the engine, what was measured, and how far to trust it.
struct CrankEvidence {
  std::string name;
  Condition condition;
  std::string block;                            // the circuit was plugged so during the crank; empty: not at all
  std::optional<Profile> duty;                  // as measured
  std::string channel{signal::shown_pressure};  // of a crank's trace, which was measured
  std::vector<double> time;                     // [s] of the samples kept, rising
  std::vector<double> measured;                 // one each, in the unit of the channel; a pressure is gauge [Pa]
  Averages averages = {};                       // what they are means of
  double duration = 0;                          // [s]
  std::optional<double> fires;                  // when the engine runs by itself, with the clock of the samples [s]
  double sample_interval = 0;                   // [s]
  double temperature_doubt = 3;                 // one standard deviation [K]
  double leak_pressure =
      reference_pressure;  // about which leaks ran, gauge [Pa]: the doubt about the hole law is that at this pressure
  Stage stage = Stage::before;                    // in one of the good engine no fault stands
  std::shared_ptr<const LogTolerance> tolerance;  // covariance of (measured - computed), and what else is granted
  bool assumed_tolerances = true;                 // see NoiseModel
  std::vector<std::string> notes;                 // what was left out, assumed or doubtful

  bool of_sensor() const {
    return channel == signal::shown_pressure;
  }  // what the pressure sensor showed: its errors are in it

  /// Residuals of unit variance, by the narrowest covariance. @param computed one a sample, in the unit of the channel
  Eigen::VectorXd whiten(const std::vector<double>& computed) const;
};

/// Sets the tolerance: independent noise, and a deviation that lasts. A wild sample may show anything the log shows
/// elsewhere, and at least so much that it does not pass for a good one. @param resolution step of the samples, in the
/// unit of the channel
void weigh_samples(CrankEvidence& evidence, NoiseModel noise, double resolution);

/// How far samples as logged lie from the straight line between their neighbours, as one standard deviation of a single
/// sample: noise, or a pressure that hunts faster than can be followed. Of the later half, where all has settled; NAN
/// where sweeps are so rare that the settling itself bends as much. Source: second differences of independent noise
/// have sqrt(6) of its deviation; a normal's median distance is 0.6745 of it.
double scatter(const CrankEvidence& evidence);

/// @throws Error when the log has no rail pressure, or too few samples to say anything
CrankEvidence crank_evidence(const Log& log, const LogCondition& told, const NoiseModel& noise = {});

/// Whether any of these tolerances is a guess: then the match doubts itself (self_doubt.hpp).
bool assumed_tolerances(const std::vector<CrankEvidence>& logs);

/// What is granted to these logs, one below the other.
Tolerances tolerances_of(const std::vector<CrankEvidence>& logs);

/// All that is known about one engine.
struct Evidence {
  std::vector<CrankEvidence> logs;
  Observations observations = {};
};

}  // namespace railseep

#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "evidence/evidence.hpp"
#include "hypothesis/candidate.hpp"
#include "hypothesis/unknown.hpp"
#include "study/deviation.hpp"
#include "study/dice.hpp"

namespace railseep {

/// How one crank is done and logged.
struct LogPlan {
  enum class Temperature { of_oil, of_coolant, none };  // what the log has of it

  std::string name;            // "hot", "cold" or "weak battery"
  double oil_temperature = 0;  // as measured, or what is taken where nobody measured [K]
  Temperature temperature = Temperature::of_oil;
  double speed = 0;                      // settled, mean [rad/s]
  double battery = 0;                    // [V]
  double begins = 0;                     // the starter engages so long after the first sweep [s]
  double rate = 0;                       // sweeps a second [1/s]
  double seconds = 0;                    // [s]
  double noise = 0;                      // of the pressure, one standard deviation [Pa]
  std::string unit;                      // of the pressure column
  double step = 0;                       // of the pressure column [in its unit]
  double speed_skew = 0, duty_skew = 0;  // these columns are asked so much after the row's time [s]
  double jitter = 0;                     // of the time of each pressure, one standard deviation [s]
  double blanks = 0;                     // share of cells that are missing [-]
  int wild = 0;                          // single wild pressures
  bool has_duty = true;
  bool decimal_comma = false;

  double sample_interval() const { return 1 / rate; }
};

/// An engine whose fault is known, and how its cranks are logged.
struct MadeUpJob {
  std::uint64_t number = 0;
  Candidate candidate;            // the truth
  std::vector<Unknown> unknowns;  // severities first, then the nuisances
  std::vector<double> values;     // of the unknowns, true, SI
  std::vector<LogPlan> plans;
  Deviations deviations;

  double severity(std::size_t suspect) const { return values[suspect]; }
  std::string conditions() const;  // "cold, hot"
};

/// Draws a job from the priors of the match itself: candidate by weight, severities and nuisances by their
/// distributions within their bounds. Conditions and logging are drawn from ranges of practice (assumed; in the .cpp).
///
/// Source: Talts, Betancourt, Simpson, Vehtari & Gelman, Validating Bayesian Inference Algorithms with Simulation-Based
/// Calibration (2018).
MadeUpJob draw_job(const Circuit& circuit, const Priors& priors, std::uint64_t seed, std::uint64_t number,
                   const std::optional<Deviations>& deviations);

/// The true values as coordinates of the unknowns that a match has for evidence read from the job's logs.
Eigen::VectorXd coordinates_of(const MadeUpJob& job, const std::vector<Unknown>& unknowns);

/// The log of one crank as a scan tool would have saved it: CSV text. @throws Error when the crank cannot be computed
std::string made_up_csv(const Circuit& circuit, const MadeUpJob& job, std::size_t log, std::uint64_t seed);

/// All logs of a job after the log reader had them: the evidence takes the road that a real log takes.
Evidence made_up_evidence(const Circuit& circuit, const MadeUpJob& job, std::uint64_t seed);

}  // namespace railseep

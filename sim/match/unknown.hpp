#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "circuit/circuit.hpp"
#include "match/candidate.hpp"
#include "match/evidence.hpp"

namespace railseep {

/// One number that a fit does not know. Its coordinate u is 0 at the prior mean and 1 a standard deviation away.
struct Unknown {
  enum class Where { circuit_number, node_volume, sensor_bias, sensor_gain, oil_temperature, rest_air, delay, severity };
  Where where;
  std::string name;      // for the report: "high-pressure pump, displacement"
  double mean, spread;   // SI, or of ln(SI) when logarithmic
  bool logarithmic;
  double least, most;    // bounds, SI
  int index = -1;        // link, node or log, by `where`
  std::string key;       // of a circuit number

  double value(double u) const;       // SI
  double coordinate(double si) const; // u
};

/// Everything about the engine and its logs that is uncertain besides the fault: what the circuit file gives a spread, the sensor, and
/// for each log its oil temperature, the air left in the passages and the clock. They are integrated over, not fixed.
std::vector<Unknown> nuisances(const Circuit& circuit, const std::vector<CrankEvidence>& logs);

/// The severity of a candidate: 90 % of its prior lies between the typical sizes. A sensor bias may have either sign.
Unknown severity_unknown(const Candidate& candidate);

/// What the sensor would have shown at the times of each log, gauge [Pa], with the unknowns at u and the candidate's fault (if any).
/// The severity, where there is one, is the first unknown.
std::vector<std::vector<double>> computed_pressures(const Circuit& circuit, const Candidate& candidate, const std::vector<Unknown>& unknowns,
                                                    const std::vector<CrankEvidence>& logs, const Eigen::VectorXd& u);

/// The circuit, and the condition of one log, with the unknowns at u and the fault in it.
struct Assumed {
  Circuit circuit;
  std::vector<Condition> conditions;
  std::vector<double> delays;  // [s], computed time minus measured time
};
Assumed assume(const Circuit& circuit, const Candidate& candidate, const std::vector<Unknown>& unknowns, const std::vector<CrankEvidence>& logs,
               const Eigen::VectorXd& u);

}  // namespace railseep

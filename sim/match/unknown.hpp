#pragma once

#include <Eigen/Core>
#include <map>
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

/// The severity of a suspect: 90 % of its prior lies between the typical sizes. A sensor bias may have either sign; a severity that may be 0 is
/// counted evenly, the others by ratio.
Unknown severity_unknown(const Suspect& suspect);

/// The circuit, and the condition of one log, with the unknowns at u and the fault in it.
struct Assumed {
  Circuit circuit;
  std::vector<Condition> conditions;
  std::vector<double> delays;  // [s], computed time minus measured time
};
Assumed assume(const Circuit& circuit, const Candidate& candidate, const std::vector<Unknown>& unknowns, const std::vector<CrankEvidence>& logs,
               const Eigen::VectorXd& u);

/// What the sensor would have shown at the times of each log, gauge [Pa], for one candidate and any values of the unknowns.
///
/// The sensor's own errors and the clock only change how a crank is read, not the crank, when the duty was measured: such unknowns cost
/// nothing, because each crank is kept and read again.
class Predictor {
 public:
  Predictor(const Circuit& circuit, const Candidate& candidate, const std::vector<Unknown>& unknowns, const std::vector<CrankEvidence>& logs)
      : circuit_(circuit), candidate_(candidate), unknowns_(unknowns), logs_(logs), kept_(logs.size()) {}

  std::vector<std::vector<double>> pressures(const Eigen::VectorXd& u);
  std::size_t cranks() const { return cranks_; }  // computed so far

 private:
  using Key = std::vector<double>;
  bool shapes_crank(const Unknown& unknown, std::size_t log) const;
  const std::vector<double>& raw(std::size_t log, const Key& key, const Assumed& assumed);

  const Circuit& circuit_;
  const Candidate& candidate_;
  const std::vector<Unknown>& unknowns_;
  const std::vector<CrankEvidence>& logs_;
  std::vector<std::map<Key, std::vector<double>>> kept_;  // for each log: sensor pressure every grid step [Pa]
  std::size_t cranks_ = 0;
};

}  // namespace railseep

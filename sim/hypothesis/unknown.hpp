#pragma once

#include <string>
#include <vector>

#include "circuit/circuit.hpp"
#include "evidence/evidence.hpp"
#include "hypothesis/candidate.hpp"

namespace railseep {

/// One number that a fit does not know. Its coordinate u is 0 at the prior mean and 1 a standard deviation away.
struct Unknown {
  enum class Where {
    circuit_number,
    node_volume,
    oil_thickness,
    sensor_bias,
    sensor_gain,
    oil_temperature,
    rest_air,
    hole_law,
    delay,
    severity
  };
  Where where;
  std::string name;     // for the report: "high-pressure pump, displacement"
  double mean, spread;  // SI, or of ln(SI) when logarithmic
  bool logarithmic;
  double least, most;  // bounds, SI
  int index = -1;      // link, node, log or suspect, by `where`
  std::string key;     // of a circuit number

  double value(double u) const;        // SI
  double coordinate(double si) const;  // u
  bool of_log() const {
    return where == Where::oil_temperature || where == Where::rest_air || where == Where::hole_law ||
           where == Where::delay;
  }
};

/// Everything about the engine and its logs that is uncertain besides the fault: what the circuit file gives a spread,
/// how thick the oil is for its grade, the sensor, and for each log its oil temperature, the air left in the passages,
/// the hole law and the clock. They are integrated over, not fixed.
std::vector<Unknown> nuisances(const Circuit& circuit, const std::vector<CrankEvidence>& logs);

/// The severity of a suspect: 90 % of its prior lies between the typical sizes. A sensor bias may have either sign; a
/// severity that may be 0 is counted evenly, the others by ratio.
Unknown severity_unknown(const Suspect& suspect);

/// All unknowns of a candidate: the severities first.
std::vector<Unknown> unknowns_of(const Circuit& circuit, const Candidate& candidate,
                                 const std::vector<CrankEvidence>& logs);

/// The circuit as one log met it, and that log's condition, with the unknowns at u and the faults in it.
struct Assumed {
  Circuit circuit;
  Condition condition;
  double delay = 0;  // [s], computed time minus measured time
};
Assumed assume(const Circuit& circuit, const Candidate& candidate, const std::vector<Unknown>& unknowns,
               const std::vector<CrankEvidence>& logs, std::size_t log, const Eigen::VectorXd& u);

/// How far the flow of a sharp-edged hole may be from the law that is used: one standard deviation of ln(flow) [-].
///
///     0.15/(1 + Re/500),   Re = v*d/nu
///
/// Source: published hole laws differ by 15 % near Re 100 and by a few per cent above 2000
/// (tests/reference/hole_flow.csv); the shape between is assumed.
double hole_law_doubt(double diameter, double pressure, const Oil& oil);

/// Whether the oil of such a fault runs through a sharp-edged hole, so that this doubt is about its severity too.
bool feels_hole_law(const FaultKind& kind);

}  // namespace railseep

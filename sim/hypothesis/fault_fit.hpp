#pragma once

#include <optional>
#include <string>
#include <vector>

#include "hypothesis/candidate.hpp"
#include "hypothesis/unknown.hpp"

namespace railseep {

/// How bad a fault is: the best estimate and the ends of a 90 % interval that holds it, SI, with the whole posterior as
/// a table.
struct Severity {
  Severity() = default;
  Severity(double best_size, double low_end, double high_end) : best(best_size), low(low_end), high(high_end) {}

  double best = 0, low = 0, high = 0;
  std::vector<double> value, cumulative;  // rising; between the entries by straight lines

  double cdf(double si) const;          // probability that it is at most so bad [-]
  double quantile(double share) const;  // SI
};

/// One candidate fitted to all the evidence.
struct FaultFit {
  Candidate candidate;
  double probability = 0;   // of evidence times prior, the evidence of logs as far as it is believed (self_doubt.hpp)
  double log_evidence = 0;  // up to what is common to all candidates
  double observations_log_evidence = 0;  // the part of it that is of what was observed beside the logs
  std::vector<Severity> severities;      // one a suspect
  std::vector<std::vector<double>>
      places;  // for each suspect, probability of each of its places, if this candidate is right; most probable first
  double misfit = 0;              // root mean square of measured - computed, in the unit of the channel
  double reduced_chi_square = 0;  // see reduced_chi_square(): about 1 for a good fit [-]
  std::optional<double>
      flow;  // oil it costs at the reference pressure and the hottest log's oil [m3/s]; leaks and wear
  std::vector<Unknown> unknowns;              // the severities first
  Eigen::VectorXd u;                          // their best values
  Eigen::MatrixXd covariance;                 // of u; empty when it was not fitted in full
  std::vector<std::vector<double>> computed;  // for each log, at its sample times
  bool converged = false;
  bool fitted = false;  // false: a coarse look showed it to be out of the running
  std::string trouble;  // why it could not be computed; empty: it could

  std::vector<Fault> faults() const;  // with their best severities
};

}  // namespace railseep

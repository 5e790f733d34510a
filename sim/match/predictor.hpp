#pragma once

#include <Eigen/Core>
#include <map>
#include <optional>
#include <vector>

#include "match/unknown.hpp"

namespace railseep {

/// What would have been measured at the times of each log, for one candidate and any values of the unknowns.
///
/// The sensor's own errors and the clock only change how a crank is read, not the crank, when the duty was measured: such unknowns cost
/// nothing, because each crank is kept and read again.
class Predictor {
 public:
  Predictor(const Circuit& circuit, const Candidate& candidate, const std::vector<CrankEvidence>& logs);

  const std::vector<Unknown>& unknowns() const { return unknowns_; }
  std::vector<std::vector<double>> shown(const Eigen::VectorXd& u);

  /// Measured - computed of all logs, whitened: one entry a sample.
  Eigen::VectorXd residuals(const Eigen::VectorXd& u);

  std::size_t cranks() const { return cranks_; }  // computed so far
  void forget() { kept_.assign(logs_.size(), {}); }  // the cranks: they are large

 private:
  using Key = std::vector<double>;
  bool shapes_crank(const Unknown& unknown, std::size_t log) const;
  const std::vector<double>& raw(std::size_t log, const Key& key, const Assumed& assumed);

  const Circuit& circuit_;
  const Candidate& candidate_;
  const std::vector<CrankEvidence>& logs_;
  std::vector<Unknown> unknowns_;
  std::vector<std::map<Key, std::vector<double>>> kept_;  // for each log: its channel every grid step
  std::size_t cranks_ = 0;
};

}  // namespace railseep

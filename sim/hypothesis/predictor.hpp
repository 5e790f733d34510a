#pragma once

#include <Eigen/Core>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <vector>

#include "fit/tolerances.hpp"
#include "hypothesis/output_grid.hpp"
#include "hypothesis/unknown.hpp"

namespace railseep {

/// What would have been measured at the times of each log, for one candidate and any values of the unknowns.
///
/// The sensor's own errors and the clock only change how a crank is read, not the crank, when the duty was measured:
/// such unknowns cost nothing, because each crank is kept and read again. Several threads may ask at once.
class Predictor {
 public:
  Predictor(const Circuit& circuit, const Candidate& candidate, const std::vector<CrankEvidence>& logs);

  const std::vector<Unknown>& unknowns() const { return unknowns_; }
  std::vector<std::vector<double>> shown(const Eigen::VectorXd& u);

  /// Measured - computed of all logs, whitened: one entry a sample.
  Eigen::VectorXd residuals(const Eigen::VectorXd& u);

  /// The same unknowns with the clock of each log where it costs least, all else as it is. No crank is computed for it,
  /// and a steep rise that comes a sample early or late hides everything else.
  /// @param wider residuals are divided by it, as those that the tolerances were made for
  Eigen::VectorXd with_best_clock(Eigen::VectorXd u, const Tolerances& tolerances, double wider);

  /// The same unknowns with so much air in the passages that the pressure of each log rises when it did. How much was
  /// there nobody knows, and a rise at another time hides everything else. Where no likely air would do, as much as
  /// comes nearest; as it is where the air is told or nothing rises.
  Eigen::VectorXd with_air_matching_rise(Eigen::VectorXd u);

  /// @param tolerance of a step's pressures, relative: a rough search needs less, and takes less. Forgets the cranks
  /// when it changes.
  void compute_within(double tolerance);

  void forget() { kept_.assign(logs_.size(), {}); }  // the cranks: they are large

 private:
  using Key = std::vector<double>;
  using Values = std::shared_ptr<const std::vector<double>>;  // one a time of the log's grid
  /// A crank that is kept, and how it is read.
  struct Kept {
    Values channel;
    Sensor sensor;  // with its errors
    double temperature = 0, delay = 0;
    bool bare = false;  // the sensor's errors are not in it yet
  };
  Kept kept(std::size_t log, const Eigen::VectorXd& u);
  std::vector<double> read(const Kept& kept, std::size_t log, double delay) const;
  double rise_of(const Kept& kept, std::size_t log) const;
  double air_for_rise(Eigen::VectorXd u, std::size_t unknown, double was, double from);
  bool shapes_crank(const Unknown& unknown, std::size_t log) const;
  Values raw(std::size_t log, const Key& key, const Assumed& assumed);

  Circuit circuit_;
  const Candidate& candidate_;
  const std::vector<CrankEvidence>& logs_;
  std::vector<Unknown> unknowns_;
  std::mutex guard_;                         // of the cranks
  std::vector<OutputGrid> grids_;            // of the logs
  std::vector<std::map<Key, Values>> kept_;  // for each log: its channel, until there is no room for more
  double tolerance_ = 1e-5;                  // a whole crank within 1e-3, far below the model's own doubt
};

}  // namespace railseep

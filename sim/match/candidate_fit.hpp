#pragma once

#include <optional>
#include <vector>

#include "match/fault_fit.hpp"
#include "match/least_squares.hpp"
#include "match/predictor.hpp"
#include "match/severity_posterior.hpp"

namespace railseep {

/// The way of one candidate from a coarse look to its posterior. Each step may run in a thread of its own; none looks at another candidate.
///
///     look()    the residuals along a row of severities, all else at its prior mean
///     screen()  how far the nuisances could mend them, if they act here as they do on another candidate: linear, costs no crank
///     search()  least squares over everything, from the best of these beginnings
///     weigh()   the posterior of the severity beyond its parabola, with what was observed beside the logs, and the evidence with it
class CandidateFit {
 public:
  CandidateFit(const Circuit& circuit, const Evidence& evidence, Candidate candidate);
  CandidateFit(const CandidateFit&) = delete;  // its parts point at each other

  /// A pair begins where the fit of its first suspect ended: the row runs over the severity of the second. Before look().
  void begin_beside(const CandidateFit& first);

  void look();
  double glance() const;  // lowest cost in the row

  /// @param others dr/du of all unknowns but the severity of the row, as another candidate has them at its best
  void screen(const Eigen::MatrixXd& others);
  double screened() const { return screened_; }  // -ln evidence if the linear guess were true

  void search();
  /// Once more from either side of where it ended: a steep front in a log makes valleys of its own.
  void search_around();
  void weigh();

  const Candidate& candidate() const { return fit_.candidate; }
  const FaultFit& fit() const { return fit_; }
  double cost() const { return found_ ? found_->cost : screened_; }
  Eigen::MatrixXd nuisance_jacobian() const;  // after search()
  const Eigen::MatrixXd& jacobian() const { return found_->jacobian; }

  /// ln p(observations) at its best, after weigh().
  double observed() const { return observed_; }

  /// The result, with what a candidate out of the running still shows.
  /// @param observed_instead ln p(observations) that is granted to a candidate that was not weighed
  FaultFit finish(double observed_instead);

 private:
  Eigen::Index severities() const { return static_cast<Eigen::Index>(fit_.candidate.suspects.size()); }
  struct Beginning {
    double score;  // -ln evidence, guessed
    Eigen::VectorXd u;
    Eigen::MatrixXd jacobian;
  };
  std::vector<double> row() const;
  Eigen::VectorXd in_row(std::size_t i) const;
  Eigen::VectorXd between(double severity) const;
  Beginning beginning(double severity, double reach, const Eigen::MatrixXd& others) const;
  void guard(const std::function<void()>& work);
  Eigen::VectorXd along(double severity) const;
  double profile(const Eigen::VectorXd& u) const;
  std::vector<Fault> faults_at(const Eigen::VectorXd& u) const;
  double observed_at(const Eigen::VectorXd& u) const;
  double weigh_places();
  void gaussian_severities();
  void take_better(LeastSquaresFit found);

  const Circuit& circuit_;
  const Evidence& evidence_;
  FaultFit fit_;
  mutable Predictor predictor_;
  LeastSquaresProblem problem_;
  Eigen::VectorXd base_;                    // where the row lies
  Eigen::Index looked_ = 0;                 // the severity that runs along the row
  int row_points_ = 9;
  std::vector<double> row_;                 // coordinates of the severity looked at
  std::vector<Eigen::VectorXd> residuals_;  // along it
  std::vector<Eigen::VectorXd> starts_;     // best first
  Eigen::MatrixXd first_jacobian_;          // at the first start, borrowed
  double screened_ = 0;
  std::optional<LeastSquaresFit> found_;
  double observed_ = 0;
  bool weighed_ = false;
};

}  // namespace railseep

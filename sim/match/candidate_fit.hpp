#pragma once

#include <limits>
#include <optional>
#include <set>
#include <vector>

#include "match/fault_fit.hpp"
#include "match/least_squares.hpp"
#include "match/predictor.hpp"
#include "match/severity_posterior.hpp"
#include "match/severity_profile.hpp"

namespace railseep {

/// The way of one candidate from a coarse look to its posterior. Each step may run in a thread of its own; none looks at another candidate.
///
///     look()            the residuals along a row of severities, all else at its prior mean but the clocks, which are where they cost least
///     screen()          how far the nuisances could mend them, if they act here as they do on another candidate: linear, costs no crank
///     descend()         a few steps of least squares from places of the row, with wide tolerances: far from the best the residuals bend too much
///                       to be followed, so the prior holds the reins. No Jacobian is computed but the one that others lend
///     search_roughly()  from the best of these ends, with tolerances less wide
///     search()          tolerances as they are
///     weigh()           the posterior of the severity beyond its parabola, with what was observed beside the logs, and the evidence with it
class CandidateFit {
 public:
  CandidateFit(const Circuit& circuit, const Evidence& evidence, Candidate candidate);
  CandidateFit(const CandidateFit&) = delete;  // its parts point at each other

  /// A pair begins where the fit of its first suspect ended: the row runs over the severity of the second. Before look().
  void begin_beside(const CandidateFit& first);

  void look();
  double glance() const;  // lowest cost in the row, with wide tolerances

  /// @param others dr/du of all unknowns but the severity of the row, as another candidate has them at its best
  /// @param at its unknowns there, severities first
  void screen(const Eigen::MatrixXd& others, const Eigen::VectorXd& at);

  void descend();
  double descended() const { return rough_.empty() ? std::numeric_limits<double>::infinity() : rough_.front().cost; }  // cost with wide tolerances

  void search_roughly();
  double promised() const { return promised_; }  // -ln evidence if it were linear from here on: after screen(), better after search_roughly()

  void search();

  /// Once more from where another candidate found its nuisances, if that promises more than was found.
  /// @param others, at see screen(); @param limit -ln evidence that is worth a search
  void search_beside(const Eigen::MatrixXd& others, const Eigen::VectorXd& at, double limit);

  void weigh();

  const Candidate& candidate() const { return fit_.candidate; }
  const FaultFit& fit() const { return fit_; }
  Eigen::MatrixXd nuisance_jacobian() const;  // after search()
  const Eigen::MatrixXd& jacobian() const { return found_->jacobian; }

  /// ln p(observations) at its best, after weigh().
  double observed() const { return observed_; }

  /// The result, with what a candidate out of the running still shows.
  /// @param observed_instead ln p(observations) that is granted to a candidate that was not weighed
  FaultFit finish(double observed_instead);

 private:
  Eigen::Index severities() const { return static_cast<Eigen::Index>(fit_.candidate.suspects.size()); }
  std::vector<double> row() const;
  Eigen::MatrixXd with_slope(const Eigen::MatrixXd& others, const Eigen::VectorXd& u) const;
  LeastSquaresProblem widened(double times) const;
  void keep_valleys();
  void look_along_row();
  Eigen::VectorXd residuals_at(const Eigen::VectorXd& u);
  Eigen::VectorXd aligned(const Eigen::VectorXd& u, const WildSamples& wild, double wider);
  void guard(const std::function<void()>& work);
  std::vector<ProfilePoint> profile();
  std::vector<double> observed_along(const std::vector<ProfilePoint>& profile) const;
  std::vector<Fault> faults_at(const Eigen::VectorXd& u) const;
  double observed_at(const Eigen::VectorXd& u) const;
  double weigh_places();
  void gaussian_severities();
  void take_better(LeastSquaresFit found);
  void take(LeastSquaresFit found);

  const Circuit& circuit_;
  const Evidence& evidence_;
  FaultFit fit_;
  mutable Predictor predictor_;
  LeastSquaresProblem problem_;
  long computed_ = 0;          // residuals
  std::string last_trouble_;   // of those that could not be computed
  Eigen::VectorXd base_;                    // where the row lies
  Eigen::Index looked_ = 0;                 // the severity that runs along the row
  int row_points_ = 9;
  std::vector<Eigen::VectorXd> row_;        // looked at, their clocks aligned
  std::vector<Eigen::VectorXd> residuals_;  // along it
  std::set<std::size_t> starts_;            // of the row: where searches begin
  Eigen::MatrixXd others_;                  // see screen(); empty: not known
  std::vector<LeastSquaresFit> rough_;      // best first
  double promised_ = std::numeric_limits<double>::infinity();
  std::optional<LeastSquaresFit> found_;
  double observed_ = 0;
  bool weighed_ = false;
};

}  // namespace railseep

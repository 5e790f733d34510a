#pragma once

#include <atomic>
#include <functional>
#include <limits>
#include <optional>
#include <set>
#include <vector>

#include "fit/least_squares.hpp"
#include "fit/profile.hpp"
#include "hypothesis/fault_fit.hpp"
#include "hypothesis/predictor.hpp"

namespace railseep {

/// The way of one candidate from a coarse look to its best fit to the logs. Each step may run in a thread of its own;
/// none looks at another candidate.
///
///     scan_severities()            the residuals along a row of severities, all else at its prior mean but the air in
///     the passages, with which the pressure rises
///                       when it did, and the clocks, which are where they cost least
///     rescan_at()          the same row where another candidate found the engine, and how far the nuisances could mend
///     both rows, if they act here as
///                       they do there
///     descend()         in rounds: a few steps of least squares from places of the rows, with tolerances six times as
///     wide, and only those go on that
///                       lead on. Far from the best the residuals bend too much to be followed, so the prior holds the
///                       reins. No Jacobian is computed but the one that others lend
///     search_widened()  from the best of these ends, with tolerances three times as wide
///     search()          tolerances as they are
///     restart_from()   once more from where another candidate found the engine
///     profile()         along the severity, with what other valleys there are
class CandidateSearch {
 public:
  static constexpr std::size_t rounds = 3;  // of descend()

  CandidateSearch(const Circuit& circuit, const std::vector<CrankEvidence>& logs, Candidate candidate);
  CandidateSearch(const CandidateSearch&) = delete;  // its parts point at each other

  /// A pair begins where the fit of its first suspect ended: the row runs over the severity of the second. Before
  /// scan_severities().
  void begin_from(const CandidateSearch& first);

  void scan_severities();
  double best_scan_cost() const;  // lowest cost in the rows, with wide tolerances

  /// @param others dr/du of all unknowns but the severity of the row, as another candidate has them at its best
  /// @param at its unknowns there, severities first
  void rescan_at(const Eigen::MatrixXd& others, const Eigen::VectorXd& at);

  void descend(std::size_t round);
  double descent_cost() const {
    return rough_.empty() ? std::numeric_limits<double>::infinity() : rough_.front().cost;
  }  // cost with wide tolerances

  /// A candidate that has not descended yet is the first to be searched: nobody lends a Jacobian, and all others will
  /// begin where it ends. It takes more care.
  void search_widened();
  bool searched_widened() const { return searched_widened_; }
  double expected_neg_log_evidence() const {
    return expected_;
  }  // -ln evidence: of the row after scan_severities(); if it were linear from there on after rescan_at(), better
     // after search_widened()

  void search();

  /// Once more from where another candidate found its nuisances, if that promises more than was found.
  /// @param others, at see rescan_at(); @param limit -ln evidence that is worth a search
  void restart_from(const Eigen::MatrixXd& others, const Eigen::VectorXd& at, double limit);

  // One search may serve several candidates. Of one that follows another nothing above is to be called;
  // update_from_leader() does it all.

  /// When neither feels its severity in these logs and both see the same. After scan_severities(). @param other a
  /// candidate without severity. @return whether it follows
  bool follow(const CandidateSearch& other);
  /// When equally bad faults of both have the same effect (candidate.hpp): only how bad they may be is another matter.
  /// Before scan_severities().
  void follow_twin(const CandidateSearch& twin);
  bool follows() const { return leader_; }
  bool follows_twin() const { return leader_ && !insensitive_; }
  /// What the other has found so far; nothing new since the last time: nothing to do.
  void update_from_leader();

  const Candidate& candidate() const { return fit_.candidate; }
  const FaultFit& fit() const { return fit_; }
  double neg_log_evidence() const {
    return found_ ? -found_->log_evidence : std::numeric_limits<double>::infinity();
  }                                           // -ln evidence of the logs at the best fit, by Laplace
  Eigen::MatrixXd nuisance_jacobian() const;  // after search()
  const Eigen::MatrixXd& jacobian() const { return found_->jacobian; }

 protected:
  Eigen::Index severities() const { return static_cast<Eigen::Index>(fit_.candidate.suspects.size()); }
  std::vector<ProfilePoint> profile();  // after search(), of one severity; of a twin, after the other's
  const std::optional<LeastSquaresFit>& found() const { return found_; }
  const LeastSquaresProblem& problem() const { return problem_; }
  /// The search's last step: all computed exactly, with a Jacobian of its own. Costs and volumes of candidates are
  /// compared from here on.
  void polish();
  /// After polish(). @return ln of how much more evidence there is by the curvature beside the cliffs (cliffs.hpp), 0
  /// or more
  double gain_beside_cliffs();
  void guard(const std::function<void()>& work);
  Eigen::VectorXd best_so_far() const;
  void set_gaussian_severities();

  FaultFit fit_;  // as far as it is known
  mutable Predictor predictor_;
  std::vector<LeastSquaresFit> rough_;  // ends of the last descent or rough search, best first

 private:
  std::vector<double> row(int points) const;
  Eigen::VectorXd as_own(Eigen::VectorXd u) const;
  Eigen::MatrixXd as_own(Eigen::MatrixXd jacobian) const;
  void update_insensitive();
  void update_twin();
  std::vector<ProfilePoint> own_profile();
  std::vector<ProfilePoint> profile_of_twin();
  Eigen::MatrixXd with_slope(const Eigen::MatrixXd& others, const Eigen::VectorXd& u) const;
  LeastSquaresProblem widened(double times) const;
  void keep_valleys(std::size_t most, double behind);
  void scan_row();
  double wide_cost(const Place& place) const;
  void compute_finely();
  bool insensitive_along(std::size_t begin) const;
  std::vector<Eigen::VectorXd> begins(const LeastSquaresProblem& wide) const;
  void begin_descent(const LeastSquaresProblem& wide);
  double expected_after(const LeastSquaresFit& rough, double times) const;
  Eigen::VectorXd residuals_at(const Eigen::VectorXd& u);
  Eigen::VectorXd with_air_matching_rise(const Eigen::VectorXd& u) const;
  Eigen::VectorXd with_best_clock(const Eigen::VectorXd& u, const Tolerances& tolerances, double wider) const;
  void take_better(LeastSquaresFit found);
  void take(LeastSquaresFit found);

  const std::vector<CrankEvidence>& logs_;
  LeastSquaresProblem problem_;
  std::atomic<bool> computed_ = false;  // whether residuals could be, anywhere yet
  Eigen::VectorXd base_;                // where the row lies
  Eigen::Index scanned_ = 0;            // the severity that runs along the row
  int row_points_ = 9;
  bool insensitive_ = false;                 // the logs do not feel the severity: one point stands for the row
  const CandidateSearch* leader_ = nullptr;  // whom it follows
  double updated_at_ =
      std::numeric_limits<double>::quiet_NaN();  // neg_log_evidence() of the leader when it was last taken after
  bool searched_widened_ = false;
  bool lent_ = false;             // others_ is another candidate's
  std::vector<Place> row_;        // looked at, their clocks aligned
  std::set<std::size_t> starts_;  // of the row, where it costs less than to either side: searches begin there
  Eigen::MatrixXd others_;        // see rescan_at(); empty: not known
  double expected_ = std::numeric_limits<double>::infinity();
  std::optional<LeastSquaresFit> found_;
  double polished_at_ = std::numeric_limits<double>::quiet_NaN();  // neg_log_evidence() when it was settled last
  std::vector<ProfilePoint> profile_;                              // as it was computed last
  double beside_ = -std::numeric_limits<double>::infinity();  // ln evidence beside the cliffs, as far as it was looked
                                                              // for, and the cost it was found at
  double beside_cost_ = std::numeric_limits<double>::infinity();
};

}  // namespace railseep

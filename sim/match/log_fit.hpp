#pragma once

#include <atomic>
#include <functional>
#include <limits>
#include <optional>
#include <set>
#include <vector>

#include "match/fault_fit.hpp"
#include "match/least_squares.hpp"
#include "match/predictor.hpp"
#include "match/severity_profile.hpp"

namespace railseep {

/// The way of one candidate from a coarse look to its best fit to the logs. Each step may run in a thread of its own;
/// none looks at another candidate.
///
///     look()            the residuals along a row of severities, all else at its prior mean but the air in the
///     passages, with which the pressure rises
///                       when it did, and the clocks, which are where they cost least
///     screen()          the same row where another candidate found the engine, and how far the nuisances could mend
///     both rows, if they act here as
///                       they do there
///     descend()         in rounds: a few steps of least squares from places of the rows, with tolerances six times as
///     wide, and only those go on that
///                       lead on. Far from the best the residuals bend too much to be followed, so the prior holds the
///                       reins. No Jacobian is computed but the one that others lend
///     search_roughly()  from the best of these ends, with tolerances three times as wide
///     search()          tolerances as they are
///     search_beside()   once more from where another candidate found the engine
///     profile()         along the severity, with what other valleys there are
class LogFit {
 public:
  static constexpr std::size_t rounds = 3;  // of descend()

  LogFit(const Circuit& circuit, const std::vector<CrankEvidence>& logs, Candidate candidate);
  LogFit(const LogFit&) = delete;  // its parts point at each other

  /// A pair begins where the fit of its first suspect ended: the row runs over the severity of the second. Before
  /// look().
  void begin_beside(const LogFit& first);

  void look();
  double glance() const;  // lowest cost in the rows, with wide tolerances

  /// @param others dr/du of all unknowns but the severity of the row, as another candidate has them at its best
  /// @param at its unknowns there, severities first
  void screen(const Eigen::MatrixXd& others, const Eigen::VectorXd& at);

  void descend(std::size_t round);
  double descended() const {
    return rough_.empty() ? std::numeric_limits<double>::infinity() : rough_.front().cost;
  }  // cost with wide tolerances

  /// A candidate that has not descended yet is the first to be searched: nobody lends a Jacobian, and all others will
  /// begin where it ends. It takes more care.
  void search_roughly();
  bool searched_roughly() const { return searched_roughly_; }
  double promised() const {
    return promised_;
  }  // -ln evidence: of the row after look(); if it were linear from there on after screen(), better after
     // search_roughly()

  void search();

  /// Once more from where another candidate found its nuisances, if that promises more than was found.
  /// @param others, at see screen(); @param limit -ln evidence that is worth a search
  void search_beside(const Eigen::MatrixXd& others, const Eigen::VectorXd& at, double limit);

  // One search may serve several candidates. Of one that follows another nothing above is to be called; take_after()
  // does it all.

  /// When neither feels its severity in these logs and both see the same. After look(). @param other a candidate
  /// without severity. @return whether it follows
  bool follow(const LogFit& other);
  /// When equally bad faults of both have the same effect (candidate.hpp): only how bad they may be is another matter.
  /// Before look().
  void follow_twin(const LogFit& twin);
  bool follows() const { return leader_; }
  bool follows_twin() const { return leader_ && !silent_; }
  /// What the other has found so far; nothing new since the last time: nothing to do.
  void take_after();

  const Candidate& candidate() const { return fit_.candidate; }
  const FaultFit& fit() const { return fit_; }
  double explained() const {
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
  void settle();
  /// After settle(). @return ln of how much more evidence there is by the curvature beside the cliffs (cliffs.hpp), 0
  /// or more
  double beside_cliffs();
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
  void take_after_silent();
  void take_after_twin();
  std::vector<ProfilePoint> own_profile();
  std::vector<ProfilePoint> profile_of_twin();
  Eigen::MatrixXd with_slope(const Eigen::MatrixXd& others, const Eigen::VectorXd& u) const;
  LeastSquaresProblem widened(double times) const;
  void keep_valleys(std::size_t most, double behind);
  void look_along_row();
  double wide_cost(const Place& place) const;
  void compute_finely();
  bool silent_along(std::size_t begin) const;
  std::vector<Eigen::VectorXd> begins(const LeastSquaresProblem& wide) const;
  void begin_descent(const LeastSquaresProblem& wide);
  double promise_of(const LeastSquaresFit& rough, double times) const;
  Eigen::VectorXd residuals_at(const Eigen::VectorXd& u);
  Eigen::VectorXd filled(const Eigen::VectorXd& u) const;
  Eigen::VectorXd aligned(const Eigen::VectorXd& u, const Tolerances& tolerances, double wider) const;
  void take_better(LeastSquaresFit found);
  void take(LeastSquaresFit found);

  const std::vector<CrankEvidence>& logs_;
  LeastSquaresProblem problem_;
  std::atomic<bool> computed_ = false;  // whether residuals could be, anywhere yet
  Eigen::VectorXd base_;                // where the row lies
  Eigen::Index looked_ = 0;             // the severity that runs along the row
  int row_points_ = 9;
  bool silent_ = false;             // the logs do not feel the severity: one point stands for the row
  const LogFit* leader_ = nullptr;  // whom it follows
  double taken_after_ =
      std::numeric_limits<double>::quiet_NaN();  // explained() of the leader when it was last taken after
  bool searched_roughly_ = false;
  bool lent_ = false;             // others_ is another candidate's
  std::vector<Place> row_;        // looked at, their clocks aligned
  std::set<std::size_t> starts_;  // of the row, where it costs less than to either side: searches begin there
  Eigen::MatrixXd others_;        // see screen(); empty: not known
  double promised_ = std::numeric_limits<double>::infinity();
  std::optional<LeastSquaresFit> found_;
  double settled_at_ = std::numeric_limits<double>::quiet_NaN();  // explained() when it was settled last
  std::vector<ProfilePoint> profile_;                             // as it was computed last
  double beside_ = -std::numeric_limits<double>::infinity();  // ln evidence beside the cliffs, as far as it was looked
                                                              // for, and the cost it was found at
  double beside_cost_ = std::numeric_limits<double>::infinity();
};

}  // namespace railseep

#pragma once

#include "evidence/observations.hpp"
#include "match/candidate_search.hpp"

namespace railseep {

/// One candidate fitted to all the evidence: to the logs first, then observe() brings in what was observed beside them,
/// and weigh() the true shape of the posterior along the severity.
class CandidateFit : public CandidateSearch {
 public:
  CandidateFit(const Circuit& circuit, const Evidence& evidence, Candidate candidate);

  /// What was observed beside the logs, at the best point so far. Candidates out of the running are asked too: where
  /// the logs mislead, nothing else counts.
  void observe();

  /// After observe(): -ln evidence of all that is known.
  double total_neg_log_evidence() const;
  double logs_neg_log_evidence() const {
    return total_neg_log_evidence() + fit_.observations_log_evidence;
  }  // the part of it that is of the logs

  /// The posterior of the severity beyond its parabola, with what was observed beside the logs along it, and the
  /// evidence with it. Nothing new since it was last done: nothing to do.
  void weigh();

  /// The result, with what a candidate out of the running still shows. After observe(), if there is anything beside the
  /// logs.
  FaultFit finish();

 private:
  std::vector<double> observed_along(const std::vector<ProfilePoint>& profile) const;
  std::vector<Fault> faults_at(const Eigen::VectorXd& u) const;
  double observed_at(const Eigen::VectorXd& u) const;
  double weigh_places();
  bool weighed() const { return weighed_ == neg_log_evidence(); }
  void weigh_severity(const std::vector<ProfilePoint>& profile, double places);

  const Circuit& circuit_;
  const Evidence& evidence_;
  double observed_ = 0;
  std::optional<double> weighed_;  // neg_log_evidence() when it was done last
};

}  // namespace railseep

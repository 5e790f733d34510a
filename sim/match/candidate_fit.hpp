#pragma once

#include "match/log_fit.hpp"
#include "match/observations.hpp"

namespace railseep {

/// One candidate fitted to all the evidence: to the logs first, then weigh() brings in the true shape of the posterior along the severity and what
/// was observed beside the logs.
class CandidateFit : public LogFit {
 public:
  CandidateFit(const Circuit& circuit, const Evidence& evidence, Candidate candidate);

  /// The posterior of the severity beyond its parabola, with what was observed beside the logs, and the evidence with it. Nothing new since it was last done: nothing to do.
  void weigh();

  /// ln p(observations) at its best, after weigh().
  double observed() const { return observed_; }

  /// The result, with what a candidate out of the running still shows.
  /// @param observed_instead ln p(observations) that is granted to a candidate that was not weighed
  FaultFit finish(double observed_instead);

 private:
  std::vector<double> observed_along(const std::vector<ProfilePoint>& profile) const;
  std::vector<Fault> faults_at(const Eigen::VectorXd& u) const;
  double observed_at(const Eigen::VectorXd& u) const;
  double weigh_places();
  void weigh_severity(const std::vector<ProfilePoint>& profile, double places);

  const Circuit& circuit_;
  const Evidence& evidence_;
  double observed_ = 0;
  std::optional<double> weighed_;  // explained() when it was done last
};

}  // namespace railseep

#pragma once

#include <memory>
#include <mutex>
#include <vector>

#include "match/candidate_fit.hpp"
#include "match/match_result.hpp"

namespace railseep {

/// Fits many candidates to the same evidence, and no more of them in full than can matter.
///
/// All are looked at along a row of severities; the best two are fitted in full; the others begin from their rows and
/// from where the best of these found the engine; those that come near the best are fitted too, once more from where
/// the best of all found the engine, and those that did are weighed. Where weighing finds the engine better, all are
/// told again. Of those whose faults have the same effect only the first is searched, and of those hopelessly behind
/// none on. No step depends on the order in which threads finish.
class Ranking {
 public:
  using Fits = std::vector<std::unique_ptr<CandidateFit>>;

  Ranking(const Circuit& circuit, const Evidence& evidence, const MatchOptions& options)
      : circuit_(circuit), evidence_(evidence), options_(options) {}

  Fits singles(const std::vector<Candidate>& candidates);

  /// Two faults at once, of different kinds: each of the likeliest single ones with each other kind.
  /// @param share prior probability that there are two, shared among all pairs by the product of their priors
  Fits pairs(const Fits& singles, double share);

  /// Of these only such as lose oil by different laws, one through a hole and one through a film, for each hides in
  /// what the other does in some condition; and of them only those that promise to explain the logs better than any
  /// single fault. @param screened how many were looked at
  Fits pairs_of_laws(const Fits& singles, double share, std::size_t& screened);

 private:
  struct Pair {
    const CandidateFit* first;
    Candidate candidate;
  };
  Fits fit_pairs(const std::vector<Pair>& pairs, const Fits& singles);
  void each(Fits& fits, const std::function<void(std::size_t)>& work);
  const CandidateFit& scout(Fits& fits);
  void descend(Fits& fits);
  const CandidateFit* best_single(const Fits& fits) const;
  void update_followers(Fits& fits);
  void restart_from_best(Fits& fits, const CandidateFit& best);
  void fit_what_can_matter(Fits& fits, double lowest_cost, double lowest);
  void report(const CandidateFit& taken);  // a step further

  const Circuit& circuit_;
  const Evidence& evidence_;
  const MatchOptions& options_;
  std::mutex guard_;                // of what follows
  std::size_t done_ = 0, all_ = 0;  // steps
  FaultFit best_;
};

}  // namespace railseep

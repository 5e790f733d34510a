#pragma once

#include <functional>
#include <string>
#include <vector>

#include "study/job_outcome.hpp"

namespace railseep {

/// So many of so many. The interval holds the true share nineteen times in twenty (Clopper & Pearson, Biometrika 26
/// (1934) 404).
struct Share {
  int hits = 0, of = 0;
  double value() const { return of > 0 ? static_cast<double>(hits) / of : 0; }
  double low() const;
  double high() const;
  void count(bool hit) { hits += hit, ++of; }
};

/// Scores of one group of jobs.
struct Score {
  std::string group;
  int jobs = 0;                              // answered
  Share covered_50, covered_80, covered_90;  // faults whose severity is inside its middle interval
  Share in_90_set;                           // truth inside the smallest set of candidates that holds 90 %
  Share top_right;  // where perfect evidence could tell (decisive_factor): the most probable one is the truth or its
                    // look-alike
  Share missed;     // the search ended below the truth itself by more than missed_by: no approximation, a miss
  double size_error =
      0;  // median of |best - true|/|true| where the size shows: the interval is narrow (JobOutcome::sharpness)
  double any_size_error = 0;  // the same over all faults
  int sized = 0;              // jobs where the size shows
  double surprise = 0;        // at the truth, mean over samples: 1 when the tolerances are right
};

inline constexpr double decisive_factor = 10;  // Bayes factor from which evidence can tell
inline constexpr double missed_by = 2;         // of ln(likelihood times prior)
inline constexpr double sharp = 1.0 / 3;       // a 90 % interval this share of the prior's shows a size

Score score(const std::string& group, const std::vector<JobOutcome>& outcomes,
            const std::function<bool(const JobOutcome&)>& belongs = {});

/// Do sizes lean? Leaks in jobs with a cold log that lie in the lower half of what is believed of their size: half of
/// them when they do not.
Share cold_leaks_in_lower_half(const std::vector<JobOutcome>& outcomes);

/// Ranks of the true severities in their posteriors, sorted into bins of equal width: even when the posteriors are
/// right.
struct RankHistogram {
  std::vector<int> counts;
  int least = 0, most = 0;  // each bin is within these 19 times in 20
  double p_value = 1;       // chi-squared against even bins
};
RankHistogram rank_histogram(const std::vector<JobOutcome>& outcomes, int bins);

/// Predicted probabilities against what came true.
struct ReliabilityBin {
  double predicted = 0;  // mean
  Share came_true;
};
struct Reliability {
  std::vector<ReliabilityBin> bins;
  double gap = 0;     // mean of |predicted - came true|, each bin weighted by the probability it holds
  double chance = 0;  // what that mean would be if every probability were right
};
Reliability candidate_reliability(const std::vector<JobOutcome>& outcomes);
Reliability kind_reliability(const std::vector<JobOutcome>& outcomes);

}  // namespace railseep

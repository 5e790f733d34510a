#pragma once

#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "training/fault_table.hpp"

namespace railseep {

/// What the program would do next, and what that is worth.
struct Advice {
  enum class Kind { check, open, elsewhere };
  Kind kind = Kind::elsewhere;
  std::string what;   // id of the check, or name of the group
  Cost expected;      // from here to a proved repair, on average
  double bits = 0;    // of a check: expected information
  std::string words;  // "check: key off and hold"
};

/// What the program believes of an engine, from what a learner was told and nothing else.
class Adviser {
 public:
  explicit Adviser(const FaultTable& table);

  void told(const ToldStarts& starts);

  /// A check had this outcome. @param speed share of a healthy cranking speed that the log shows; NaN: there is no log
  void outcome(const std::string& check, std::size_t column, double speed);

  /// A group was opened and looked through. @param seen place and kind of what was found; none: nothing was
  void looked(const std::string& group, const std::vector<Fault>& seen);

  /// The engine was changed and still does not start: what was measured before says nothing of it any more. What was
  /// renewed is hardly the cause.
  void changed(const ToldStarts& starts, const std::set<std::string>& renewed_places);

  /// @param without checks that cannot be done, or are done; @param open groups that cost nothing to open
  Advice next(const std::set<std::string>& without, const std::set<std::string>& open) const;

  double bits() const;                                   // not known [bit]
  double expected_bits(const std::string& check) const;  // of one check
  std::vector<double> hypotheses() const;                // probability of each of FaultTable::belief
  double of_group(const std::string& group) const;       // probability that something is wrong behind it
  double of_place(const std::string& place) const;
  /// Suspicions (suspicion.hpp) and their probabilities, most probable first.
  std::vector<std::pair<std::string, double>> suspicions() const;
  /// How probable each outcome of a check is if that hypothesis is right.
  std::vector<double> outcomes_if(std::size_t hypothesis, const Forecast& forecast) const;
  const FaultTable& table() const { return table_; }

 private:
  void normalise();
  Eigen::VectorXd by_hypothesis(const Eigen::VectorXd& weights) const;

  const FaultTable& table_;
  Eigen::VectorXd weights_;  // of the possibilities, add up to 1
};

}  // namespace railseep

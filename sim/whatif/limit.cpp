#include "whatif/limit.hpp"

#include <algorithm>
#include <cmath>

#include "quantity/error.hpp"

namespace railseep {

namespace {

/// Severities from the mildest to the worst, as a line that bisection can walk: by ratio where both ends are above 0.
struct Scale {
  double mild, worst;
  bool by_ratio() const { return mild > 0 && worst > 0; }
  double at(double share) const {
    return by_ratio() ? mild * std::pow(worst / mild, share) : mild + share * (worst - mild);
  }
};

const PossibleFault& possible(const std::vector<PossibleFault>& all, const Fault& fault) {
  return *std::find_if(all.begin(), all.end(),
                       [&](const PossibleFault& p) { return p.place == fault.place && p.kind->word == fault.kind; });
}

/// Wider than the typical sizes: from hardly there to far beyond, within what the kind can be.
Scale scale_of(const PossibleFault& fault) {
  const FaultKind& kind = *fault.kind;
  if (kind.quantity == Quantity::length) return {0.2 * fault.least, 2 * fault.most};
  // What multiplies may grow beyond the typical; a share may not. What may be too small or too large, as a wrong oil's
  // viscosity, is asked on its larger side.
  const bool grows = fault.most > kind.healthy;
  const double beyond = kind.change == FaultKind::Change::multiplies ? 2 : 1;
  return grows ? Scale{kind.healthy, beyond * fault.most} : Scale{kind.healthy, fault.least};
}

}  // namespace

std::optional<double> time_to_start(const Circuit& circuit, const Condition& condition, double longest) {
  RunOptions options;
  options.longest = 0;  // nothing is recorded but the beginning
  options.tolerance = 1e-5;
  return EngineRun(circuit, condition, options).crank(longest);
}

Limit limit_of(const Circuit& circuit, const Fault& fault, const std::vector<Fault>& others, const Condition& condition,
               const LimitOptions& options) {
  kind_of(fault, circuit);  // throws for what the place cannot have
  const std::vector<PossibleFault> all = possible_faults(circuit);
  const Scale scale = scale_of(possible(all, fault));
  const auto start = [&](std::optional<double> severity) {
    std::vector<Fault> faults = others;
    if (severity) faults.push_back({fault.place, fault.kind, *severity});
    return time_to_start(with_faults(circuit, faults), condition, options.longest);
  };

  Limit limit{std::min(scale.mild, scale.worst),
              std::max(scale.mild, scale.worst),
              start(std::nullopt),
              false,
              std::nullopt,
              0};
  if (!limit.start_without) return limit;
  const std::optional<double> mildest = start(scale.mild);
  if (!mildest) return limit;
  limit.edge = scale.mild, limit.time_at_edge = *mildest;
  if (const std::optional<double> worst = start(scale.worst)) {
    limit.starts_throughout = true, limit.edge = scale.worst, limit.time_at_edge = *worst;
    return limit;
  }
  const double fine =
      scale.by_ratio() ? options.precision / std::abs(std::log(scale.worst / scale.mild)) : options.precision;
  for (double good = 0, bad = 1; bad - good > fine;) {
    const double middle = 0.5 * (good + bad);
    const std::optional<double> time = start(scale.at(middle));
    (time ? good : bad) = middle;
    if (time) limit.edge = scale.at(middle), limit.time_at_edge = *time;
  }
  return limit;
}

}  // namespace railseep

#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "made_up_log.hpp"
#include "match/match.hpp"

namespace railseep {

inline Suspect suspect(const Circuit& circuit, const std::vector<std::string>& places, const std::string& kind) {
  Suspect made;
  for (const std::string& place : places)
    for (const PossibleFault& possible : possible_faults(circuit))
      if (possible.place == place && possible.kind->word == kind)
        made.kind = possible.kind, made.places.push_back(possible);
  EXPECT_EQ(made.places.size(), places.size()) << kind;
  return made;
}

inline FaultFit fit(const Suspect& of, double severity, double probability) {
  FaultFit made;
  made.candidate.suspects = {of};
  made.severities = {{severity, severity - 0.05 * std::abs(severity), severity + 0.05 * std::abs(severity)}};
  made.probability = probability;
  return made;
}

inline FaultFit nothing_wrong(double probability) {
  FaultFit made;
  made.probability = probability;
  return made;
}

/// A match of one hot crank with these fits.
inline MatchResult matched(std::vector<FaultFit> fits, double rpm_now = 180) {
  MatchResult result;
  CrankEvidence hot;
  hot.name = "hot";
  hot.condition.oil_temperature = 363.15;
  hot.condition.speed = Profile(from_rpm(rpm_now));
  hot.duration = 6;
  result.logs = {hot};
  result.fits = std::move(fits);
  return result;
}

}  // namespace railseep

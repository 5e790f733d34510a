#pragma once

#include <string>
#include <vector>

#include "match/influence.hpp"
#include "match/match_result.hpp"
#include "words/shown_units.hpp"

namespace railseep {

/// What the first candidate's lead over another rests on.
struct WhatSpeaks {
  std::size_t against = 0;               // index into MatchResult::fits
  double logs = 0;                       // difference of ln evidence by the logs; below 0: they speak for the other
  double without_three = 0;              // the same without the three samples that speak most
  bool few = false;                      // fewer than five samples make all that tells the two apart
  double beside = 0;                     // by readings, starts, looks and shop air
  std::vector<SampleInfluence> samples;  // that speak most for the first: at most four
};

/// Of the first candidate against the second, against the best that is no look-alike of it, and against a sound oil
/// side; each once.
std::vector<WhatSpeaks> what_speaks(const MatchResult& result);

/// In a sentence or two: which samples of which log, how far the two are apart there, and whether all hangs on them.
std::string words_for(const WhatSpeaks& speaks, const MatchResult& result, const ShownUnits& units);

}  // namespace railseep

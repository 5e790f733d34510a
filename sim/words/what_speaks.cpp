#include "words/what_speaks.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <set>

namespace railseep {

namespace {

constexpr double nothing_much = 0.2;  // ln evidence that is not worth a word

/// "1.3 to 1", of evidence in ln.
std::string odds(double ln) {
  const double times = std::exp(std::min(std::abs(ln), std::log(1000.0)));
  char text[32];
  std::snprintf(text, sizeof text, times < 10 ? "%.1f to 1" : "%.0f to 1", times);
  return (std::abs(ln) > std::log(1000.0) ? "over " : "") + std::string(text);
}

/// The samples of one log that speak most, and how far the two curves are apart there on average.
std::string of_log(std::size_t log, const WhatSpeaks& speaks, const MatchResult& result, const ShownUnits& units) {
  std::vector<std::size_t> samples;
  for (const SampleInfluence& one : speaks.samples)
    if (one.log == log) samples.push_back(one.sample);
  std::ranges::sort(samples);
  double apart = 0;
  std::string times;
  for (const std::size_t sample : samples) {
    apart += std::abs(result.fits.front().computed[log][sample] - result.fits[speaks.against].computed[log][sample]) /
             static_cast<double>(samples.size());
    char at[32];
    std::snprintf(at, sizeof at, "%.2f", result.logs[log].time[sample]);
    times += (times.empty() ? "" : sample == samples.back() ? " and " : ", ") + std::string(at);
  }
  return result.logs[log].name + " at " + times + " s (the two are " + units.typed(apart, Quantity::pressure) +
         " apart there)";
}

void add(std::vector<WhatSpeaks>& all, const MatchResult& result, std::size_t other) {
  const bool known = std::ranges::find(all, other, &WhatSpeaks::against) != all.end();
  if (known || other == 0 || other >= result.fits.size()) return;
  const FaultFit& first = result.fits.front();
  const FaultFit& second = result.fits[other];
  WhatSpeaks speaks;
  speaks.against = other;
  speaks.beside = first.observations_log_evidence - second.observations_log_evidence;
  speaks.logs = first.log_evidence - second.log_evidence - speaks.beside;
  speaks.samples = influences(result.logs, first, second, few_samples - 1);
  speaks.few = hangs_on_few(speaks.logs, speaks.samples);
  speaks.without_three = without_spoilt(speaks.logs, speaks.samples);
  all.push_back(std::move(speaks));
}

}  // namespace

std::vector<WhatSpeaks> what_speaks(const MatchResult& result) {
  std::vector<WhatSpeaks> all;
  if (result.fits.empty()) return all;
  std::set<std::size_t> alike;
  for (const LookAlikes& set : result.sets)
    if (std::ranges::find(set.fits, 0u) != set.fits.end()) alike.insert(set.fits.begin(), set.fits.end());
  add(all, result, 1);
  for (std::size_t i = 1; i < result.fits.size(); ++i)
    if (!alike.contains(i)) {
      add(all, result, i);
      break;
    }
  for (std::size_t i = 1; i < result.fits.size(); ++i)
    if (result.fits[i].candidate.healthy()) add(all, result, i);
  return all;
}

std::string words_for(const WhatSpeaks& speaks, const MatchResult& result, const ShownUnits& units) {
  std::string text =
      result.fits.front().candidate.title() + " against " + result.fits[speaks.against].candidate.title() + ": ";
  if (result.logs.empty())
    text += "there is no log";
  else if (std::abs(speaks.logs) < nothing_much)
    text += "the logs say the same of both";
  else
    text += "the logs speak " + odds(speaks.logs) + (speaks.logs > 0 ? " for the first" : " for the second");
  if (speaks.logs >= nothing_much && !speaks.samples.empty()) {
    std::string most;
    for (std::size_t log = 0; log < result.logs.size(); ++log)
      if (std::ranges::find(speaks.samples, log, &SampleInfluence::log) != speaks.samples.end())
        most += (most.empty() ? "" : "; ") + of_log(log, speaks, result, units);
    text += ", most by " + most;
    if (speaks.few)
      text += ". That hangs on few samples: without three of them it is " + odds(speaks.without_three) +
              (speaks.without_three > 0 ? "" : " for the second");
  }
  if (std::abs(speaks.beside) >= nothing_much)
    text += ". What was read, seen and heard speaks " + odds(speaks.beside) +
            (speaks.beside > 0 ? " for the first" : " for the second");
  return text + ".";
}

}  // namespace railseep

#pragma once

#include <optional>
#include <string>
#include <vector>

#include "procedure/air_test.hpp"

namespace railseep {

/// What somebody heard at one place.
struct HeardFinding {
  std::string place;  // a listening point of the circuit
  HeardWord word = HeardWord::silent;
  bool energised = false;
};

/// How long the gauge took to fall with the air shut.
struct DecayFinding {
  double from = 90 * 6894.757293168, to = 50 * 6894.757293168;  // gauge [Pa]
  double time = 0;  // [s]; when it did not fall so far: how long it was watched
  bool fell = true;
  bool energised = false;
};

/// What a flow meter in the hose showed, at the standard state [m3/s].
struct FlowFinding {
  double flow = 0;
  bool energised = false;
};

/// The findings of one shop-air test. How it was done is in the options that the prediction is computed with.
struct AirFindings {
  AirTestOptions done;
  std::vector<HeardFinding> heard;
  std::vector<DecayFinding> decays;
  std::vector<FlowFinding> flows;
};

/// How sure a finding is. All assumed.
struct FindingErrors {
  double ear = 5;      // one standard deviation of where a person puts the words [dB]: neighbouring words are confused
  double slip = 0.03;  // share of findings that are simply wrong (wrong place, wrong note)
  double stop_watch = 0.3;              // reaction, start and stop together [s]
  double gauge = 1.5 * 6894.757293168;  // reading of a shop gauge [Pa]
  double model = 0.25;  // one standard deviation of ln(time or flow): reconnecting alone is 0.24 (HoldScatter),
                        // volumes, residual oil
};

/// Probability that a person says this word where the model computes this audibility: normal around it, and a slip
/// falls on any word.
double word_probability(HeardWord word, double audibility, const FindingErrors& errors = {});

/// ln p(findings | the circuit that was computed). @throws Error for a place the circuit has no listening point for, or
/// a pass that was not computed
double log_likelihood(const AirFindings& findings, const AirTestResult& computed, const FindingErrors& errors = {});

/// The test computed as the findings say it was done, and its likelihood.
double log_likelihood(const AirFindings& findings, const Circuit& circuit, const FindingErrors& errors = {});

}  // namespace railseep

#pragma once

#include <optional>
#include <string>

#include "channel/channel_kind.hpp"
#include "evidence/situation.hpp"

namespace railseep {

/// A value read off a gauge or a tool.
struct Reading {
  enum class Part { plateau, peak, later };  // settled; the highest seen; so long after key-off

  std::string name;  // as it was told: "hot crank, about 300 psi"
  ChannelKind kind = ChannelKind::rail_pressure;
  double value = 0;                 // SI
  std::optional<double> tolerance;  // "about": one standard deviation, SI; not told: that of its kind
  Part part = Part::plateau;
  double later = 0;               // after key-off [s]
  bool temperature_known = true;  // else what the model says is doubted more
  Situation situation;
  std::optional<double> at_least = {},
                        at_most = {};  // told as a range: any value in it, open where one is not told. SI
};

/// How far a reading may be off, one standard deviation, SI. All assumed: no published figures for such engines were
/// found.
struct ReadingErrors {
  ChannelKind kind;
  double tolerance;  // of the one who reads, and of his gauge
  double offset;     // of the model with typical numbers: a constant part
  double share;      // and a share of the value [-]
  double range;      // a reading that is simply wrong (3 %) falls anywhere in it
};

/// @return nullptr for a kind that the model does not compute
const ReadingErrors* reading_errors(ChannelKind kind);

/// Does the model say anything about such a reading?
bool is_computed(ChannelKind kind, Situation::Done done);

/// How far a reading may be from what is computed: one standard deviation of (read - computed), SI. Its value is not
/// looked at.
double reading_deviation(const Reading& reading, double computed, const Circuit& circuit);

/// Gauge on the lube gallery: the node that the lube pump fills; without one, the tank that the high-pressure pump
/// draws from. Of a tank that is mostly air hardly any pressure is left (assumed). @throws Error for a circuit that has
/// neither
double base_oil(const Circuit& circuit, const Trace& trace);

/// What the gauge or tool would have shown, SI. @throws Error for a kind that is not computed in this situation
double predicted(const Reading& reading, Procedures& procedures);

/// ln p(value | the circuit), or p(range | the circuit): normal around the computed value, with a share of readings
/// that are simply wrong.
double log_likelihood(const Reading& reading, Procedures& procedures);

}  // namespace railseep

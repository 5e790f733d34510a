#include "procedure/air_findings.hpp"

#include <cmath>
#include <limits>
#include <numbers>

#include "quantity/error.hpp"
#include "quantity/normal.hpp"

namespace railseep {

namespace {

const AirPass& pass_of(const AirTestResult& computed, bool energised) {
  if (!energised) return computed.open;
  if (!computed.shut)
    throw Error("air findings", "a finding is of the energised regulator, but that pass was not computed",
                "say how it was energised");
  return *computed.shut;
}

constexpr double longest = 60;  // a slip of the stop watch falls anywhere within this [s]

/// With the chance of a slip, which knows nothing but the order of size: flat over a factor of 100.
double with_slip(double density, double slip) { return std::log((1 - slip) * density + slip / std::log(100.0)); }

double decay_likelihood(const DecayFinding& finding, const AirPass& pass, const AirTestOptions& done,
                        const FindingErrors& errors) {
  if (finding.from != done.hold_from || finding.to != done.hold_to)
    throw Error("air findings", "the fall was timed between other pressures than the test was computed for",
                "give the test the same two gauge pressures");
  if (!finding.fell) {
    // Watched so long and not fallen: the computed time lies beyond it, as far as the model can tell.
    if (!pass.gauge_reached) return std::log(errors.slip);
    if (!pass.decay) return std::log(1 - errors.slip);
    return std::log((1 - errors.slip) * normal_below(std::log(*pass.decay / finding.time) / errors.model) +
                    errors.slip);
  }
  if (!pass.gauge_reached) return std::log(errors.slip / longest);
  // A fall that was not computed to its end goes on at the mean rate it had, in ln(p).
  const double rest = std::log(done.hold_from / done.hold_to),
               seen = std::log(done.hold_from / std::max(pass.hold_end, 1.0));
  const double computed = pass.decay ? *pass.decay : seen > 1e-9 ? pass.hold_time * rest / seen : 1e9;
  const double rate = (done.hold_from - done.hold_to) / computed, by_gauge = std::numbers::sqrt2 * errors.gauge / rate;
  const double deviation = std::hypot(std::hypot(errors.stop_watch, by_gauge), errors.model * computed);
  return std::log((1 - errors.slip) * normal_density((finding.time - computed) / deviation) / deviation +
                  errors.slip / longest);
}

}  // namespace

double word_probability(HeardWord word, double audibility, const FindingErrors& errors) {
  constexpr double edge[] = {-std::numeric_limits<double>::infinity(), faint_from, clear_from, loud_from,
                             std::numeric_limits<double>::infinity()};
  const auto below = [&](double level) { return normal_below((level - audibility) / errors.ear); };
  const int i = static_cast<int>(word);
  return (1 - errors.slip) * (below(edge[i + 1]) - below(edge[i])) + errors.slip / 4;
}

double log_likelihood(const AirFindings& findings, const AirTestResult& computed, const FindingErrors& errors) {
  double sum = 0;
  for (const HeardFinding& heard : findings.heard)
    sum +=
        std::log(word_probability(heard.word, pass_of(computed, heard.energised).at(heard.place).audibility, errors));
  for (const DecayFinding& decay : findings.decays)
    sum += decay_likelihood(decay, pass_of(computed, decay.energised), findings.done, errors);
  for (const FlowFinding& flow : findings.flows) {
    const double expected = standard_flow(pass_of(computed, flow.energised).supplied);
    const double z = std::log(std::max(flow.flow, 1e-9) / std::max(expected, 1e-9)) / errors.model;
    sum += with_slip(normal_density(z) / errors.model, errors.slip);
  }
  return sum;
}

double log_likelihood(const AirFindings& findings, const Circuit& circuit, const FindingErrors& errors) {
  AirTestOptions needed = findings.done;
  needed.timed = !findings.decays.empty();
  return log_likelihood(findings, air_test(circuit, needed), errors);
}

}  // namespace railseep

#include "evidence/observed_and_predicted.hpp"

#include <utility>

namespace railseep {

namespace {

ObservedAndPredicted beside(const Inspection& checked, const Circuit& faulty, std::span<const Fault> faults) {
  ObservedAndPredicted line;
  line.name = checked.check + (checked.place.empty() ? "" : ", " + checked.place);
  if (checked.resistance) {
    line.quantity = Quantity::resistance, line.read = checked.resistance;
    if (const int link = faulty.only<Regulator>(); link >= 0)
      line.computed = std::get<Regulator>(faulty.links[link].element).hot_resistance();
    return line;
  }
  const double bad = bad_probability(checked, faulty, faults);
  line.found = checked.bad ? "bad" : "good", line.expected = bad > 0.5 ? "bad" : "good";
  line.probability = checked.bad ? bad : 1 - bad;
  return line;
}

std::string with_coil(std::string name, bool energised) {
  return std::move(name) + (energised ? ", regulator energised" : "");
}

const AirPass& pass_of(const AirTestResult& computed, bool energised) {
  return energised ? computed.shut.value() : computed.open;
}

ObservedAndPredicted beside(const HeardFinding& heard, const AirTestResult& computed) {
  const double audibility = pass_of(computed, heard.energised).at(heard.place).audibility;
  HeardWord likeliest = HeardWord::silent;
  for (const HeardWord one : {HeardWord::faint, HeardWord::clear, HeardWord::loud})
    if (word_probability(one, audibility) > word_probability(likeliest, audibility)) likeliest = one;
  ObservedAndPredicted line;
  line.name = with_coil("air heard at the " + heard.place, heard.energised);
  line.found = word(heard.word), line.expected = word(likeliest),
  line.probability = word_probability(heard.word, audibility);
  return line;
}

ObservedAndPredicted beside(const DecayFinding& decay, const AirTestResult& computed) {
  ObservedAndPredicted line;
  line.name = with_coil("fall of the air", decay.energised), line.quantity = Quantity::time;
  line.computed = pass_of(computed, decay.energised).decay;
  if (decay.fell) line.read = decay.time;
  return line;
}

ObservedAndPredicted beside(const FlowFinding& flow, const AirTestResult& computed) {
  ObservedAndPredicted line;
  line.name = with_coil("air flow", flow.energised), line.quantity = Quantity::volume_flow;
  line.read = flow.flow, line.computed = standard_flow(pass_of(computed, flow.energised).supplied);
  return line;
}

}  // namespace

std::vector<ObservedAndPredicted> observed_and_predicted(const Observations& observations, const Circuit& faulty,
                                                         std::span<const Fault> faults) {
  std::vector<ObservedAndPredicted> lines;
  for (const Inspection& checked : observations.checks) lines.push_back(beside(checked, faulty, faults));
  for (const AirFindings& test : observations.air) {
    const AirTestResult computed = air_test(faulty, test.done);
    log_likelihood(test, computed);  // says what is wrong with a finding of a place or a pass that is not there
    for (const HeardFinding& heard : test.heard) lines.push_back(beside(heard, computed));
    for (const DecayFinding& decay : test.decays) lines.push_back(beside(decay, computed));
    for (const FlowFinding& flow : test.flows) lines.push_back(beside(flow, computed));
  }
  return lines;
}

}  // namespace railseep

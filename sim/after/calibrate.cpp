#include "after/calibrate.hpp"

#include <cmath>

#include "match/candidate_fit.hpp"
#include "match/goodness_of_fit.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr double ninety = 1.645;  // standard deviations to either end of the middle 90 %

std::string told_by(const std::vector<CrankEvidence>& logs, const CalibratedNumber& number) {
  std::string text = "calibrated from " + std::to_string(logs.size()) +
                     (logs.size() == 1 ? " log of a good engine (" : " logs of a good engine (");
  for (std::size_t i = 0; i < logs.size(); ++i) text += (i > 0 ? ", " : "") + logs[i].name;
  const double ratio = number.after / number.before;
  char change[60];
  std::snprintf(change, sizeof change, "); %.3f times the value before", ratio);
  return text + change;
}

}  // namespace

FaultFit fit_sound_engine(const Circuit& circuit, const std::vector<CrankEvidence>& logs) {
  const Evidence evidence{logs, {}};
  CandidateFit healthy(circuit, evidence, Candidate{{}, 1});
  healthy.scan_severities();
  healthy.search_widened();
  healthy.search();
  FaultFit fit = healthy.finish();
  if (!fit.trouble.empty()) throw Error(circuit.name, fit.trouble, "check the circuit and the conditions of the logs");
  return fit;
}

Calibration calibrate(const Circuit& circuit, const std::vector<CrankEvidence>& good) {
  if (good.empty())
    throw Error("calibration", "there is no log", "give at least one of an engine that is known to be good");
  const FaultFit fit = fit_sound_engine(circuit, good);
  Calibration result{circuit, {}, fit.misfit, fit.reduced_chi_square, !badly_explained(fit, good)};
  for (std::size_t i = 0; i < fit.unknowns.size(); ++i) {
    const Unknown& unknown = fit.unknowns[i];
    const auto at = static_cast<Eigen::Index>(i);
    if (unknown.where != Unknown::Where::circuit_number && unknown.where != Unknown::Where::node_volume) continue;
    const double deviation = std::sqrt(fit.covariance(at, at));
    CalibratedNumber number{unknown.name,
                            unknown.value(0),
                            unknown.value(fit.u[at]),
                            unknown.value(fit.u[at] - ninety * deviation),
                            unknown.value(fit.u[at] + ninety * deviation),
                            unknown.spread,
                            unknown.spread * deviation};
    Provenance* provenance;
    if (unknown.where == Unknown::Where::node_volume) {
      Node& node = result.circuit.nodes[static_cast<std::size_t>(unknown.index)];
      node.volume = number.after;
      provenance = &node.provenance.at("volume");
    } else {
      Link& link = result.circuit.links[static_cast<std::size_t>(unknown.index)];
      set_parameter(link.element, unknown.key, number.after);
      provenance = &link.provenance.at(unknown.key);
    }
    *provenance = {number.spread, told_by(good, number)};
    result.numbers.push_back(std::move(number));
  }
  if (result.numbers.empty())
    throw Error(circuit.name, "no number of this circuit has a spread",
                "give those that are unsure one, such as {\"value\": \"7 cm3/rev\", \"spread\": \"8 %\", \"source\": "
                "\"assumed\"}");
  return result;
}

}  // namespace railseep

#include "cli/match_json.hpp"

namespace railseep {

namespace {

Json fit_json(const FaultFit& fit) {
  Json json{{"fault", fit.candidate.kind ? std::string(fit.candidate.kind->word) : "none"}, {"places", Json::array()}};
  for (const PossibleFault& place : fit.candidate.places) json["places"].push_back(place.place);
  json["probability"] = fit.probability;
  json["prior"] = fit.candidate.prior;
  json["log_evidence"] = fit.log_evidence;
  if (fit.candidate.kind) {
    json["severity_quantity"] = info(fit.candidate.kind->quantity).name;
    json["severity_unit"] = info(fit.candidate.kind->quantity).si_unit;
    json["severity"] = fit.severity;
    json["severity_90_percent"] = {fit.low, fit.high};
  }
  if (fit.flow) json["oil_lost_at_3.5_MPa_m3/s"] = *fit.flow;
  json["misfit_Pa"] = fit.misfit;
  json["converged"] = fit.converged;
  json["unknowns"] = Json::array();
  for (std::size_t i = 0; i < fit.unknowns.size(); ++i)
    json["unknowns"].push_back({{"name", fit.unknowns[i].name}, {"value_SI", fit.unknowns[i].value(fit.u[static_cast<Eigen::Index>(i)])}, {"deviations_from_prior", fit.u[static_cast<Eigen::Index>(i)]}});
  return json;
}

Json balance_json(const OilBalance& oil) {
  Json json{{"pump_displaces_m3/s", oil.displaced}, {"pump_slip_m3/s", oil.slip}, {"stored_m3/s", oil.stored}, {"uses_m3/s", Json::object()}};
  for (const OilBalance::Share& use : oil.uses) json["uses_m3/s"][use.name] = use.flow;
  return json;
}

}  // namespace

Json match_json(const Job& job, const Circuit& circuit, const MatchResult& result) {
  Json json{{"railseep", "match"}, {"job", job.name}, {"complaint", job.complaint}, {"circuit", circuit.name}};
  json["logs"] = Json::array();
  for (std::size_t i = 0; i < result.logs.size(); ++i) {
    const CrankEvidence& log = result.logs[i];
    json["logs"].push_back({{"name", log.name}, {"oil_temperature_K", log.condition.oil_temperature}, {"notes", log.notes}, {"time_s", log.time}, {"measured_Pa", log.pressure},
                            {"computed_Pa", result.fits.front().computed[i]}, {"oil_balance_of_first_candidate", balance_json(result.balances[i])}});
  }
  json["candidates"] = Json::array();
  for (const FaultFit& fit : result.fits) json["candidates"].push_back(fit_json(fit));
  json["cannot_be_told_apart"] = Json::array();
  for (const LookAlikes& set : result.sets) json["cannot_be_told_apart"].push_back({{"candidates", set.fits}, {"why", set.why}});
  return json;
}

}  // namespace railseep

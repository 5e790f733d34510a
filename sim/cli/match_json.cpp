#include "cli/match_json.hpp"

#include <algorithm>
#include <cmath>

#include "after/shortfalls.hpp"
#include "after/soundness.hpp"
#include "words/answer.hpp"

namespace railseep {

namespace {

Json fit_json(const FaultFit& fit) {
  Json json{{"title", fit.candidate.title()}, {"faults", Json::array()}};
  for (std::size_t i = 0; i < fit.candidate.suspects.size(); ++i) {
    const Suspect& suspect = fit.candidate.suspects[i];
    const Severity& severity = fit.severities[i];
    Json fault{{"kind", std::string(suspect.kind->word)},
               {"places", Json::array()},
               {"severity_quantity", info(suspect.kind->quantity).name},
               {"severity_unit", info(suspect.kind->quantity).si_unit}};
    for (const PossibleFault& place : suspect.places) fault["places"].push_back(place.place);
    fault["severity"] = severity.best;
    fault["severity_90_percent"] = {severity.low, severity.high};
    json["faults"].push_back(std::move(fault));
  }
  json["probability"] = fit.probability;
  json["prior"] = fit.candidate.prior;
  json["log_evidence"] = fit.log_evidence;
  if (fit.flow) json["oil_lost_at_3.5_MPa_m3/s"] = *fit.flow;
  json["misfit_Pa"] = fit.misfit;
  json["converged"] = fit.converged;
  json["fitted_in_full"] = fit.fitted;
  json["unknowns"] = Json::array();
  for (std::size_t i = 0; i < fit.unknowns.size(); ++i)
    json["unknowns"].push_back({{"name", fit.unknowns[i].name},
                                {"value_SI", fit.unknowns[i].value(fit.u[static_cast<Eigen::Index>(i)])},
                                {"deviations_from_prior", fit.u[static_cast<Eigen::Index>(i)]}});
  return json;
}

Json sound_json(const Soundness& sound) {
  return {
      {"pressure_in_time_in_every_log", sound.in_time},           {"fires_in_every_log", sound.fires},
      {"no_fault_matters_probability", sound.no_fault_matters()}, {"nothing_wrong_probability", sound.nothing_wrong},
      {"too_small_to_matter_probability", sound.harmless},        {"said_first", sound.said_first()}};
}

Json balance_json(const OilBalance& oil) {
  Json json{{"pump_displaces_m3/s", oil.displaced},
            {"pump_slip_m3/s", oil.slip},
            {"stored_m3/s", oil.stored},
            {"uses_m3/s", Json::object()}};
  for (const OilBalance::Share& use : oil.uses) json["uses_m3/s"][use.name] = use.flow;
  return json;
}

}  // namespace

Json match_json(const Job& job, const Circuit& circuit, const MatchResult& result, const Observations& observations,
                const std::vector<Telling>& tellings, const ShownUnits& units) {
  const std::vector<Shortfall> missing = shortfalls(circuit, result, observations);
  Json json{{"railseep", "match"},
            {"version", match_json_version},
            {"job", job.name},
            {"complaint", job.complaint},
            {"circuit", circuit.name}};
  json["logs"] = Json::array();
  for (std::size_t i = 0; i < result.logs.size(); ++i) {
    const CrankEvidence& log = result.logs[i];
    json["logs"].push_back({{"name", log.name},
                            {"stage", word(log.stage)},
                            {"oil_temperature_K", log.condition.oil_temperature},
                            {"oil_temperature_doubt_K", log.temperature_doubt},
                            {"duty_measured", log.duty.has_value()},
                            {"plugged", log.block},
                            {"fires_s", log.fires ? Json(*log.fires) : Json()},
                            {"notes", log.notes},
                            {"time_s", log.time},
                            {"measured_Pa", log.measured},
                            {"computed_Pa", result.fits.front().computed[i]},
                            {"oil_balance_of_first_candidate", balance_json(result.balances[i])}});
  }
  json["candidates"] = Json::array();
  for (const FaultFit& fit : result.fits) {
    json["candidates"].push_back(fit_json(fit));
    json["candidates"].back()["too_small_to_matter"] = leaves_pressure_in_time(circuit, result, fit);
  }
  json["in_short"] = in_short(circuit, result, observations, units);
  json["how_sure"] = how_sure(circuit, result, observations);
  json["observation_notes"] = observations.notes;
  json["two_faults"] = {{"all_tried", result.pairs_tried},
                        {"hole_and_film_tried", result.pairs_screened},
                        {"gain_ln_evidence", std::isfinite(result.pair_gain) ? Json(result.pair_gain) : Json()},
                        {"words", second_fault_words(result)}};
  json["missing"] = Json::array();
  for (const Shortfall& one : missing)
    json["missing"].push_back({{"missing", one.missing}, {"cost", one.cost}, {"mend", one.mend}, {"grave", one.grave}});
  json["enough_evidence"] = std::ranges::none_of(missing, &Shortfall::grave);
  json["not_computed"] = result.troubles;
  json["oil_side"] = sound_json(soundness(circuit, result));
  json["fit"] = {{"mean_square", result.mean_square},
                 {"badly_explained", result.badly_explained},
                 {"explains_nothing", result.unexplained}};
  json["cannot_be_told_apart"] = Json::array();
  for (std::size_t i = 0; i < result.sets.size(); ++i) {
    Json set{{"candidates", result.sets[i].fits},
             {"why", result.sets[i].why},
             {"what_would_tell", tellings[i].words},
             {"unknown_bits", tellings[i].unknown_bits}};
    if (tellings[i].check)
      set["check"] = {{"id", tellings[i].check->id}, {"time_s", tellings[i].check->time}, {"bits", tellings[i].bits}};
    json["cannot_be_told_apart"].push_back(std::move(set));
  }
  return json;
}

}  // namespace railseep

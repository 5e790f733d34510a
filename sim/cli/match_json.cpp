#include "cli/match_json.hpp"

#include <cmath>

#include "after/shortfalls.hpp"
#include "after/soundness.hpp"
#include "cli/crank_summary.hpp"
#include "words/answer.hpp"
#include "words/what_speaks.hpp"

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

Json speaks_json(const WhatSpeaks& speaks) {
  Json json{{"first_against_candidate", speaks.against},
            {"ln_evidence_of_logs", speaks.logs},
            {"ln_evidence_of_logs_without_three_samples", speaks.without_three},
            {"hangs_on_few_samples", speaks.few},
            {"ln_evidence_beside_logs", speaks.beside},
            {"samples", Json::array()}};
  for (const SampleInfluence& one : speaks.samples)
    json["samples"].push_back({{"log", one.log}, {"sample", one.sample}, {"ln_evidence", one.weight}});
  return json;
}

}  // namespace

Json match_json(const Answer& answer) {
  const MatchResult& result = answer.matched.result;
  const std::vector<Telling>& tellings = answer.decision.tellings;
  Json json = answer_json("match", answer);
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
                            {"oil_balance_of_first_candidate", oil_balance_json(result.balances[i])}});
  }
  json["candidates"] = Json::array();
  for (const FaultFit& fit : result.fits) {
    json["candidates"].push_back(fit_json(fit));
    json["candidates"].back()["too_small_to_matter"] = leaves_pressure_in_time(answer.matched.circuit, result, fit);
  }
  json["two_faults"] = {{"hole_and_film_tried", result.pairs_screened},
                        {"at_odds", result.at_odds},
                        {"gain_ln_evidence", std::isfinite(result.pair_gain) ? Json(result.pair_gain) : Json()},
                        {"words", second_fault_words(result)}};
  json["oil_side"] = sound_json(soundness(answer.matched.circuit, result));
  json["fit"] = {{"mean_square", result.mean_square}, {"explains_nothing", result.unexplained}};
  json["what_the_answer_rests_on"] = Json::array();
  for (const WhatSpeaks& speaks : what_speaks(result)) json["what_the_answer_rests_on"].push_back(speaks_json(speaks));
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

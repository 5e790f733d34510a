#include "cli/answer_json.hpp"

#include <algorithm>

#include "after/shortfalls.hpp"
#include "study/study_figures.hpp"
#include "words/answer.hpp"
#include "words/caution_words.hpp"

namespace railseep {

namespace {

Json evidence_json(const Answer& answer) {
  const Observations& seen = answer.matched.evidence.observations;
  return {{"logs_used", logs_used(answer.matched.circuit, answer.matched.evidence, {})},
          {"readings", seen.readings.size()},
          {"starts", seen.starts.size()},
          {"looks", seen.checks.size()},
          {"air_tests", seen.air.size()},
          {"told_and_not_used", seen.notes},
          {"checks_done", answer.done}};
}

Json shortfalls_json(const Answer& answer) {
  Json json = Json::array();
  for (const Shortfall& one :
       shortfalls(answer.matched.circuit, answer.matched.result, answer.matched.evidence.observations))
    json.push_back({{"missing", one.missing}, {"costs", one.cost}, {"mend", one.mend}, {"grave", one.grave}});
  return json;
}

Json where_json(const Belief& belief) {
  Json json = Json::array();
  for (const Whereabouts& one : whereabouts(belief))
    json.push_back(
        {{"behind", one.behind}, {"what", one.what}, {"probability", one.probability}, {"labour_s", one.labour}});
  return json;
}

Json step_json(const NextStep& step) {
  std::vector<std::string> procedures = step.cautions;
  if (procedures.empty()) procedures.emplace_back("opening");
  Json json{{"title", step.title}, {"how", step.how},           {"why", step.why},
            {"tools", step.tools}, {"outcomes", Json::array()}, {"cautions", caution_lines(procedures)}};
  for (const StepOutcome& outcome : step.outcomes)
    json["outcomes"].push_back(
        {{"seen", outcome.seen}, {"probability", outcome.probability}, {"says", outcome.says}, {"then", outcome.then}});
  return json;
}

}  // namespace

Json answer_json(const char* kind, const Answer& answer) {
  const JobMatch& matched = answer.matched;
  const Observations& seen = matched.evidence.observations;
  Json json = result_head(kind);
  json["job"] = matched.job.name;
  json["complaint"] = matched.job.complaint;
  json["circuit"] = matched.circuit.name;
  json["evidence"] = evidence_json(answer);
  json["in_short"] = in_short(matched.circuit, matched.result, seen, {});
  json["where"] = where_json(answer.decision.belief);
  json["next_step"] = step_json(next_step(answer.decision));
  json["how_sure"] = how_sure(matched.circuit, matched.result, seen);
  json["study"] = trust(published_study(), matched.circuit);
  json["shortfalls"] = shortfalls_json(answer);
  json["enough_to_act"] = verdict_of(answer) != Answered::open;
  json["pairs_tried"] = matched.result.pairs_tried;
  json["badly_explained"] = matched.result.badly_explained;
  json["not_computed"] = matched.result.troubles;
  return json;
}

Answered verdict_of(const Answer& answer) {
  const JobMatch& matched = answer.matched;
  const std::vector<Shortfall> all = shortfalls(matched.circuit, matched.result, matched.evidence.observations);
  if (std::ranges::any_of(all, &Shortfall::grave)) return Answered::open;
  return matched.result.fits.front().candidate.healthy() ? Answered::no : Answered::yes;
}

}  // namespace railseep

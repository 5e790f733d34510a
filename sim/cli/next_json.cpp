#include "cli/next_json.hpp"

#include "procedure/cautions.hpp"

namespace railseep {

namespace {

/// A sum of probabilities without what rounding adds beyond 1.
double whole_share(double p) { return p > 1 && p < 1 + 1e-9 ? 1 : p; }

Json cost_json(const Cost& cost) { return {{"money", cost.money}, {"time_s", cost.time}}; }

Json plan_json(const Decision& decision, const OpeningPlan& plan) {
  Json json{{"expected", cost_json(plan.expected)},
            {"comeback", whole_share(plan.comeback)},
            {"not_found", whole_share(plan.unfound)},
            {"steps", Json::array()}};
  for (const OpeningStep& step : plan.steps) {
    const WorkGroup& group = decision.belief.groups[step.group];
    Json one{{"group", group.name},
             {"opened", group.opened},
             {"renewed_on_suspicion", step.part},
             {"cost", cost_json(step.cost)},
             {"reached", whole_share(step.reached)},
             {"ends_here", whole_share(step.found)},
             {"looks_for", Json::array()},
             {"renew_together", group.together},
             {"together_cost", cost_json(group.together_cost)},
             {"together_saves_money", group.together_saves},
             {"comeback_of_seals_left_alone", group.comeback}};
    for (const auto& [title, probability] : step.looks_for)
      one["looks_for"].push_back({{"fault", title}, {"probability", whole_share(probability)}});
    json["steps"].push_back(std::move(one));
  }
  return json;
}

Json behind_json(const std::vector<Covered>& covers) {
  Json json = Json::array();
  for (const Covered& one : covers) {
    json.push_back({{"cover", one.name}, {"probability", whole_share(one.probability)}, {"kinds", Json::array()}});
    for (const auto& [kind, probability] : one.kinds)
      json.back()["kinds"].push_back({{"kind", kind}, {"probability", probability}});
  }
  return json;
}

Json check_json(const RankedCheck& ranked) {
  Json json{{"id", ranked.check.id},
            {"name", ranked.check.name},
            {"how", ranked.check.how},
            {"cost", cost_json(ranked.cost)},
            {"risk", ranked.check.risk},
            {"tools", ranked.check.tools},
            {"information_bits", ranked.bits},
            {"share_of_what_is_not_known", ranked.share},
            {"tells", ranked.tells},
            {"bits_per_hour", ranked.bits_per_hour},
            {"bits_per_money", ranked.bits_per_money},
            {"pays", ranked.pays},
            {"expected_then_open", cost_json(ranked.alone)},
            {"expected_with_it_and_one_more", cost_json(ranked.expected)},
            {"expected_without_it", cost_json(ranked.without)},
            {"cautions", Json::array()},
            {"outcomes", Json::array()},
            {"assumed", ranked.notes}};
  for (const std::string& procedure : ranked.check.cautions)
    for (const Caution& caution : cautions())
      if (caution.when == procedure) json["cautions"].push_back(caution.text);
  for (const OutcomeMeaning& meaning : ranked.outcomes)
    json["outcomes"].push_back({{"outcome", meaning.outcome},
                                {"probability", whole_share(meaning.probability)},
                                {"says", meaning.says},
                                {"then", meaning.then},
                                {"hypotheses", meaning.hypotheses}});
  return json;
}

}  // namespace

Json next_json(const Answer& answer) {
  const Decision& decision = answer.decision;
  Json json = answer_json("next", answer);
  json["currency"] = decision.costs.currency;
  json["seen"] = decision.seen ? Json{{"look", decision.seen->look.check},
                                      {"place", decision.seen->look.place},
                                      {"probability", decision.seen->probability}}
                               : Json();
  json["check_first"] = decision.check_first;
  json["not_known_bits"] = decision.unknown_bits;
  json["behind"] = behind_json(decision.covers);
  json["covered_probability"] = whole_share(decision.belief.covered);
  json["hypotheses"] = Json::array();
  for (const Hypothesis& h : decision.belief.hypotheses) {
    Json one{{"title", h.title()},
             {"probability", whole_share(h.probability)},
             {"too_small_to_matter", h.harmless},
             {"groups", Json::array()}};
    for (const int g : h.groups) one["groups"].push_back(decision.belief.groups[static_cast<std::size_t>(g)].name);
    json["hypotheses"].push_back(std::move(one));
  }
  json["checks"] = Json::array();
  for (const RankedCheck& check : decision.checks) json["checks"].push_back(check_json(check));
  json["open"] = plan_json(decision, decision.plan);
  json["open_dearest_part_first"] = plan_json(decision, decision.dearest_first);
  json["open_by_probability_over_cost"] = plan_json(decision, decision.by_ratio);
  json["saved"] = cost_json(decision.saved);
  json["assumed"] = decision.assumed;
  return json;
}

}  // namespace railseep

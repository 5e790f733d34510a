#include <limits>

#include "training/session_rules.hpp"
#include "training/suspicion.hpp"

// Checks: whether they may be done so, what they show, and what that rules out.

namespace railseep {

namespace {

constexpr double usual_pulse = 5;                            // [s], assumed
constexpr double most_air = 120 * 6894.757293168;            // caution "regulated air", gauge [Pa]
constexpr double rounding = 1e-3;                            // of 120 psi told in another unit: 8.274 bar
constexpr double check_cranks = 12;                          // seconds of cranking in a check, tries and all, assumed
constexpr double clear_fall = 1.0 / 3, worth_naming = 0.03;  // of a suspicion that is ruled out [-], assumed

/// " at 150 psi" or " for 20 s" behind a check.
std::optional<double> behind(std::string& what, const std::string& word, Quantity quantity) {
  const std::size_t at = what.rfind(word);  // "air at the pump at 100 psi"
  if (at == std::string::npos || what.find_first_of("0123456789", at) != at + word.size()) return std::nullopt;
  std::size_t end = what.find(word == " at " ? " for " : " at ", at + 1);
  const std::string text = what.substr(at + word.size(), end == std::string::npos ? end : end - at - word.size());
  const double value = parse_quantity(text, quantity);
  what.erase(at, end == std::string::npos ? end : end - at);
  return value;
}

}  // namespace

void Session::check(Step& step) {
  std::string what = step.move.what;
  const std::optional<double> pressure = behind(what, " at ", Quantity::pressure),
                              pulse = behind(what, " for ", Quantity::time);
  const std::string id = meant_name(what, checks(), "check");
  const Forecast& forecast = *table_.find(id);
  const Check& check = forecast.check;
  step.check = id;
  const bool cranks = among(check.cautions, "crank"), opens = among(check.cautions, "opening"),
             air = among(check.cautions, "air test"), coil = among(check.cautions, "coil");
  need_closed("that check");
  if (air && pressure.value_or(0) > (1 + rounding) * most_air)
    return stop_for_danger("Shop air at " + pressure_words(table_, *pressure) + " was put into the rail.",
                           "Above 120 psi a plug or fitting can be thrown out; the air in a rail holds as much as a "
                           "hammer blow.");
  if (coil && pulse.value_or(usual_pulse) > shop_rule::longest_pulse)
    return stop_for_danger("The regulator's coil was energised for " + whole_number(*pulse) + " s.",
                           "It burns after ten seconds: a good regulator is spoilt, and the wire smokes.");
  if (opens && bay_.state().pressure)
    return stop_for_danger("The oil side was opened while it stood under pressure.", injection_wound);
  if (cranks && bay_.state().starter_heat > shop_rule::longest_crank)
    throw Refused{"The starter is hot: let it cool (wait 2)."};

  // What needs hot oil includes warming it up where its minutes say so; else it must be hot.
  const bool warms = among(check.cautions, "hot oil") && cranks, hot = bay_.state().oil_temperature >= hot_from;
  if (cranks && !hot && !warms)
    throw Refused{"That is done hot, and the oil is at " + temperature_words(table_, bay_.state().oil_temperature) +
                  ": warm it first (warm), or do the hot crank."};
  std::string not_evidence;
  if (cranks && bay_.speed_share() < slow_cranking)
    not_evidence = "the batteries are weak, so the pump turned slowly; charge, then do it again";
  if (cranks && bay_.state().air_left > shop_rule::air_that_matters)
    not_evidence = "air from the last opening was still in it; crank it out first";
  step.redundant = done_.contains(id) || adviser_.expected_bits(id) < shop_rule::little_bits;
  if (warms) bay_.warm(hot_oil);
  const CheckShown shown = bay_.check(forecast, static_cast<int>(steps_.size()));
  pay(step, check.time, check.money);
  if (warms) bay_.warm(hot_oil);
  if (cranks) bay_.crank(check_cranks, static_cast<int>(steps_.size()));
  if (opens) bay_.release();
  judge_check(step, forecast, shown, not_evidence);
}

void Session::judge_check(Step& step, const Forecast& forecast, const CheckShown& shown,
                          const std::string& not_evidence) {
  step.column = shown.column, step.value = shown.value;
  std::string line = forecast.outcomes[shown.column] + forecast.ending;
  if (shown.column + 1 == forecast.outcomes.size() && !forecast.ending.empty())
    line = forecast.outcomes[shown.column] + forecast.ending;
  if (shown.value && forecast.ranges)
    line = forecast.ranges->before +
           format_quantity(*shown.value, forecast.ranges->quantity, forecast.ranges->unit, 3) + forecast.ranges->after;
  if (!std::isnan(shown.speed))
    line += "; cranked at " + format_quantity(shown.speed * table_.healthy_speed, Quantity::speed, "rpm", 3);
  step.told.push_back(forecast.check.name + ": " + line + ".");
  step.as_expected = as_expected(step.move.expect, forecast, shown.column, shown.value);
  if (!not_evidence.empty()) {
    step.invalid = true, step.evidence = not_evidence, step.wasted = step.cost.money;
    step.told.push_back("It says nothing: " + not_evidence + ".");
    return;
  }
  if (step.redundant) step.wasted = step.cost.money;
  if (done_.contains(forecast.check.id)) {
    step.evidence = "it was done before, and the engine is the same";
    return;
  }
  const auto before = adviser_.suspicions();
  step.ruled_out = rules_out(before, forecast, shown.column);
  adviser_.outcome(forecast.check.id, shown.column, shown.speed);
  done_.insert(forecast.check.id);
  if (forecast.check.id == "hot crank") done_.insert("read again");
}

std::string Session::rules_out(const std::vector<std::pair<std::string, double>>& before, const Forecast& forecast,
                               std::size_t column) const {
  Adviser after = adviser_;
  after.outcome(forecast.check.id, column, std::numeric_limits<double>::quiet_NaN());
  const auto now = after.suspicions();
  const std::vector<double> hypotheses = adviser_.hypotheses();
  std::string text;
  for (const auto& [suspicion, was] : before) {
    const double is = std::ranges::find(now, suspicion, &std::pair<std::string, double>::first)->second;
    if (was < worth_naming || is > clear_fall * was) continue;
    // What it would have shown instead, by the likeliest of its hypotheses.
    std::size_t most = 0;
    double share = -1;
    for (std::size_t h = 0; h < hypotheses.size(); ++h)
      if (hypotheses[h] > share && suspicion_of(table_.belief, table_.belief.hypotheses[h]) == suspicion)
        most = h, share = hypotheses[h];
    const std::vector<double> p = adviser_.outcomes_if(most, forecast);
    const auto expected = static_cast<std::size_t>(std::ranges::max_element(p) - p.begin());
    text += (text.empty() ? "It speaks against " : "; against ") + suspicion + " (" + share_words(was) + " before, " +
            share_words(is) + " now)";
    if (expected != column)
      text += ", for then one would expect: " + forecast.outcomes[expected] +
              (expected + 1 < forecast.outcomes.size() ? forecast.ending : "");
  }
  return text.empty() ? "It rules nothing out." : text + ".";
}

}  // namespace railseep

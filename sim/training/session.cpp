#include "training/session.hpp"

#include <algorithm>
#include <cmath>

#include "procedure/cautions.hpp"
#include "quantity/error.hpp"
#include "training/suspicion.hpp"

namespace railseep {

namespace {

// Minutes of a shop that no catalogue gives: all assumed.
constexpr double minute = 60, asking = 10 * minute, asking_again = 2 * minute, releasing = 5 * minute,
                 cranking = 1 * minute, warming = 50 * minute, closing = 15 * minute;
constexpr double longest_crank = 30, longest_pulse = 10;     // cautions "starter" and "coil time" [s]
constexpr double usual_pulse = 5;                            // [s]
constexpr double most_air = 120 * 6894.757293168;            // caution "regulated air", gauge [Pa]
constexpr double check_cranks = 12;                          // seconds of cranking in a check, tries and all
constexpr double air_that_matters = 0.03;                    // share of the volume
constexpr double torn_seal = 0.15;                           // chance, where a sound part is disturbed
constexpr double torn_size = 4e-4;                           // hole it leaves [m]
constexpr double clear_fall = 1.0 / 3, worth_naming = 0.03;  // of a suspicion that is ruled out [-]
constexpr double little_bits = 0.02, unlikely = 0.03;        // what makes a check redundant, a step illogical

std::string number(double value) { return std::to_string(static_cast<long long>(std::llround(value))); }
std::string percent_of(double share) { return share < 0.005 ? "under 1 %" : number(100 * share) + " %"; }
std::string psi(double p) { return format_quantity(p, Quantity::pressure, "psi", 3); }
std::string degrees(double t) { return format_quantity(t, Quantity::temperature, "degC", 2); }

bool has(const std::vector<std::string>& words, std::string_view word) { return std::ranges::count(words, word) > 0; }

/// The name that was meant: whole, or the only one that begins with it or holds it.
std::string pick(const std::string& meant, const std::vector<std::string>& names, const std::string& what) {
  if (has(names, meant)) return meant;
  for (const bool begins : {true, false}) {
    std::vector<std::string> found;
    for (const std::string& name : names)
      if (!meant.empty() && (begins ? name.starts_with(meant) : name.find(meant) != std::string::npos))
        found.push_back(name);
    if (found.size() == 1) return found.front();
  }
  const std::string near = nearest_word(meant, names);
  std::string listed;
  for (const std::string& name : names) listed += (listed.empty() ? "\"" : ", \"") + name + "\"";
  throw Error("move", "there is no " + what + " \"" + meant.substr(0, 60) + "\", or more than one",
              near.empty() ? "write one of " + listed : "did you mean \"" + near + "\"");
}

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

std::vector<std::string> of(const Exercise& exercise, const FaultTable& table) {
  std::vector<std::string> ids;
  for (const Forecast& forecast : table.forecasts)
    if (!has(exercise.withheld, forecast.check.id)) ids.push_back(forecast.check.id);
  return ids;
}

bool no_oil_fault(const Exercise& exercise) { return exercise.hidden.faults.empty(); }

}  // namespace

/// A move that cannot be done so: it is kept, costs nothing and counts as out of bounds.
struct Session::Refused {
  std::string why;
};

Session::Session(const FaultTable& table, Exercise exercise)
    : table_(table),
      exercise_(std::move(exercise)),
      parts_(parts_of(table.circuit, table.belief, table.costs)),
      bay_(table, hidden_faults(exercise_, table.circuit), no_oil_fault(exercise_), exercise_.seed,
           {exercise_.oil_temperature, exercise_.battery, 0, 0, false}),
      adviser_(table),
      first_faults_(bay_.faults()) {
  for (const std::string& id : exercise_.withheld) {
    std::vector<std::string> known;
    for (const Forecast& forecast : table.forecasts) known.push_back(forecast.check.id);
    if (!has(known, id))
      throw Error(exercise_.name + ", withheld", "this engine has no check \"" + id + "\"",
                  "did you mean \"" + nearest_word(id, known) + "\"");
  }
  adviser_.told(exercise_.starts);
}

std::vector<std::string> Session::checks() const { return of(exercise_, table_); }

std::set<std::string> Session::not_offered() const {
  std::set<std::string> all(exercise_.withheld.begin(), exercise_.withheld.end());
  all.insert(done_.begin(), done_.end());
  return all;
}

void Session::pay(Step& step, double seconds, double money) {
  step.cost += table_.costs.work(seconds, money);
  bay_.pass(seconds);
}

void Session::end(Ending ending, const std::string& why) { ending_ = ending, why_over_ = why; }

void Session::stop_for_danger(const std::string& what, const std::string& could) {
  end(Ending::danger, what + " " + could);
}

void Session::need_closed(const std::string& what) const {
  for (const std::string& group : open_)
    for (const WorkGroup& known : table_.belief.groups)
      if (known.name == group && known.opened)
        throw Refused{"The " + group + " is open: close it before " + what + "."};
}

void Session::engine_changed() {
  done_.clear();
  adviser_.changed(exercise_.starts, renewed_);
}

const Step& Session::play(const Move& move) {
  if (over()) throw Error("session", "it is over: " + std::string(word(ending_)), "see its debrief, or start anew");
  Step step;
  step.move = move;
  for (const MoveWord& known : move_words())
    if (known.word == move.verb) step.paid = known.paid;
  if (!move.suspect.empty()) try {
      step.move.suspect = pick(move.suspect, suspicions(table_.belief), "suspicion");
    } catch (const Error& error) {
      step.told.push_back(error.what());
      step.move.suspect.clear();
    }
  try {
    if (move.verb == "ask")
      ask(step);
    else if (move.verb == "check")
      check(step);
    else if (move.verb == "crank")
      crank(step);
    else if (move.verb == "open")
      look(step);
    else if (move.verb == "renew")
      renew(step);
    else if (move.verb == "prove")
      prove(step);
    else if (move.verb == "elsewhere")
      elsewhere(step);
    else if (move.verb == "hint")
      hint(step);
    else
      simple(step);
  } catch (const Refused& refused) {
    step.refused = true;
    step.told.push_back(refused.why);
  } catch (const Error& error) {  // what was typed names nothing, or cannot be computed
    step.refused = true;
    step.told.push_back(error.what());
  }
  clock_ += step.cost.time, spent_ += step.cost.money;
  step.clock = clock_;
  step.belief = adviser_.suspicions();
  if (!over() && (clock_ > exercise_.clock || spent_ > exercise_.money))
    end(Ending::shop_closed, clock_ > exercise_.clock ? "The time in the shop is used up."
                                                      : "The customer pays no more: the money is used up.");
  steps_.push_back(std::move(step));
  return steps_.back();
}

void Session::ask(Step& step) {
  pay(step, asked_ == 0 ? asking : asking_again);
  if (asked_ == 0)
    step.told = exercise_.history;
  else
    step.told = {"He has nothing to add."};
  if (asked_++ > 0) step.redundant = true;
  if (step.told.empty()) step.told = {"He knows no more than he said."};
}

void Session::simple(Step& step) {
  const std::string& verb = step.move.verb;
  if (verb == "warm") {
    need_closed("the engine is warmed");
    pay(step, warming);
    bay_.warm(hot_oil);
    step.told = {"The oil is at " + degrees(hot_oil) + "."};
  } else if (verb == "wait") {
    const double time = parse_quantity(
        step.move.what.find_first_not_of("0123456789.") == std::string::npos ? step.move.what + " min" : step.move.what,
        Quantity::time);
    if (!(time > 0 && time <= 86400)) throw Refused{"Wait between 1 min and 24 h."};
    step.cost.time += time;  // nobody is paid for waiting, but the shop closes
    bay_.pass(time);
    step.told = {"The oil is at " + degrees(bay_.state().oil_temperature) + " now."};
  } else if (verb == "charge") {
    double time = 90 * minute;
    for (const Forecast& forecast : table_.forecasts)
      if (forecast.check.id == "charged batteries") time = forecast.check.time;
    if (bay_.state().battery > 0.99) step.redundant = true;
    pay(step, time);
    bay_.charge();
    step.told = {"The batteries rest above 12.5 V."};
  } else if (verb == "release") {
    pay(step, releasing);
    bay_.release();
    step.told = {"Key off, five minutes, the sensor is at its rest volts: no pressure left."};
  } else if (verb == "close") {
    bool any = false;
    for (const WorkGroup& group : table_.belief.groups) any |= group.opened && open_.contains(group.name);
    if (!any) throw Refused{"Nothing is open."};
    pay(step, closing);
    open_.clear(), seen_.clear();
    step.told = {"All covers are on and tight."};
  } else if (verb == "spray") {
    stop_for_danger("Starting spray was used on an engine with glow plugs or a grid heater.",
                    "It can explode in the intake and burn who holds the can, or break rings and pistons.");
  } else {
    end(Ending::given_up, "The learner gave up.");
  }
}

void Session::crank(Step& step) {
  const std::string& what = step.move.what;
  const double seconds =
      what.empty() ? 8
                   : parse_quantity(what.find_first_not_of("0123456789.") == std::string::npos ? what + " s" : what,
                                    Quantity::time);
  if (!(seconds >= 1)) throw Refused{"Crank for at least 1 s."};
  need_closed("the engine is cranked");
  if (seconds > longest_crank)
    return stop_for_danger("The starter was held for " + number(seconds) + " s without a rest.",
                           "It burns out, its cables with it; 30 s at most, then two minutes to cool.");
  if (bay_.state().starter_heat + seconds > longest_crank + 1)
    throw Refused{"The starter is hot from " + number(bay_.state().starter_heat) +
                  " s of cranking: let it cool for two minutes (wait 2)."};
  const double temperature = bay_.state().oil_temperature, air = bay_.state().air_left;
  const CrankShown shown = bay_.crank(seconds, static_cast<int>(steps_.size()));
  pay(step, cranking);
  step.value = shown.plateau;
  step.told.push_back(
      "Oil at " + degrees(temperature) + ": it turns at " + format_quantity(shown.speed, Quantity::speed, "rpm", 3) +
      " on " + format_quantity(shown.battery, Quantity::voltage, "V", 3) + ". Pressure peaks at " + psi(shown.peak) +
      " and levels off at " + psi(shown.plateau) + ", duty " + percent_of(shown.duty) + ".");
  step.told.push_back(shown.started ? "It starts and runs." : "It does not start.");
  if (!step.move.expect.empty()) {
    const Forecast* hot = table_.find("hot crank");
    if (step.move.expect.find("start") != std::string::npos)
      step.as_expected = (step.move.expect.find("no") == std::string::npos) == shown.started;
    else if (hot)
      step.as_expected = as_expected(step.move.expect, *hot, 0, shown.plateau);
  }
  if (air > air_that_matters) step.told.push_back("Air is still in the passages; each crank takes some of it out.");
  step.evidence = "A crank by itself is for looking at; the check \"hot crank\" is the one the program weighs.";
}

void Session::check(Step& step) {
  std::string what = step.move.what;
  const std::optional<double> pressure = behind(what, " at ", Quantity::pressure),
                              pulse = behind(what, " for ", Quantity::time);
  const std::string id = pick(what, checks(), "check");
  const Forecast& forecast = *table_.find(id);
  const Check& check = forecast.check;
  step.check = id;
  const bool cranks = has(check.cautions, "crank"), opens = has(check.cautions, "opening"),
             air = has(check.cautions, "air test"), coil = has(check.cautions, "coil");
  need_closed("that check");
  if (air && pressure.value_or(0) > most_air)
    return stop_for_danger("Shop air at " + psi(*pressure) + " was put into the rail.",
                           "Above 120 psi a plug or fitting can be thrown out; the air in a rail holds as much as a "
                           "hammer blow.");
  if (coil && pulse.value_or(usual_pulse) > longest_pulse)
    return stop_for_danger("The regulator's coil was energised for " + number(*pulse) + " s.",
                           "It burns after ten seconds: a good regulator is spoilt, and the wire smokes.");
  if (opens && bay_.state().pressure)
    return stop_for_danger("The oil side was opened while it stood under pressure.",
                           "A jet of oil goes through the skin, hardly felt at first; such a wound costs fingers. Key "
                           "off, wait, confirm rest volts (release).");
  if (cranks && bay_.state().starter_heat > longest_crank) throw Refused{"The starter is hot: let it cool (wait 2)."};

  // What needs hot oil includes warming it up where its minutes say so; else it must be hot.
  const bool warms = has(check.cautions, "hot oil") && cranks, hot = bay_.state().oil_temperature >= hot_from;
  if (cranks && !hot && !warms)
    throw Refused{"That is done hot, and the oil is at " + degrees(bay_.state().oil_temperature) +
                  ": warm it first (warm), or do the hot crank."};
  std::string not_evidence;
  if (cranks && bay_.speed_share() < slow_cranking)
    not_evidence = "the batteries are weak, so the pump turned slowly; charge, then do it again";
  if (cranks && bay_.state().air_left > air_that_matters)
    not_evidence = "air from the last opening was still in it; crank it out first";
  step.redundant = done_.contains(id) || adviser_.expected_bits(id) < little_bits;
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
    text += (text.empty() ? "It speaks against " : "; against ") + suspicion + " (" + percent_of(was) + " before, " +
            percent_of(is) + " now)";
    if (expected != column)
      text += ", for then one would expect: " + forecast.outcomes[expected] +
              (expected + 1 < forecast.outcomes.size() ? forecast.ending : "");
  }
  return text.empty() ? "It rules nothing out." : text + ".";
}

void Session::look(Step& step) {
  std::vector<std::string> names;
  for (const WorkGroup& group : table_.belief.groups) names.push_back(group.name);
  const std::string name = pick(step.move.what, names, "cover or work");
  const WorkGroup& group = *std::ranges::find(table_.belief.groups, name, &WorkGroup::name);
  const bool again = open_.contains(name);  // a second look at what is open
  if (!again && group.opened && bay_.state().pressure)
    return stop_for_danger("The " + name + " was opened while the oil side stood under pressure.",
                           "A jet of oil goes through the skin, hardly felt at first; such a wound costs fingers. Key "
                           "off, wait, confirm rest volts (release).");
  const double p = adviser_.of_group(name);
  if (p < unlikely) step.illogical = "what was measured leaves " + percent_of(p) + " for anything wrong there";
  if (again)
    pay(step, table_.costs.looking_time);
  else
    pay(step, group.cost.time, group.cost.money - table_.costs.of_time(group.cost.time));
  open_.insert(name);
  const std::vector<Fault> seen = bay_.look_behind(name, static_cast<int>(steps_.size()));
  seen_[name] = seen;
  for (const Fault& fault : seen) step.told.push_back("Seen: " + fault.kind + " at " + fault.place + ".");
  if (seen.empty()) {
    step.told.emplace_back("Nothing wrong is to be seen. Wear and slip need not show when a part is opened.");
    step.wasted = step.cost.money;
  }
  if (!step.move.expect.empty()) step.as_expected = (step.move.expect.find("no") == std::string::npos) == !seen.empty();
  adviser_.looked(name, seen);
}

void Session::renew(Step& step) {
  std::vector<std::string> names;
  for (const Part& part : parts_) names.push_back(part.name);
  const std::string name = pick(step.move.what, names, "part");
  const Part& part = *std::ranges::find(parts_, name, &Part::name);
  if (!open_.contains(part.group)) throw Refused{"For the " + name + " open first: " + part.group + "."};
  const auto seen = seen_.find(part.group);
  const bool was_seen = seen != seen_.end() && std::ranges::any_of(seen->second, [&](const Fault& fault) {
                          return fault.place == part.place && has(part.kinds, fault.kind);
                        });
  const double p = adviser_.of_place(part.place);
  if (!was_seen && p < unlikely)
    step.illogical = "nobody saw it bad, and what was measured leaves " + percent_of(p) + " for it";
  pay(step, part.cost.time, part.cost.money - table_.costs.of_time(part.cost.time));
  const std::size_t before = bay_.faults().size();
  bay_.cure(part.place, part.kinds);
  renewed_.insert(part.place);
  step.told.push_back(name + " is renewed.");
  for (const WorkGroup& group : table_.belief.groups)
    if (group.name == part.group && group.opened) bay_.let_air_in();
  const bool was_bad = bay_.faults().size() < before;
  if (!was_bad) {
    step.wrong_part = true, step.wasted = step.cost.money;
    // A sound seal that is disturbed may be torn on the way back.
    for (const Site& site : table_.circuit.sites)
      if (site.access == part.group && !site.leaks.empty() && site.leaks.front().kind == LeakClass::hole &&
          bay_.mishap(torn_seal, static_cast<int>(steps_.size()))) {
        bay_.add({site.name, "hole", torn_size});
        break;
      }
  }
  if (!step.move.expect.empty()) step.as_expected = (step.move.expect.find("no") == std::string::npos) == was_bad;
  engine_changed();
}

void Session::prove(Step& step) {
  need_closed("the repair is proved");
  pay(step, table_.costs.proving_time, table_.costs.proving_money);
  bay_.charge(), bay_.warm(hot_oil);
  for (int i = 0; i < 3; ++i) bay_.crank(5, 1000 + static_cast<int>(steps_.size()));
  const bool hot = bay_.starts(hot_oil), cold = bay_.starts(cold_oil);
  step.told.push_back(std::string("Hot it ") + (hot ? "starts three times out of three" : "does not start") +
                      ", cold it " + (cold ? "starts." : "does not start."));
  if (!step.move.expect.empty()) step.as_expected = (step.move.expect.find("no") == std::string::npos) == (hot && cold);
  if (hot && cold) {
    end(Ending::solved, "The repair is proved, hot and cold.");
    return;
  }
  step.wasted = step.cost.money;
  engine_changed();
}

void Session::elsewhere(Step& step) {
  double p = 0;
  for (const auto& [suspicion, probability] : adviser_.suspicions())
    if (suspicion == not_the_oil_side) p = probability;
  if (p < 0.1) step.illogical = "what was measured leaves " + percent_of(p) + " for a sound oil side";
  pay(step, table_.costs.elsewhere_time, table_.costs.elsewhere_money);
  if (bay_.elsewhere() && bay_.faults().empty()) {
    step.told.push_back("The cause is found in fuel or electrics: the oil side was sound.");
    if (!step.move.expect.empty()) step.as_expected = true;
    end(Ending::solved, "The oil side is sound, and was said to be.");
    return;
  }
  step.cost += table_.costs.work(table_.costs.comeback_time, table_.costs.comeback_money + table_.costs.towing_money);
  step.wasted = step.cost.money;
  step.told.push_back("Nothing is found in fuel or electrics. The engine comes back on a trailer.");
  if (!step.move.expect.empty()) step.as_expected = false;
  end(Ending::comeback, "The fault was on the oil side.");
}

void Session::hint(Step& step) {
  if (hints_ >= exercise_.hints) throw Refused{"There are no more hints in this exercise."};
  ++hints_;
  if (hints_ == 1) {
    step.told.push_back("Look at this function first: " + adviser_.suspicions().front().first + ".");
  } else if (hints_ == 2) {
    step.told.push_back("The program would go on so: " + advice().words + ".");
  } else {
    const std::vector<double> p = adviser_.hypotheses();
    std::vector<std::size_t> order(p.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::ranges::stable_sort(order, [&](std::size_t a, std::size_t b) { return p[a] > p[b]; });
    const std::set<std::string> without = not_offered();
    for (int k = 0; k < 2; ++k) {
      std::string line = table_.belief.hypotheses[order[static_cast<std::size_t>(k)]].title() + " would show:";
      for (const Forecast& forecast : table_.forecasts) {
        if (without.contains(forecast.check.id) || adviser_.expected_bits(forecast.check.id) < 5 * little_bits)
          continue;
        const std::vector<double> outcomes = adviser_.outcomes_if(order[static_cast<std::size_t>(k)], forecast);
        const auto most = static_cast<std::size_t>(std::ranges::max_element(outcomes) - outcomes.begin());
        line += " " + forecast.check.id + ": " + forecast.outcomes[most] + ";";
      }
      step.told.push_back(line);
    }
  }
}

}  // namespace railseep

#include "training/session_rules.hpp"
#include "training/suspicion.hpp"

// What a learner does to the engine, but for checks: each move with its time, its money and what is seen.

namespace railseep {

namespace {

// All assumed.
constexpr double asking = 10 * shop_rule::minute, asking_again = 2 * shop_rule::minute,
                 releasing = 5 * shop_rule::minute, cranking = 1 * shop_rule::minute, warming = 50 * shop_rule::minute,
                 closing = 15 * shop_rule::minute;
constexpr double torn_seal = 0.15;  // chance, where a sound part is disturbed
constexpr double torn_size = 4e-4;  // hole it leaves [m]

}  // namespace

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
    step.told = {"The oil is at " + temperature_words(table_, hot_oil) + "."};
  } else if (verb == "wait") {
    const double time = parse_quantity(
        step.move.what.find_first_not_of("0123456789.") == std::string::npos ? step.move.what + " min" : step.move.what,
        Quantity::time);
    if (!(time > 0 && time <= 86400)) throw Refused{"Wait between 1 min and 24 h."};
    step.cost.time += time;  // nobody is paid for waiting, but the shop closes
    bay_.pass(time);
    step.told = {"The oil is at " + temperature_words(table_, bay_.state().oil_temperature) + " now."};
  } else if (verb == "charge") {
    double time = 90 * shop_rule::minute;
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
  if (seconds > shop_rule::longest_crank)
    return stop_for_danger("The starter was held for " + whole_number(seconds) + " s without a rest.",
                           "It burns out, its cables with it; 30 s at most, then two minutes to cool.");
  if (bay_.state().starter_heat + seconds > shop_rule::longest_crank + 1)
    throw Refused{"The starter is hot from " + whole_number(bay_.state().starter_heat) +
                  " s of cranking: let it cool for two minutes (wait 2)."};
  const double temperature = bay_.state().oil_temperature, air = bay_.state().air_left;
  const CrankShown shown = bay_.crank(seconds, static_cast<int>(steps_.size()));
  pay(step, cranking);
  step.value = shown.plateau;
  step.told.push_back("Oil at " + temperature_words(table_, temperature) + ": it turns at " +
                      format_quantity(shown.speed, Quantity::speed, "rpm", 3) + " on " +
                      format_quantity(shown.battery, Quantity::voltage, "V", 3) + ". Pressure peaks at " +
                      pressure_words(table_, shown.peak) + " and levels off at " +
                      pressure_words(table_, shown.plateau) + ", duty " + share_words(shown.duty) + ".");
  step.told.push_back(shown.started ? "It starts and runs." : "It does not start.");
  if (!step.move.expect.empty()) {
    const Forecast* hot = table_.find("hot crank");
    if (step.move.expect.find("start") != std::string::npos)
      step.as_expected = (step.move.expect.find("no") == std::string::npos) == shown.started;
    else if (hot)
      step.as_expected = as_expected(step.move.expect, *hot, 0, shown.plateau);
  }
  if (air > shop_rule::air_that_matters)
    step.told.push_back("Air is still in the passages; each crank takes some of it out.");
  step.evidence = "A crank by itself is for looking at; the check \"hot crank\" is the one the program weighs.";
}

void Session::look(Step& step) {
  std::vector<std::string> names;
  for (const WorkGroup& group : table_.belief.groups) names.push_back(group.name);
  const std::string name = meant_name(step.move.what, names, "cover or work");
  const WorkGroup& group = *std::ranges::find(table_.belief.groups, name, &WorkGroup::name);
  const bool again = open_.contains(name);  // a second look at what is open
  if (!again && group.opened && bay_.state().pressure)
    return stop_for_danger("The " + name + " was opened while the oil side stood under pressure.", injection_wound);
  const double p = adviser_.of_group(name);
  if (p < shop_rule::unlikely)
    step.illogical = "what was measured leaves " + share_words(p) + " for anything wrong there";
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
  const std::string name = meant_name(step.move.what, names, "part");
  const Part& part = *std::ranges::find(parts_, name, &Part::name);
  if (!open_.contains(part.group)) throw Refused{"For the " + name + " open first: " + part.group + "."};
  const auto seen = seen_.find(part.group);
  const bool was_seen = seen != seen_.end() && std::ranges::any_of(seen->second, [&](const Fault& fault) {
                          return fault.place == part.place && among(part.kinds, fault.kind);
                        });
  const double p = adviser_.of_place(part.place);
  if (!was_seen && p < shop_rule::unlikely)
    step.illogical = "nobody saw it bad, and what was measured leaves " + share_words(p) + " for it";
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
  if (p < 0.1) step.illogical = "what was measured leaves " + share_words(p) + " for a sound oil side";
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
        if (without.contains(forecast.check.id) ||
            adviser_.expected_bits(forecast.check.id) < 5 * shop_rule::little_bits)
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

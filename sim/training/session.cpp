#include "training/session.hpp"

#include "training/session_rules.hpp"
#include "training/suspicion.hpp"

namespace railseep {

namespace {

std::vector<std::string> of(const Exercise& exercise, const FaultTable& table) {
  std::vector<std::string> ids;
  for (const Forecast& forecast : table.forecasts)
    if (!among(exercise.withheld, forecast.check.id)) ids.push_back(forecast.check.id);
  return ids;
}

bool no_oil_fault(const Exercise& exercise) { return exercise.hidden.faults.empty(); }

}  // namespace

std::string meant_name(const std::string& meant, const std::vector<std::string>& names, const std::string& what) {
  if (among(names, meant)) return meant;
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
    if (!among(known, id))
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
      step.move.suspect = meant_name(move.suspect, suspicions(table_.belief), "suspicion");
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

}  // namespace railseep

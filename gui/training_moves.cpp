#include <algorithm>

#include "training.hpp"
#include "training/suspicion.hpp"

namespace railseep::gui {

namespace {

constexpr const char *ask_and_look = "Ask, look", *measure = "Measure", *crank_it = "Crank", *air = "Air, listen",
                     *block_off = "Block off", *prepare = "Prepare", *open_it = "Open", *renew_it = "Renew",
                     *prove_it = "Prove", *help = "Hints, end";

bool needs(const Check& check, std::string_view caution) { return std::ranges::count(check.cautions, caution) > 0; }

const char* group_of_check(const Check& check) {
  if (needs(check, "air test")) return air;
  if (needs(check, "opening") && needs(check, "crank")) return block_off;
  if (needs(check, "crank")) return crank_it;
  return check.looks.empty() ? measure : ask_and_look;
}

Action action_of(const Session& session, const Check& check) {
  Action action;
  action.group = group_of_check(check);
  action.words = check.name;
  action.how = check.how;
  action.move = {"check", check.id, "", ""};
  action.cautions = check.cautions;
  action.expected = session.table().find(check.id)->outcomes;
  action.cost = session.table().costs.work(check.time, check.money);
  action.at_pressure = needs(check, "air test");
  action.energised = needs(check, "coil");
  return action;
}

Action action_of(const WorkGroup& group) {
  Action action;
  action.group = open_it;
  action.words = group.name;
  action.how = group.opened ? "Open it and look at all there is behind it." : "Look into it.";
  action.move = {"open", group.name, "", ""};
  if (group.opened) action.cautions = {"opening", "hot oil"};
  action.expected = {"something wrong is to be seen", "nothing wrong is to be seen"};
  action.cost = group.cost;
  return action;
}

Action action_of(const Part& part) {
  Action action;
  action.group = renew_it;
  action.words = part.name;
  action.how = "Renew or repair it. It is behind: " + part.group + ".";
  action.move = {"renew", part.name, "", ""};
  action.cautions = {"opening", "hot oil"};
  action.expected = {"the old part is bad", "the old part is not bad"};
  action.cost = part.cost;
  return action;
}

/// A move that names nothing further.
struct PlainMove {
  const char *verb, *group, *words, *how;
  std::vector<std::string> cautions, expected;
};

const std::vector<PlainMove>& plain_moves() {
  static const std::vector<PlainMove> all{
      {"ask", ask_and_look, "Ask the driver", "What he saw and heard. It takes 10 min the first time.", {}, {}},
      {"crank",
       crank_it,
       "Crank as it stands and look",
       "Speed, battery, pressure and duty, with the oil as cold or hot as it is now.",
       {"crank"},
       {"it starts", "it does not start"}},
      {"warm", prepare, "Warm up the oil", "Until the oil is hot; it takes 50 min.", {"hot oil"}, {}},
      {"wait", prepare, "Let it stand", "Oil and starter cool.", {}, {}},
      {"charge", prepare, "Charge the batteries", "Until they rest above 12.5 V.", {"batteries"}, {}},
      {"release", prepare, "Let the pressure go", "Key off, wait, confirm rest volts; it takes 5 min.", {}, {}},
      {"close", prepare, "Close all covers", "All back on and tight; it takes 15 min.", {}, {}},
      {"spray", prepare, "Starting spray into the intake", "Spray while it is cranked.", {}, {}},
      {"prove",
       prove_it,
       "Prove the repair",
       "Refill, warm up, three hot restarts and a cold one.",
       {"crank", "hot oil"},
       {"it starts, hot and cold", "it does not start"}},
      {"elsewhere",
       prove_it,
       "The oil side is sound: hand it on",
       "Say so, and have fuel and electrics looked at. This ends the exercise.",
       {},
       {"the cause is in fuel or electrics"}},
      {"hint", help, "A hint", "", {}, {}},
      {"give up", help, "Give up", "Ends the exercise unsolved. The debrief shows what was wrong.", {}, {}},
  };
  return all;
}

/// What the next hint tells; empty: there is none.
std::string next_hint(const Session& session) {
  const int taken = session.hints_taken();
  if (taken >= session.exercise().hints) return "";
  const char* tells[] = {"Level 1 of 3: which function to look at first.",
                         "Level 2 of 3: which step the program would take next.",
                         "Level 3 of 3: what the two leading faults would show, side by side."};
  return taken < 3 ? std::string(tells[taken]) + " It costs points." : "";
}

std::optional<Action> action_of(const Session& session, const PlainMove& plain) {
  Action action;
  action.group = plain.group;
  action.words = plain.words;
  action.how = plain.how;
  action.move = {plain.verb, "", "", ""};
  action.cautions = plain.cautions;
  action.expected = plain.expected;
  action.for_seconds = action.move.verb == "crank";
  action.for_minutes = action.move.verb == "wait";
  if (action.move.verb == "hint") action.how = next_hint(session);
  if (action.move.verb == "hint" && action.how.empty()) return std::nullopt;
  return action;
}

bool is_paid(const std::string& verb) {
  const auto known = std::ranges::find(move_words(), verb, &MoveWord::word);
  return known != move_words().end() && known->paid;
}

}  // namespace

std::vector<std::string> action_groups() {
  return {ask_and_look, measure, crank_it, air, block_off, prepare, open_it, renew_it, prove_it, help};
}

std::vector<Action> actions_of(const Session& session) {
  std::vector<Action> all;
  for (const PlainMove& plain : plain_moves())
    if (std::optional<Action> action = action_of(session, plain)) all.push_back(std::move(*action));
  for (const std::string& id : session.checks()) all.push_back(action_of(session, session.table().find(id)->check));
  for (const WorkGroup& group : session.table().belief.groups) all.push_back(action_of(group));
  for (const Part& part : session.parts()) all.push_back(action_of(part));
  for (Action& action : all) {
    action.paid = is_paid(action.move.verb);
    action.words = capital(action.words);
  }
  return all;
}

Move move_of(const Action& action, const MoveDraft& draft, const ShownUnits& units) {
  Move move = action.move;
  if (action.for_seconds) move.what = format_quantity(draft.crank_time, Quantity::time, "s", 3);
  if (action.for_minutes) move.what = format_quantity(draft.waiting, Quantity::time, "min", 3);
  if (action.at_pressure) move.what += " at " + units.typed(draft.pressure, Quantity::pressure, {}, 4);
  if (action.energised) move.what += " for " + format_quantity(draft.pulse, Quantity::time, "s", 3);
  if (action.paid) {
    move.suspect = draft.suspect;
    move.expect = draft.expect;
  }
  return move;
}

}  // namespace railseep::gui

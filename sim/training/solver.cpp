#include "training/solver.hpp"

#include <algorithm>

#include "training/suspicion.hpp"

namespace railseep {

namespace {

/// Plays a move with the suspicion and the expectation that the program has.
const Step& play_as_believed(Session& session, const std::string& verb, const std::string& what) {
  Move move{verb, what, "", ""};
  for (const MoveWord& known : move_words())
    if (known.word == verb && known.paid) {
      move.suspect = session.adviser().suspicions().front().first;
      const Forecast* forecast = verb == "check" ? session.table().find(what) : nullptr;
      move.expect = verb == "prove" ? "starts" : verb == "open" ? "found" : verb == "renew" ? "bad" : "";
      if (forecast) {
        const std::vector<double> p = session.adviser().hypotheses();
        const auto top = static_cast<std::size_t>(std::ranges::max_element(p) - p.begin());
        const std::vector<double> outcomes = session.adviser().outcomes_if(top, *forecast);
        move.expect =
            forecast->outcomes[static_cast<std::size_t>(std::ranges::max_element(outcomes) - outcomes.begin())];
      }
    }
  return session.play(move);
}

bool covers_open(const Session& session) {
  return std::ranges::any_of(session.table().belief.groups, [&](const WorkGroup& group) {
    return group.opened && session.open().contains(group.name);
  });
}

/// What must be so before a check, as every learner is told.
void prepare(Session& session, const Check& check) {
  const auto has = [&](const char* word) { return std::ranges::count(check.cautions, word) > 0; };
  if (covers_open(session)) session.play({"close", "", "", ""});
  if (session.bay().state().air_left > 0.03 && has("crank"))
    for (int i = 0; i < 2 && !session.over(); ++i) {
      session.play({"crank", "15", "", ""});
      session.play({"wait", "2", "", ""});
    }
  if (has("crank") && session.bay().speed_share() < slow_cranking) session.play({"charge", "", "", ""});
  if (has("crank") && !has("hot oil") && session.bay().state().oil_temperature < hot_from)
    session.play({"warm", "", "", ""});
  if (has("opening") && session.bay().state().pressure) session.play({"release", "", "", ""});
}

/// Places and kinds that the last look told.
const Part* part_for(const Session& session, const std::string& told) {
  const Part* found = nullptr;
  for (const Part& part : session.parts())
    for (const std::string& kind : part.kinds)
      if (told == "Seen: " + kind + " at " + part.place + ".") found = &part;
  return found;
}

}  // namespace

Session solve(const FaultTable& table, const Exercise& exercise, std::size_t most_moves,
              const std::function<void(const Session&)>& before_each) {
  Session session(table, exercise);
  while (!session.over() && session.steps().size() < most_moves) {
    if (before_each) before_each(session);
    const Advice advice = session.advice();
    if (advice.kind == Advice::Kind::check) {
      prepare(session, table.find(advice.what)->check);
      if (!session.over() && play_as_believed(session, "check", advice.what).refused) break;
    } else if (advice.kind == Advice::Kind::elsewhere) {
      play_as_believed(session, "elsewhere", "");
    } else {
      if (session.bay().state().pressure) session.play({"release", "", "", ""});
      const std::vector<std::string> told = play_as_believed(session, "open", advice.what).told;
      bool renewed = false;
      for (const std::string& line : told)
        if (const Part* part = part_for(session, line); part && !session.over())
          play_as_believed(session, "renew", part->name), renewed = true;
      if (!renewed || session.over()) continue;
      if (covers_open(session)) session.play({"close", "", "", ""});
      if (!session.over()) play_as_believed(session, "prove", "");
    }
  }
  return session;
}

Session guess_everything(const FaultTable& table, const Exercise& exercise) {
  Session session(table, exercise);
  for (const std::string& id : session.checks()) {
    if (session.over()) return session;
    prepare(session, table.find(id)->check);
    if (!session.over()) session.play({"check", id, "", ""});
  }
  for (const WorkGroup& group : table.belief.groups) {
    if (session.over()) return session;
    session.play({"release", "", "", ""});
    if (!session.over()) session.play({"open", group.name, "", ""});
    for (const Part& part : session.parts())
      if (part.group == group.name && !session.over()) session.play({"renew", part.name, "", ""});
    if (covers_open(session) && !session.over()) session.play({"close", "", "", ""});
    if (!session.over()) session.play({"prove", "", "", ""});
  }
  return session;
}

Session replace_the_dearest(const FaultTable& table, const Exercise& exercise) {
  Session session(table, exercise);
  std::vector<Part> parts = session.parts();
  std::ranges::stable_sort(parts, [](const Part& a, const Part& b) { return a.cost.money > b.cost.money; });
  for (const Part& part : parts) {
    if (session.over()) break;
    session.play({"release", "", "", ""});
    if (!session.over() && !session.open().contains(part.group)) session.play({"open", part.group, "", ""});
    if (!session.over()) session.play({"renew", part.name, "", ""});
    if (!session.over() && covers_open(session)) session.play({"close", "", "", ""});
    if (!session.over()) session.play({"prove", "", "", ""});
  }
  return session;
}

}  // namespace railseep

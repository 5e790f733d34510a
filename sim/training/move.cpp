#include <algorithm>
#include <array>

#include "quantity/error.hpp"
#include "training/session.hpp"

namespace railseep {

namespace {

constexpr std::array words{
    MoveWord{"ask", "", "ask the driver (10 min the first time)", false},
    MoveWord{"check", "CHECK [at PRESSURE] [for SECONDS]", "do a check of the list", true},
    MoveWord{"crank", "SECONDS", "crank as it stands and look (1 min)", true},
    MoveWord{"warm", "", "warm the oil to 90 degC (50 min)", false},
    MoveWord{"wait", "MINUTES", "let it stand: oil and starter cool", false},
    MoveWord{"charge", "", "charge the batteries", false},
    MoveWord{"release", "", "key off, wait, confirm rest volts: no pressure left (5 min)", false},
    MoveWord{"open", "GROUP", "open a cover, or look into oil, batteries or wiring", true},
    MoveWord{"close", "", "all covers back on (15 min)", false},
    MoveWord{"renew", "PART", "renew or repair a part", true},
    MoveWord{"prove", "", "refill, warm up, three hot restarts, a cold one", true},
    MoveWord{"elsewhere", "", "say that the oil side is sound and hand it on: ends the exercise", true},
    MoveWord{"hint", "", "one level further, at most three", false},
    MoveWord{"spray", "", "starting spray into the intake", false},
    MoveWord{"give up", "", "end it unsolved", false},
};

std::string trimmed(const std::string& text) {
  const std::size_t from = text.find_first_not_of(" \t\r"), to = text.find_last_not_of(" \t\r");
  return from == std::string::npos ? "" : text.substr(from, to - from + 1);
}

}  // namespace

std::span<const MoveWord> move_words() { return words; }

Move parse_move(const std::string& line) {
  Move move;
  std::string rest = line;
  for (std::size_t at; (at = rest.rfind(';')) != std::string::npos; rest = rest.substr(0, at)) {
    const std::string part = trimmed(rest.substr(at + 1));
    if (part.starts_with("suspect "))
      move.suspect = trimmed(part.substr(8));
    else if (part.starts_with("expect "))
      move.expect = trimmed(part.substr(7));
    else if (!part.empty())
      throw Error("move", "\"" + part.substr(0, 40) + "\" is neither a suspicion nor an expectation",
                  "write \"; suspect ...\" and \"; expect ...\" behind a move");
  }
  const std::string text = trimmed(rest);
  for (const MoveWord& known : words)
    if (text == known.word || text.starts_with(std::string(known.word) + " ")) {
      move.verb = known.word, move.what = trimmed(text.substr(known.word.size()));
      return move;
    }
  std::vector<std::string> all;
  std::string listed;
  for (const MoveWord& known : words)
    all.emplace_back(known.word), listed += (listed.empty() ? "" : ", ") + std::string(known.word);
  const std::string near = nearest_word(text.substr(0, text.find(' ')), all);
  throw Error("move", "there is no move \"" + text.substr(0, 40) + "\"",
              near.empty() ? "the moves are " + listed : "did you mean \"" + near + "\"");
}

std::string move_text(const Move& move) {
  return move.verb + (move.what.empty() ? "" : " " + move.what) +
         (move.suspect.empty() ? "" : "; suspect " + move.suspect) +
         (move.expect.empty() ? "" : "; expect " + move.expect);
}

std::string_view word(Ending ending) {
  switch (ending) {
    case Ending::none:
      return "not finished";
    case Ending::solved:
      return "solved";
    case Ending::given_up:
      return "given up";
    case Ending::danger:
      return "stopped for danger";
    case Ending::comeback:
      return "came back unrepaired";
    case Ending::shop_closed:
      return "out of time or money";
  }
  return "";
}

namespace {

/// "200-400", "over 1500", "under 50": in the unit of the check's own words unless one is written.
struct Expected {
  double low = -1e300, high = 1e300;
};

std::optional<Expected> range_of(const std::string& text, const Ranges& ranges) {
  const auto number = [&](std::string part) -> std::optional<double> {
    part = trimmed(part);
    if (part.empty()) return std::nullopt;
    if (part.find_first_not_of("0123456789.+-eE") == std::string::npos && !ranges.unit.empty())
      part += " " + ranges.unit;
    try {
      return parse_quantity(part, ranges.quantity);
    } catch (const Error&) {
      return std::nullopt;
    }
  };
  Expected expected;
  for (const std::string_view word : {"over ", "above ", "> "})
    if (text.starts_with(word)) {
      const auto low = number(text.substr(word.size()));
      if (!low) return std::nullopt;
      expected.low = *low;
      return expected;
    }
  for (const std::string_view word : {"under ", "below ", "< "})
    if (text.starts_with(word)) {
      const auto high = number(text.substr(word.size()));
      if (!high) return std::nullopt;
      expected.high = *high;
      return expected;
    }
  for (const std::string_view between : {" to ", "-"}) {
    const std::size_t at = text.find(between, 1);
    if (at == std::string::npos) continue;
    std::string low = trimmed(text.substr(0, at));
    const std::string high = trimmed(text.substr(at + between.size()));
    // "200-400 psi": the unit stands once, at the end.
    const std::size_t unit = high.find_first_not_of("0123456789.");
    if (unit != std::string::npos && low.find_first_not_of("0123456789.") == std::string::npos)
      low += " " + trimmed(high.substr(unit));
    const auto a = number(low), b = number(high);
    if (!a || !b) return std::nullopt;
    return Expected{std::min(*a, *b), std::max(*a, *b)};
  }
  return std::nullopt;
}

}  // namespace

std::optional<bool> as_expected(const std::string& expectation, const Forecast& forecast, std::size_t column,
                                const std::optional<double>& value) {
  if (expectation.empty()) return std::nullopt;
  if (forecast.ranges && value)
    if (const auto range = range_of(expectation, *forecast.ranges))
      return *value >= range->low && *value <= range->high;
  bool named = false, held = false;
  for (std::size_t i = 0; i < forecast.outcomes.size(); ++i)
    if (forecast.outcomes[i].find(expectation) != std::string::npos) named = true, held |= i == column;
  if (!named) return std::nullopt;
  return held;
}

}  // namespace railseep

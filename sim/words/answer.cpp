#include "words/answer.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <numeric>
#include <set>

#include "circuit/place_names.hpp"
#include "decide/wording.hpp"
#include "hypothesis/unknown.hpp"
#include "match/look_alikes.hpp"
#include "words/cost_words.hpp"

namespace railseep {

namespace {

constexpr double worth_a_word = 0.03;  // probability below which a way of losing oil is not named [-]
constexpr std::size_t most_mends = 2;  // of what would make it surer

/// "mm (0.59 to 0.74 mm)" without the unit said twice.
std::string with_interval(const Severity& size, const FaultKind& kind, const ShownUnits& units) {
  const std::string unit(units.unit(kind.quantity, kind.unit));
  const auto written = [&](double si) { return format_quantity(si, kind.quantity, unit, 2); };
  const std::string low = written(size.low);
  return written(size.best) + " (" + low.substr(0, low.find(' ')) + " to " + written(size.high) + ")";
}

/// How oil is lost, or what else is wrong.
std::string way_of(const Candidate& candidate) {
  if (candidate.healthy()) return "";
  if (hole_like(candidate)) return "hole";
  if (film_like(candidate)) return "film";
  if (candidate.suspects.size() > 1) return "two faults at once";
  const Suspect& suspect = candidate.suspects.front();
  return std::string(suspect.kind->word) +
         (suspect.places.front().place == "engine" ? "" : " at " + suspect.places.front().place);
}

struct WayShare {
  std::string way;
  double probability = 0;
  const FaultFit* best = nullptr;
};

/// Ways with their probability, most probable first.
std::vector<WayShare> ways_of(const MatchResult& result, const std::function<bool(const FaultFit&)>& counts) {
  std::vector<WayShare> ways;
  for (const FaultFit& fit : result.fits) {
    if (!counts(fit)) continue;
    const std::string way = way_of(fit.candidate);
    auto known = std::ranges::find(ways, way, &WayShare::way);
    if (known == ways.end()) known = ways.insert(ways.end(), WayShare{way, 0, &fit});
    known->probability += fit.probability;
  }
  std::ranges::stable_sort(ways, std::ranges::greater(), &WayShare::probability);
  return ways;
}

/// The likeliest of these fits that says how much oil it costs; nullptr: none does.
const FaultFit* with_flow(const MatchResult& result, const std::string& way) {
  for (const FaultFit& fit : result.fits)
    if (fit.flow && way_of(fit.candidate) == way) return &fit;
  return nullptr;
}

std::string lost(const FaultFit* fit, const ShownUnits& units) {
  if (!fit) return "";
  return "about " + units.typed(*fit->flow, Quantity::volume_flow, "", 2) + " (" +
         units.typed(*fit->flow, Quantity::volume_flow, "L/min", 2) + ") at " +
         units.typed(reference_pressure, Quantity::pressure);
}

/// What the likeliest way is, in a sentence.
std::string main_sentence(const MatchResult& result, const WayShare& way, double film_share, const ShownUnits& units) {
  const FaultFit& best = *way.best;
  const std::string chance = " (" + percent(way.probability) + ").";
  if (way.way.empty()) return "Nothing wrong on the oil side" + chance + " Look at sync, injector drive and fuel.";
  if (way.way == "hole") {
    const FaultFit* sized = with_flow(result, way.way);
    std::string text = "Oil is lost as through a HOLE" + chance;
    if (sized && sized->candidate.suspects.size() == 1)
      text += " It passes " + lost(sized, units) + ", as a hole of " +
              with_interval(sized->severities.front(), *sized->candidate.suspects.front().kind, units) + " does.";
    if (film_share < worth_a_word) text += " It is not wear: that would pass far less when cold than when hot.";
    return text;
  }
  if (way.way == "film") {
    const FaultFit* sized = with_flow(result, way.way);
    const std::string size = severity_words(best, units);
    return "Oil is lost through WORN FITS, the more the hotter it is" + chance +
           (sized ? " It passes " + lost(sized, units) + " with hot oil." : "") +
           " Likeliest: " + best.candidate.title() + (size.empty() ? "" : ", " + size) + ".";
  }
  if (best.severities.size() != 1) return best.candidate.title() + chance;
  return capital(best.candidate.title() + chance);
}

std::string way_words(const WayShare& way) {
  if (way.way.empty()) return "nothing wrong on the oil side";
  if (way.way == "hole") return "a hole";
  if (way.way == "film") return "worn fits (" + way.best->candidate.title() + " first)";
  return way.way;
}

/// The ways from one on that are worth a word.
std::string listed(const std::vector<WayShare>& ways, std::size_t from) {
  constexpr std::size_t most_ways = 3;
  std::string text;
  for (std::size_t i = from; i < std::min(ways.size(), from + most_ways) && ways[i].probability >= worth_a_word; ++i)
    text += (text.empty() ? "" : "; ") + way_words(ways[i]) + " " + percent(ways[i].probability);
  return text;
}

double late_mean(const Profile& profile, double duration) {
  double sum = 0;
  for (int i = 0; i < 10; ++i) sum += profile.at(duration * (0.8 + 0.02 * i));
  return sum / 10;
}

std::string counted(std::size_t count, const char* one, const char* many) {
  return std::to_string(count) + " " + (count == 1 ? one : many);
}

/// Kinds and places behind one cover, in the order in which they were met.
class Described {
 public:
  void add(const Suspect& suspect) {
    const bool leak = suspect.kind->change == FaultKind::Change::opens_leak;
    if (leak) kinds_at("");
    for (const PossibleFault& place : suspect.places) {
      if (leak) {
        if (std::ranges::find(seals_, place.place) == seals_.end()) seals_.push_back(place.place);
      } else {
        std::vector<std::string>& kinds = kinds_at(place.place);
        if (std::ranges::find(kinds, suspect.kind->word) == kinds.end()) kinds.emplace_back(suspect.kind->word);
      }
    }
  }

  std::string text() const {
    std::string all;
    for (const auto& [place, kinds] : parts_) {
      if (place.empty()) {
        const std::string many =
            seals_.size() > 2 ? "any of " + std::to_string(seals_.size()) + " " + what_places_are(seals_) + ": " : "";
        all += (all.empty() ? "" : "; ") + many + places_text(seals_);
        continue;
      }
      std::string words;
      for (const std::string& kind : kinds) words += (words.empty() ? "" : " or ") + kind;
      all += (all.empty() ? "" : "; ") + (place == "engine" ? words : place + " (" + words + ")");
    }
    return all;
  }

 private:
  /// A part by its name; leaks of all seals together under the empty one.
  std::vector<std::string>& kinds_at(const std::string& place) {
    for (auto& [name, kinds] : parts_)
      if (name == place) return kinds;
    return parts_.emplace_back(place, std::vector<std::string>{}).second;
  }

  std::vector<std::string> seals_;
  std::vector<std::pair<std::string, std::vector<std::string>>> parts_;
};

}  // namespace

namespace {

/// Whether the evidence says anything of a size: its interval is narrower than the 90 % of before any evidence.
bool is_told(const Severity& severity, const Suspect& suspect) {
  constexpr double narrower = 0.8, end = 1.645;  // deviations
  const Unknown prior = severity_unknown(suspect);
  const double before = std::min(end, prior.coordinate(prior.most)) - std::max(-end, prior.coordinate(prior.least));
  return prior.coordinate(severity.high) - prior.coordinate(severity.low) < narrower * before;
}

}  // namespace

std::string severity_words(const FaultFit& fit, const ShownUnits& units) {
  bool any_told = false;
  for (std::size_t i = 0; i < fit.severities.size(); ++i)
    any_told = any_told || is_told(fit.severities[i], fit.candidate.suspects[i]);
  if (!any_told) return "";
  std::string text;
  for (std::size_t i = 0; i < fit.severities.size(); ++i)
    text += (i > 0 ? ", " : "") + with_interval(fit.severities[i], *fit.candidate.suspects[i].kind, units);
  return text;
}

std::string second_fault_words(const MatchResult& result) {
  constexpr double most_said = 1e4;
  const std::string better = result.pair_gain > std::log(most_said) ? "more than 10000 times"
                             : result.pair_gain > std::log(2) ? plain_number(std::exp(result.pair_gain), 2) + " times"
                                                              : "";
  const std::string odds =
      result.at_odds ? "No single fault explains both the logs and what was observed beside them. " : "";
  if (!better.empty())
    return odds + "Two faults at once explain the evidence " + better + " better than any single one.";
  if (result.pairs_tried && result.at_odds) return odds + "No two at once do much better: one of them may be wrong.";
  if (result.pairs_tried) return "No second fault is needed to explain the evidence: two at once were tried.";
  if (result.pairs_screened > 0)
    return "No second fault is needed to explain the evidence: of two at once, a hole and worn fits were tried "
           "(--pairs "
           "tries all).";
  return "Two faults at once were not tried (--pairs tries them).";
}

std::vector<std::string> logs_used(const Circuit& circuit, const Evidence& evidence, const ShownUnits& units) {
  std::vector<std::string> lines;
  for (const CrankEvidence& log : evidence.logs) {
    const std::size_t last = std::max<std::size_t>(1, log.measured.size() / 5);
    const double end =
        std::accumulate(log.measured.end() - static_cast<std::ptrdiff_t>(last), log.measured.end(), 0.0) /
        static_cast<double>(last);
    std::string text = log.name + ": oil " + units.typed(log.condition.oil_temperature, Quantity::temperature, "", 2) +
                       (log.temperature_doubt >= untold_temperature ? " assumed" : "") + ", " +
                       counted(log.time.size(), "reading", "readings") + " in " +
                       format_quantity(log.duration, Quantity::time, "s", 2) + " to " +
                       units.typed(end, Quantity::pressure);
    if (log.duty) {
      const double duty = late_mean(*log.duty, log.duration);
      text += ", duty " + format_quantity(duty, Quantity::ratio, "%", 2) +
              (duty > 0.97 * circuit.control.most_duty ? " (ceiling)" : "");
    }
    if (!log.block.empty()) text += ", " + log.block + " plugged";
    if (log.stage == Stage::good) text += ", known to be good";
    if (!log.notes.empty()) text += "; " + counted(log.notes.size(), "note", "notes");
    lines.push_back(std::move(text));
  }
  if (lines.empty()) lines.emplace_back("no log of a crank");
  const Observations& seen = evidence.observations;
  std::string besides;
  for (const auto& [count, one, many] :
       {std::tuple(seen.readings.size(), "reading", "readings"),
        std::tuple(seen.starts.size(), "start told", "starts told"), std::tuple(seen.checks.size(), "check", "checks"),
        std::tuple(seen.air.size(), "air test", "air tests")})
    if (count > 0) besides += (besides.empty() ? "besides: " : ", ") + counted(count, one, many);
  if (!besides.empty()) lines.push_back(besides);
  return lines;
}

std::vector<std::string> verdict_lines(const MatchResult& result, const Soundness& sound) {
  if (result.unexplained)
    return {"No fault is named and no size is given: nothing that was tried comes near the logs (mean square " +
            plain_number(result.mean_square, 2) + " where 1 is right). Chances are those of before any log."};
  if (!sound.said_first()) return {};
  std::string text = "The pressure was there in time in every log: " + in_ten(sound.no_fault_matters()) +
                     " that no fault of the oil side matters";
  if (sound.harmless >= worth_a_word) text += " (one too small to matter may be there)";
  return {text + ". " + (sound.fires ? "It started each time: log it when it does not. " : "") +
          "Look at sync, injector drive and fuel."};
}

std::vector<std::string> in_short(const Circuit& circuit, const MatchResult& result, const Observations& observations,
                                  const ShownUnits& units) {
  std::vector<std::string> lines;
  for (const Shortfall& one : shortfalls(circuit, result, observations))
    if (one.grave) {
      lines.push_back("NOT ENOUGH EVIDENCE to act upon: " + one.missing + ". So " + one.mend + ".");
      break;
    }
  const Soundness sound = soundness(circuit, result);
  if (const std::vector<std::string> verdict = verdict_lines(result, sound); !verdict.empty()) {
    lines.insert(lines.end(), verdict.begin(), verdict.end());
    const std::vector<WayShare> others = ways_of(result, [&](const FaultFit& fit) {
      return result.unexplained || (!fit.candidate.healthy() && !leaves_pressure_in_time(circuit, result, fit));
    });
    const std::string rest = listed(others, 0);
    if (!rest.empty())
      lines.push_back((result.unexplained ? "Before any log: " : "If it is the oil side after all: ") + rest + ".");
    return lines;
  }
  const std::vector<WayShare> ways = ways_of(result, [](const FaultFit&) { return true; });
  const auto film = std::ranges::find(ways, "film", &WayShare::way);
  const std::set<double> temperatures = [&] {
    std::set<double> all;
    for (const CrankEvidence& log : result.logs) all.insert(log.condition.oil_temperature);
    return all;
  }();
  // Wear is told from a hole by how much more it passes when hot: that takes two temperatures.
  const bool hot_and_cold = !temperatures.empty() && *temperatures.rbegin() - *temperatures.begin() > 30;
  lines.push_back(main_sentence(result, ways.front(),
                                film == ways.end() ? 0
                                : hot_and_cold     ? film->probability
                                                   : 1.0,
                                units));
  const std::string less = listed(ways, 1);
  if (!less.empty()) lines.push_back("Less likely: " + less + ".");
  return lines;
}

std::vector<Whereabouts> whereabouts(const Belief& belief) {
  std::map<std::vector<int>, std::pair<Whereabouts, Described>> rows;
  for (const Hypothesis& h : belief.hypotheses) {
    std::vector<int> key = h.groups;
    std::ranges::sort(key);
    key.erase(std::unique(key.begin(), key.end()), key.end());
    if (h.harmless) key.clear();
    auto& [row, described] = rows[key];
    row.probability += h.probability;
    if (key.empty()) continue;
    for (const Suspect& suspect : h.candidate.suspects) described.add(suspect);
  }
  std::vector<Whereabouts> all;
  for (auto& [key, entry] : rows) {
    auto& [row, described] = entry;
    row.what = key.empty() ? "nothing that matters on the oil side" : described.text();
    for (const int g : key) {
      const WorkGroup& group = belief.groups[static_cast<std::size_t>(g)];
      row.behind += (row.behind.empty() ? "" : " and ") + group.name;
      row.labour += group.labour;
    }
    all.push_back(row);
  }
  std::ranges::stable_sort(all, std::ranges::greater(), &Whereabouts::probability);
  return all;
}

NextStep next_step(const Decision& decision) {
  NextStep step;
  const std::string& currency = decision.costs.currency;
  if (decision.seen) {
    const Inspection& look = decision.seen->look;
    step.title = "You have seen it (" + (look.place.empty() ? look.check : look.place) + "): renew it, then prove it";
    step.why = "What was seen and described is there in " + percent(decision.seen->probability) + " of cases";
    step.cautions = {"opening", "hot oil"};
    return step;
  }
  if (decision.check_first && !decision.checks.empty()) {
    const RankedCheck& first = decision.checks.front();
    step.title = capital(first.check.name) + ": " + minutes_words(first.check.time) + ", " +
                 money_words(first.cost.money) + " " + currency;
    step.how = first.check.how;
    const bool spares = first.expected.money < first.without.money;
    step.why = "A proved repair then takes " + cost_words(first.expected, currency) + " on average, without it " +
               cost_words(first.without, currency) +
               (spares ? "" : ": as good as the same, and a look of minutes comes before hours of opening");
    step.tools = first.check.tools, step.cautions = first.check.cautions;
    for (const OutcomeMeaning& meaning : first.outcomes)
      step.outcomes.push_back({meaning.outcome, meaning.says, meaning.then, meaning.probability});
    return step;
  }
  if (decision.plan.steps.empty()) {
    step.title = "Open nothing on the oil side: look at sync, injector drive and fuel";
    return step;
  }
  const OpeningStep& first = decision.plan.steps.front();
  const WorkGroup& group = decision.belief.groups[first.group];
  const std::string todo = !first.part.empty() ? "Renew on suspicion: " + first.part
                           : group.opened      ? "Open: " + group.name
                                               : "Look into: " + group.name;
  step.title = todo + ": " + hours_words(first.cost.time) + ", " + money_words(first.cost.money) + " " + currency;
  step.why = "No check pays for itself now. A proved repair takes " + cost_words(decision.plan.expected, currency) +
             " on average";
  step.cautions = group.opened ? std::vector<std::string>{"opening", "hot oil"} : std::vector<std::string>{};
  const std::string then =
      decision.plan.steps.size() > 1
          ? step_words(decision.belief.groups[decision.plan.steps[1].group], decision.plan.steps[1].part)
          : "sync, injector drive and fuel";
  for (const auto& [title, probability] : first.looks_for)
    if (probability >= worth_a_word || step.outcomes.empty())
      step.outcomes.push_back({title, "", "put it right, prove it by hot restarts", probability});
  if (step.outcomes.size() > 3) step.outcomes.resize(3);
  step.outcomes.push_back({"it is not there", "", "go on to " + then, std::max(0.0, 1 - first.found)});
  return step;
}

std::string opening_order(const Decision& decision) {
  std::string text;
  for (std::size_t i = 0; i < decision.plan.steps.size(); ++i) {
    const OpeningStep& step = decision.plan.steps[i];
    text += (i == 0 ? "" : ", then ") + step_words(decision.belief.groups[step.group], step.part) + " (" +
            hours_words(step.cost.time) + ", " + money_words(step.cost.money) + ")";
  }
  return text.empty() ? "nothing on the oil side" : text;
}

std::vector<std::string> how_sure(const Circuit& circuit, const MatchResult& result, const Observations& observations) {
  std::vector<std::string> lines;
  lines.emplace_back(result.unexplained       ? "Nothing that was tried explains the logs."
                     : result.badly_explained ? "Nothing that was tried explains the logs well."
                                              : "Logs explained within their noise.");
  if (!result.sets.empty() && !soundness(circuit, result).said_first()) {
    std::set<std::string> places;
    for (const std::size_t i : result.sets.front().fits)
      for (const Suspect& suspect : result.fits[i].candidate.suspects)
        for (const PossibleFault& place : suspect.places) places.insert(place.place);
    if (places.size() > 1)
      lines.front() += " Where: pressure cannot tell " + std::to_string(places.size()) + " places apart.";
  }
  std::string mends;
  std::size_t told = 0;
  for (const Shortfall& one : shortfalls(circuit, result, observations))
    if (!one.grave && told++ < most_mends)
      mends += (mends.empty() ? "Surer: " : "; ") + one.mend + " (" + one.missing + ")";
  if (!mends.empty()) lines.push_back(mends + ".");
  lines.emplace_back(
      "Chances rest on guesses of how often a fault occurs, and on a model engine: confirm by test before parts.");
  return lines;
}

}  // namespace railseep

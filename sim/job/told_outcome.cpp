#include "job/told_outcome.hpp"

#include <algorithm>
#include <cmath>

#include "decide/check_reading.hpp"
#include "job/noted_checks.hpp"
#include "procedure/isolate.hpp"

namespace railseep {

namespace {

/// Where a reading lies that was told as one of neighbouring ranges.
struct Span {
  double low, high;
  double middle() const { return 0.5 * (low + high); }
  double deviation() const { return (high - low) / std::sqrt(12.0); }  // of an even spread
};

/// An open end reaches as far as the range beside it is wide (assumed), and no lower than 0.
Span span_of(const Ranges& ranges, std::size_t column) {
  const std::vector<double>& edge = ranges.edges;
  const std::size_t last = edge.size();
  if (column == 0) return {std::max(0.0, 2 * edge[0] - edge[1]), edge[0]};
  if (column == last) return {edge[last - 1], 2 * edge[last - 1] - edge[last - 2]};
  return {edge[column - 1], edge[column]};
}

/// The pressure some time after key-off, from the time it took to fall to half. Between the ends of the range it is
/// taken to fall by the same share in equal times (assumed).
JobReading fallen(const Decision& decision, const Ranges& ranges, std::size_t column) {
  const Span times = span_of(ranges, column);
  const double quickest = std::max(times.low, 0.2 * times.high);  // of "under 0.5 s": 0.1 s
  const double later = column == 0                     ? times.high
                       : column == ranges.edges.size() ? times.low
                                                       : std::sqrt(times.low * times.high);
  const auto left = [&](double half) { return *decision.hot.plateau * std::exp2(-later / half); };
  const Span span{left(quickest), left(times.high)};
  JobReading reading;
  reading.moment = Moment::key_off;
  reading.value = span.middle();
  reading.tolerance = std::hypot(reading_errors(reading.kind)->tolerance, span.deviation());
  reading.later = later;
  reading.condition.oil_temperature = decision.hot.oil_temperature;
  if (decision.hot.speed > 0) reading.condition.speed = decision.hot.speed;
  return reading;
}

/// Any value of one range. @param scale of what the edges are multiples of
JobReading within(const Ranges& ranges, std::size_t column, double scale) {
  JobReading reading;
  if (column > 0) reading.at_least = scale * ranges.edges[column - 1];
  if (column < ranges.edges.size()) reading.at_most = scale * ranges.edges[column];
  const double from = reading.at_least ? *reading.at_least : *reading.at_most;  // of an open range its one end
  const double to = reading.at_most.value_or(from);
  reading.value = 0.5 * (from + to);
  return reading;
}

/// As the check is done: hot, at the speed it needs, with what it plugs.
LogCondition condition_of(const Check& check, const CheckReading& read, const HotCrank& hot) {
  LogCondition condition;
  if (read.done == Situation::Done::key_on) return condition;
  condition.oil_temperature = hot.oil_temperature;
  if (read.kind != ChannelKind::rail_pressure) return condition;
  const double speed = check.id == "charged batteries" ? std::max(hot.speed, hot.healthy_speed)
                       : check.id == "faster crank"    ? faster_cranking * hot.speed
                                                       : hot.speed;
  if (speed > 0) condition.speed = speed;
  const std::string one_rail = "one rail: ";
  if (check.id == "isolation") condition.block = both_rails;
  if (check.id.starts_with(one_rail)) condition.block = check.id.substr(one_rail.size());
  return condition;
}

/// The reading that a range of this check stands for; empty: the match takes none.
std::optional<JobReading> reading_for(const Decision& decision, const Check& check, const Ranges& ranges,
                                      std::size_t column) {
  const HotCrank& hot = decision.hot;
  if (check.id == "hold" && hot.plateau) return fallen(decision, ranges, column);
  const bool faster = check.id == "faster crank" && hot.plateau;
  const std::optional<CheckReading> read = faster ? CheckReading{} : reading_of_check(check.id);
  if (!read) return std::nullopt;
  JobReading reading = within(ranges, column, faster ? *hot.plateau : 1);
  reading.kind = read->kind;
  reading.moment = read->done == Situation::Done::key_on ? Moment::key_on : Moment::cranking;
  reading.tolerance = read->tolerance(check, reading.value);
  reading.condition = condition_of(check, *read, hot);
  if (read->done == Situation::Done::crank)
    reading.cranked = reading.condition.block.empty() ? check_crank : plugged_crank;
  return reading;
}

/// One look as its check told it.
JobFinding look(const std::string& word, bool bad, const std::string& text, const std::string& check) {
  return {.check = word, .text = text, .bad = bad, .place = place_of_check(check), .done = check};
}

/// What is looked at: all of it is good, or one of the looks is bad. Where each look has an outcome of its own, those
/// before it were good.
std::vector<ToldOutcome> told_looks(const Circuit& circuit, const RankedCheck& ranked, std::size_t column,
                                    const std::string& text) {
  const bool each_look = ranked.check.outcomes.size() == ranked.check.looks.size() + 1;
  std::vector<ToldOutcome> ways;
  if (column == 0 || each_look) ways.emplace_back();
  std::size_t number = 0;
  for (const std::string& word : ranked.check.looks) {
    ++number;
    if (!could_see(find_inspection_kind(word), circuit, place_of_check(ranked.check.id))) continue;
    if (column == 0 || each_look) {
      if (column == 0 || number <= column)
        ways.back().findings.push_back(look(word, number == column, text, ranked.check.id));
    } else {
      ToldOutcome& told = ways.emplace_back();
      told.way = word;
      told.findings.push_back(look(word, true, text, ranked.check.id));
    }
  }
  if (ways.size() == 1) ways.front().way.clear();
  std::erase_if(ways, [](const ToldOutcome& told) { return told.findings.empty(); });
  return ways;
}

/// Kept, and the check is done.
ToldOutcome in_words(const RankedCheck& ranked, const OutcomeMeaning& outcome, const std::string& why) {
  ToldOutcome words;
  words.findings = {{.check = ranked.check.id, .text = outcome.outcome, .done = ranked.check.id}};
  words.unused = why;
  return words;
}

/// A hiss that stands out at a place is told by a word that a sound engine does not give there.
std::vector<ToldOutcome> told_hiss(const RankedCheck& ranked, const OutcomeMeaning& outcome) {
  const bool energised = ranked.check.id != "air open";
  std::vector<ToldOutcome> ways;
  for (const std::size_t column : outcome.columns) {
    if (column >= ranked.sound_engine.size()) {
      ways.emplace_back();
      for (std::size_t i = 0; i < ranked.sound_engine.size(); ++i)
        ways.back().heard.push_back({ranked.columns[i], ranked.sound_engine[i], energised});
      continue;
    }
    const std::string at = outcome.columns.size() > 1 ? " at " + ranked.columns[column] : "";
    if (ranked.sound_engine[column] == HeardWord::loud) {
      ways.push_back(
          in_words(ranked, outcome, "A sound engine is loud there already, and the match knows no louder word"));
      if (!at.empty())
        ways.back().way = "most" + at, ways.back().findings.front().text = ranked.columns[column] + " hisses most";
      continue;
    }
    for (const HeardWord heard : {HeardWord::faint, HeardWord::clear, HeardWord::loud}) {
      if (heard <= ranked.sound_engine[column]) continue;
      ways.emplace_back().way = std::string(word(heard)) + at;
      ways.back().heard.push_back({ranked.columns[column], heard, energised});
    }
  }
  return ways;
}

/// One way a range; in one way where the ranges are told together.
std::vector<ToldOutcome> told_ranges(const Decision& decision, const RankedCheck& ranked,
                                     const OutcomeMeaning& outcome) {
  std::vector<ToldOutcome> ways;
  Ranges bare = *ranked.ranges;  // "200 to 300 psi"
  bare.before.clear(), bare.after.clear();
  for (const std::size_t column : outcome.columns) {
    std::optional<JobReading> reading = reading_for(decision, ranked.check, *ranked.ranges, column);
    if (!reading) return {};
    reading->check = ranked.check.id;
    reading->when = ranked.check.name + ": " + ranked.columns[column];
    ToldOutcome& told = ways.emplace_back();
    if (outcome.columns.size() > 1) told.way = bare.words(column, column);
    told.readings.push_back(std::move(*reading));
  }
  return ways;
}

/// Do gauge and sensor show the same? The range around 0 is as wide as the two may differ.
std::vector<ToldOutcome> told_gauge(const RankedCheck& ranked, const OutcomeMeaning& outcome) {
  const std::vector<double>& edge = ranked.ranges->edges;
  const auto same = static_cast<std::size_t>(std::ranges::upper_bound(edge, 0.0) - edge.begin());
  std::vector<ToldOutcome> ways;
  for (const bool bad : {false, true}) {
    if (std::ranges::none_of(outcome.columns, [&](std::size_t column) { return (column != same) == bad; })) continue;
    ToldOutcome& told = ways.emplace_back();
    told.way = bad ? "they differ" : "they agree";
    told.findings.push_back(look("sensor exchanged", bad, outcome.outcome, ranked.check.id));
  }
  if (ways.size() == 1) ways.front().way.clear();
  return ways;
}

std::string why_unused(const std::string& id) {
  if (id == "hold" || id == "faster crank") return "No hot crank is logged to set it against";
  return "The match has no such evidence";
}

bool same_way(const AirTestOptions& a, const AirTestOptions& b) {
  return a.feed == b.feed && a.pressure == b.pressure && a.purge_time == b.purge_time && a.ear == b.ear &&
         a.hold_from == b.hold_from && a.hold_to == b.hold_to;
}

}  // namespace

std::vector<ToldOutcome> ways_to_tell(const Circuit& circuit, const Decision& decision, const RankedCheck& ranked,
                                      const OutcomeMeaning& outcome) {
  const std::string& id = ranked.check.id;
  std::vector<ToldOutcome> ways;
  if (outcome.columns.empty())
    ways = {};
  else if (!ranked.check.looks.empty())
    ways = told_looks(circuit, ranked, outcome.columns.front(), outcome.outcome);
  else if (id == "rail gauge")
    ways = told_gauge(ranked, outcome);
  else if (ranked.ranges)
    ways = told_ranges(decision, ranked, outcome);
  else if (id.starts_with("air "))
    ways = told_hiss(ranked, outcome);
  for (ToldOutcome& told : ways)
    if (!told.heard.empty()) told.air_done = air_check_options(circuit, id);
  if (!ways.empty()) return ways;
  return {in_words(ranked, outcome, why_unused(id))};
}

AirFindings& air_test_done(Job& job, const AirTestOptions& done) {
  for (AirFindings& test : job.air_tests)
    if (same_way(test.done, done)) return test;
  AirTestOptions& begun = job.air_tests.emplace_back().done;
  begun.feed = done.feed, begun.pressure = done.pressure, begun.purge_time = done.purge_time, begun.ear = done.ear;
  begun.hold_from = done.hold_from, begun.hold_to = done.hold_to;
  return job.air_tests.back();
}

void tell(Job& job, const ToldOutcome& told) {
  job.findings.insert(job.findings.end(), told.findings.begin(), told.findings.end());
  job.readings.insert(job.readings.end(), told.readings.begin(), told.readings.end());
  for (const HeardFinding& heard : told.heard) {
    AirFindings& test = air_test_done(job, told.air_done);
    std::erase_if(test.heard, [&](const HeardFinding& old) {
      return old.place == heard.place && old.energised == heard.energised;
    });
    test.heard.push_back(heard);
  }
}

void take_back(Job& job, const std::string& check) {
  std::erase_if(job.findings, [&](const JobFinding& finding) { return noted_check(finding) == check; });
  std::erase_if(job.readings, [&](const JobReading& reading) { return reading.check == check; });
}

}  // namespace railseep

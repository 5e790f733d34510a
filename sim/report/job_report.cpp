#include <algorithm>
#include <cmath>

#include "after/shortfalls.hpp"
#include "procedure/cautions.hpp"
#include "report/report.hpp"
#include "words/answer.hpp"
#include "words/cost_words.hpp"

namespace railseep {

namespace {

using Kind = ReportBlock::Kind;

constexpr std::size_t most_candidates = 12, most_rows = 6;

class Part {
 public:
  explicit Part(std::string title) { part_.title = std::move(title); }
  Part& heading(const std::string& text) { return add(Kind::heading, text); }
  Part& say(const std::string& text) { return add(Kind::paragraph, text); }
  Part& quiet(const std::string& text) { return add(Kind::quiet, text); }
  Part& bullet(const std::string& text) { return add(Kind::bullet, text); }
  Part& table(std::vector<std::vector<std::string>> rows) {
    part_.blocks.push_back({Kind::table, "", std::move(rows)});
    return *this;
  }
  Part& plot(ReportPlot plot) {
    part_.blocks.push_back({Kind::plot, "", {}, std::move(plot)});
    return *this;
  }
  ReportPart done() { return std::move(part_); }

 private:
  Part& add(Kind kind, const std::string& text) {
    part_.blocks.push_back({kind, text, {}});
    return *this;
  }
  ReportPart part_;
};

bool was_measured(const Job& job) { return !job.logs.empty() || !job.readings.empty() || !job.air_tests.empty(); }

/// What was done to the engine, in the words of the one who did it.
std::vector<std::string> done_so_far(const Job& job, const ShownUnits& units) {
  std::vector<std::string> lines;
  for (const JobLog& log : job.logs)
    lines.push_back("Logged: " + log.condition.name +
                    (log.started ? (*log.started ? ", it started" : ", it did not start") : "") +
                    (log.stage == Stage::after ? " (after the repair)" : ""));
  for (const JobReading& reading : job.readings)
    lines.push_back("Read: " + (reading.when.empty() ? std::string(kind_name(reading.kind)) : reading.when) + ", " +
                    units.text(reading.value, kind_quantity(reading.kind)));
  for (const JobFinding& finding : job.findings)
    lines.push_back("Inspection: " + (finding.place.empty() ? finding.check : finding.place) +
                    (finding.bad ? (*finding.bad ? ", bad" : ", good") : "") +
                    (finding.text.empty() ? "" : ", " + finding.text));
  for (const AirFindings& test : job.air_tests)
    for (const HeardFinding& heard : test.heard)
      lines.push_back("Shop air" + std::string(heard.energised ? ", regulator energised" : "") + ": " + heard.place +
                      " " + std::string(word(heard.word)));
  for (const JobStart& start : job.starts) lines.push_back(start.started ? "It started." : "It did not start.");
  return lines;
}

ReportPart customer_part(const ReportFacts& facts) {
  Part part("Report for the customer");
  const Job& job = *facts.job;
  part.heading("What you told us");
  part.say(job.complaint.empty() ? "No complaint was written down." : job.complaint);
  part.heading("What was found");
  if (facts.result) {
    for (const std::string& line : in_short(*facts.circuit, *facts.result, facts.evidence->observations, facts.units))
      part.say(line);
    const std::vector<Whereabouts> rows = whereabouts(facts.decision->belief);
    if (!rows.empty() && !rows.front().behind.empty())
      part.say("Most likely it is behind: " + rows.front().behind + " (" + percent(rows.front().probability) + ").");
  } else {
    part.say(was_measured(*facts.job) ? "What was measured has not been worked out yet."
                                      : "Nothing has been measured yet. What is known is the complaint.");
  }
  part.heading("How sure that is");
  if (facts.result)
    for (const std::string& line : how_sure(*facts.circuit, *facts.result, facts.evidence->observations))
      part.say(line);
  else if (was_measured(*facts.job))
    part.say("Not at all before it is worked out.");
  else
    part.say("Not at all before the engine is logged while it is cranked: pressure, duty, speed and oil temperature.");
  part.heading("What was done");
  const std::vector<std::string> done = done_so_far(job, facts.units);
  for (const std::string& line : done) part.bullet(line);
  if (done.empty()) part.say("Nothing yet.");
  part.heading("Proof before and after");
  part.say(job.proof
               ? "Before and after the repair: " + std::string(word(job.proof->verdict)) + ". " + job.proof->why + "."
               : "No repair has been proved by logs from before and after it.");
  part.heading("What comes next, and what it costs");
  if (facts.decision) {
    const NextStep step = next_step(*facts.decision);
    part.say(step.title + ". " + step.how);
    if (!step.why.empty()) part.say(step.why + ". These sums are averages from assumed prices, not an offer.");
  } else if (was_measured(*facts.job)) {
    part.say("To work out what was measured; then this report can say more.");
  } else {
    part.say("A log of a crank; then this report can say more.");
  }
  part.heading("Please note");
  part.say(
      "Until the repair is proved the engine may fail to start again. A computed result is a hint, not proof; it "
      "is confirmed by a test before parts are bought. Oil under such pressures enters skin: leave covers closed.");
  return part.done();
}

void say_conditions(const ReportFacts& facts, Part& part) {
  if (facts.evidence->logs.empty()) return;
  part.heading("Conditions");
  std::vector<std::vector<std::string>> rows{{"log", "oil", "readings", "time", "cranked at", "battery"}};
  for (const CrankEvidence& log : facts.evidence->logs) {
    const double late = 0.8 * log.duration;
    rows.push_back({log.name, facts.units.text(log.condition.oil_temperature, Quantity::temperature, "", 2),
                    std::to_string(log.time.size()), facts.units.text(log.duration, Quantity::time, "s", 2),
                    facts.units.text(log.condition.speed.at(late), Quantity::speed, "", 3),
                    facts.units.text(log.condition.battery.at(late), Quantity::voltage, "V", 3)});
  }
  part.table(std::move(rows));
  for (const CrankEvidence& log : facts.evidence->logs)
    for (const std::string& note : log.notes) part.quiet(log.name + ": " + note + ".");
}

void show_curves(const ReportFacts& facts, Part& part) {
  if (facts.result->logs.empty()) return;
  part.heading("Evidence: measured, and computed with the first candidate");
  const auto in_unit = [&](std::vector<double> values) {
    for (double& value : values) value = facts.units.number(value, Quantity::pressure);
    return values;
  };
  for (std::size_t i = 0; i < facts.result->logs.size(); ++i) {
    const CrankEvidence& log = facts.result->logs[i];
    ReportPlot pressure{log.name, "time [s]", "pressure [" + facts.units.pressure + "]", {}};
    pressure.curves.push_back({"measured", log.time, in_unit(log.measured), PlotCurve::Mark::dots});
    if (i < facts.result->fits.front().computed.size())
      pressure.curves.push_back({"computed", log.time, in_unit(facts.result->fits.front().computed[i])});
    part.plot(std::move(pressure));
    if (!log.duty) continue;
    std::vector<double> duty;
    for (const double t : log.time) duty.push_back(100 * log.duty->at(t));
    part.plot({log.name, "time [s]", "duty [%]", {{"duty", log.time, std::move(duty), PlotCurve::Mark::dashes}}});
  }
}

void list_candidates(const ReportFacts& facts, Part& part) {
  part.heading("Candidates");
  std::vector<std::vector<std::string>> rows{{"chance", "fault", "size (90 % interval)", "oil lost"}};
  for (std::size_t i = 0; i < std::min(most_candidates, facts.result->fits.size()); ++i) {
    const FaultFit& fit = facts.result->fits[i];
    rows.push_back({percent(fit.probability), fit.candidate.title(),
                    facts.result->unexplained ? "" : severity_words(fit, facts.units),
                    fit.flow ? facts.units.text(*fit.flow, Quantity::volume_flow, "", 2) : ""});
  }
  part.table(std::move(rows));
  const bool any_flow =
      std::ranges::any_of(facts.result->fits, [](const FaultFit& fit) { return fit.flow.has_value(); });
  part.quiet((any_flow ? "Oil lost: at " + facts.units.text(reference_pressure, Quantity::pressure) +
                             " with the hottest log's oil. "
                       : "") +
             "No size: the evidence does not tell it. Chances rest on assumed priors.");
  part.heading("By what is opened");
  rows = {{"chance", "behind", "what"}};
  for (const Whereabouts& one : whereabouts(facts.decision->belief))
    if (rows.size() <= most_rows) rows.push_back({percent(one.probability), one.behind, one.what});
  part.table(std::move(rows));
  if (facts.result->sets.empty()) return;
  part.heading("What cannot be told apart");
  for (const LookAlikes& set : facts.result->sets) {
    std::string text;
    for (const std::size_t i : set.fits) text += (text.empty() ? "" : "; ") + facts.result->fits[i].candidate.title();
    part.bullet(text + ". Why: " + set.why);
  }
}

void show_balance(const ReportFacts& facts, Part& part) {
  if (facts.result->balances.empty()) return;
  part.heading("Where the pump's oil goes, if the first candidate is right");
  std::vector<std::vector<std::string>> rows{{"log", "displaced", "slips back", "stored", "goes to"}};
  for (std::size_t i = 0; i < facts.result->balances.size(); ++i) {
    const OilBalance& oil = facts.result->balances[i];
    const auto flow = [&](double q) { return facts.units.text(q, Quantity::volume_flow, "", 2); };
    std::string uses;
    for (const OilBalance::Share& use : oil.uses)
      if (std::abs(use.flow) > 0.01 * oil.displaced)
        uses += (uses.empty() ? "" : "; ") + use.name + " " + flow(use.flow);
    rows.push_back({facts.result->logs[i].name, flow(oil.displaced), flow(oil.slip), flow(oil.stored), uses});
  }
  part.table(std::move(rows));
}

ReportPart file_part(const ReportFacts& facts) {
  Part part("For the file");
  if (facts.result) {
    say_conditions(facts, part);
    list_candidates(facts, part);
    show_curves(facts, part);
    show_balance(facts, part);
    const std::vector<Shortfall> missing = shortfalls(*facts.circuit, *facts.result, facts.evidence->observations);
    if (!missing.empty()) part.heading("What would make it surer");
    for (const Shortfall& one : missing)
      part.bullet(capital(one.missing) + ". " + capital(one.cost) + ". " + capital(one.mend) + ".");
  }
  part.heading("Assumed");
  if (facts.decision)
    for (const std::string& line : facts.decision->assumed) part.bullet(line + ".");
  part.bullet("How often each fault occurs has not been published: the priors are guesses.");
  part.bullet("The circuit is a model of a kind of engine; its numbers say in the file which of them are assumed.");
  part.heading("Cautions before anything is opened");
  for (const Caution& caution : cautions())
    if (caution.when == "opening" || caution.when == "always") part.bullet(std::string(caution.text));
  part.heading("Program and files");
  std::vector<std::vector<std::string>> rows{{"what", "fingerprint"}, {facts.program, ""}};
  for (const auto& [name, print] : facts.fingerprints) rows.push_back({name, print});
  part.table(std::move(rows));
  return part.done();
}

}  // namespace

Report job_report(const ReportFacts& facts) {
  Report report{
      facts.job->name + (facts.circuit ? " (" + facts.circuit->name + ")" : ""), facts.letterhead, facts.date, {}};
  report.parts = {customer_part(facts), file_part(facts)};
  return report;
}

}  // namespace railseep

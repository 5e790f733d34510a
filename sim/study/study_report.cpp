#include "study/study_report.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "drawing/svg_plot.hpp"
#include "quantity/quantity.hpp"
#include "study/study_figures.hpp"

namespace railseep {

namespace {

constexpr int rank_bins = 20;

std::string percent(double share, int decimals = 1) {
  char text[32];
  std::snprintf(text, sizeof text, "%.*f %%", decimals, 100 * share);
  return text;
}

std::string number(double value, const char* format = "%.3g") {
  char text[32];
  std::snprintf(text, sizeof text, format, value);
  return text;
}

std::string with_interval(const Share& share) {
  if (share.of == 0) return "no such job";
  return percent(share.value()) + " (" + percent(share.low(), 0) + " to " + percent(share.high(), 0) + ") of " +
         std::to_string(share.of);
}

std::string bar(const std::string& what, const std::string& wanted, const std::string& found, bool met) {
  return "| " + what + " | " + wanted + " | " + found + " | " + (met ? "yes" : "**no**") + " |\n";
}

std::string bars(const std::vector<JobOutcome>& outcomes) {
  const Score all = score("all", outcomes);
  const Share lower_half = cold_leaks_in_lower_half(outcomes);
  const Reliability candidates = candidate_reliability(outcomes), kinds = kind_reliability(outcomes);
  const auto gap = [](const Reliability& r) { return number(r.gap) + " (chance alone: " + number(r.chance) + ")"; };
  return "| what | bar | found, with its 95 % interval | met |\n|---|---|---|---|\n" +
         bar("90 % intervals hold the true severity", "88 to 92 %", with_interval(all.covered_90),
             all.covered_90.value() >= 0.88 && all.covered_90.value() <= 0.92) +
         bar("probabilities of candidates: mean distance from what came true", "0.03", gap(candidates),
             candidates.gap <= 0.03) +
         bar("the same, of kinds of fault", "0.03", gap(kinds), kinds.gap <= 0.03) +
         bar("most probable one is the truth or its look-alike, where perfect evidence could tell", "95 %",
             with_interval(all.top_right), all.top_right.value() >= 0.95) +
         bar("truth inside the 90 % set of candidates", "90 %", with_interval(all.in_90_set),
             all.in_90_set.value() >= 0.9) +
         bar("median size error where a size shows", "5 %",
             percent(all.size_error) + " of " + std::to_string(all.sized), all.size_error <= 0.05) +
         bar("leaks in jobs with a cold log that lie in the lower half of what is believed of their size", "45 to 55 %",
             with_interval(lower_half), lower_half.value() >= 0.45 && lower_half.value() <= 0.55);
}

std::string row(const Score& s) {
  return "| " + s.group + " | " + std::to_string(s.jobs) + " | " + percent(s.covered_50.value(), 0) + " | " +
         percent(s.covered_80.value(), 0) + " | " + with_interval(s.covered_90) + " | " + with_interval(s.in_90_set) +
         " | " + with_interval(s.top_right) + " | " + percent(s.missed.value(), 0) + " | " +
         (s.sized ? percent(s.size_error) + " of " + std::to_string(s.sized) : "") + " | " + percent(s.any_size_error) +
         " | " + number(s.surprise, "%.2f") + " |\n";
}

const char* const group_head =
    "| jobs | n | 50 % covers | 80 % covers | 90 % covers | truth in the 90 % set | top right | search missed | size "
    "error | over all faults | surprise |\n|---|---|---|---|---|---|---|---|---|---|---|\n";

std::string groups(const std::vector<JobOutcome>& outcomes) {
  std::string text = group_head + row(score("all", outcomes));
  std::set<std::string> conditions, kinds;
  for (const JobOutcome& o : outcomes) conditions.insert(o.conditions), kinds.insert(o.kind);
  for (const std::string& condition : conditions)
    text += row(score(condition, outcomes, [&](const JobOutcome& o) { return o.conditions == condition; }));
  for (const std::string& kind : kinds)
    text += row(score("*" + kind + "*", outcomes, [&](const JobOutcome& o) { return o.kind == kind; }));
  return text;
}

std::string by_deviation(const std::vector<JobOutcome>& outcomes) {
  std::string text = group_head;
  for (const DeviationInfo& info : all_deviations()) {
    const auto has = [&](const JobOutcome& o) { return parse_deviations(o.deviations).contains(info.deviation); };
    text += row(score("with " + std::string(info.word), outcomes, has));
    text += row(score("without", outcomes, [&](const JobOutcome& o) { return !has(o); }));
  }
  text += row(score("none at all", outcomes, [](const JobOutcome& o) { return o.deviations == "none"; }));
  return text;
}

std::string by_rate(const std::vector<JobOutcome>& outcomes) {
  std::string text = group_head;
  const auto between = [&](const std::string& name, double least, double most) {
    text += row(score(name, outcomes, [=](const JobOutcome& o) {
      return std::ranges::all_of(o.logs, [&](const LogOutcome& l) { return l.interval >= least && l.interval < most; });
    }));
  };
  between("4 sweeps a second and more, all logs", 0, 0.3), between("2 sweeps a second", 0.3, 0.7),
      between("1 sweep a second", 0.7, 2);
  return text;
}

std::string departure_table(const std::vector<Departure>& departures) {
  std::string text =
      "| deviation | crank | logs | late, rms | late, mean | early, rms | keeps for |\n|---|---|---|---|---|---|---|\n";
  for (const Departure& d : departures)
    text += "| " + d.deviations + " | " + d.conditions + " | " + std::to_string(d.logs) + " | " +
            percent(d.late_share) + " | " + percent(d.late_bias) + " | " +
            format_quantity(d.early, Quantity::pressure, "kPa", 3) + " | " +
            format_quantity(d.memory, Quantity::time, "s", 2) + " |\n";
  return text;
}

std::string reliability_table(const Reliability& reliability) {
  std::string text = "| predicted, mean | came true | of |\n|---|---|---|\n";
  for (const ReliabilityBin& bin : reliability.bins)
    text += "| " + percent(bin.predicted) + " | " + percent(bin.came_true.value()) + " (" +
            percent(bin.came_true.low()) + " to " + percent(bin.came_true.high()) + ") | " +
            std::to_string(bin.came_true.of) + " |\n";
  return text;
}

std::string refusals(const std::vector<JobOutcome>& outcomes) {
  std::string text;
  for (const JobOutcome& o : outcomes)
    if (!o.refused.empty())
      text += "- job " + std::to_string(o.number) + " (" + o.title + "; " + o.conditions + "): " + o.refused + "\n";
  return text.empty() ? "None: every job got an answer.\n" : text;
}

std::string facts_text(const StudyFacts& facts, const std::vector<JobOutcome>& outcomes) {
  const NoiseModel noise;
  const auto refused = std::ranges::count_if(outcomes, [](const JobOutcome& o) { return !o.refused.empty(); });
  const auto unsettled = std::ranges::count_if(outcomes, [](const JobOutcome& o) { return !o.converged; });
  std::string text = "- " + std::to_string(outcomes.size()) + " jobs (" + std::to_string(refused) + " refused), seed " +
                     std::to_string(facts.settings.seed) + ", deviations: " +
                     (facts.settings.deviations ? words(*facts.settings.deviations) : "each by the toss of a coin") +
                     "\n";
  text += "- circuit " + facts.circuit + " (fingerprint " + facts.circuit_print + "), priors " + facts.priors + " (" +
          facts.priors_print + ")\n";
  text += "- tolerances: noise " + number(noise.noise / 1e3) + " kPa, offset " + number(noise.offset / 1e3) +
          " kPa, share " + percent(noise.share) + ", memory " + number(noise.memory) + " s, timing " +
          number(noise.timing) + " of a sweep, oil temperature " + number(noise.measured_temperature) + " K\n";
  text += "- overshoot " + percent(noise.overshoot) + " and " + percent(noise.overshoot_rate) +
          " for each second between sweeps; a rise early or late by " + percent(noise.filling) +
          " of the time it took\n";
  text += "- all that beyond the noise so many times as wide, in so many of all logs:";
  for (const ModelErrorScale& off : noise.off)
    text += (&off == &noise.off.front() ? " " : ", ") + number(off.times) + " in " + percent(off.chance);
  text += "\n";
  text +=
      "- fits of the true candidate that did not settle, or were left out as hopeless: " + std::to_string(unsettled) +
      "\n";
  text += "- searches for the true candidate that ended at a point worse than the truth itself (by a factor of e^" +
          number(missed_by) + " or more): " + with_interval(score("all", outcomes).missed) + "\n";
  return text;
}

std::string deviation_list() {
  std::string text;
  for (const DeviationInfo& info : all_deviations())
    text += "- **" + std::string(info.word) + "**: " + std::string(info.meaning) + "\n";
  return text;
}

std::string rank_figure(const std::vector<JobOutcome>& outcomes) {
  const RankHistogram ranks = rank_histogram(outcomes, rank_bins);
  PlotCurve counts{"severities", {}, {}};
  for (int i = 0; i < rank_bins; ++i)
    for (const int end : {i, i + 1})
      counts.x.push_back(static_cast<double>(end) / rank_bins),
          counts.y.push_back(ranks.counts[static_cast<std::size_t>(i)]);
  const auto level = [](const char* label, double y) {
    return PlotCurve{label, {0, 1}, {y, y}, PlotCurve::Mark::dashes};
  };
  return svg_plot("Rank of the true severity in its posterior", "posterior probability of a smaller severity", "jobs",
                  {counts, level("95 % of even bins", ranks.least), level("", ranks.most)});
}

std::string coverage_figure(const std::vector<JobOutcome>& outcomes) {
  PlotCurve found{"found", {0}, {0}}, low{"95 % interval", {0}, {0}, PlotCurve::Mark::dashes},
      high{"", {0}, {0}, PlotCurve::Mark::dashes};
  for (double claimed = 0.05; claimed < 0.995; claimed += 0.05) {
    Share share;
    for (const JobOutcome& o : outcomes)
      if (o.refused.empty() && o.faulty()) share.count(std::abs(o.cdf - 0.5) <= 0.5 * claimed);
    found.x.push_back(claimed), low.x.push_back(claimed), high.x.push_back(claimed);
    found.y.push_back(share.value()), low.y.push_back(share.low()), high.y.push_back(share.high());
  }
  return svg_plot("How often intervals hold the true severity", "what the interval claims", "share of jobs",
                  {found, low, high, {"as claimed", {0, 1}, {0, 1}}});
}

std::string reliability_figure(const Reliability& reliability, const std::string& of) {
  PlotCurve found{"came true", {}, {}, PlotCurve::Mark::dots}, low{"95 % interval", {}, {}, PlotCurve::Mark::dashes},
      high{"", {}, {}, PlotCurve::Mark::dashes};
  for (const ReliabilityBin& bin : reliability.bins) {
    for (PlotCurve* curve : {&found, &low, &high}) curve->x.push_back(bin.predicted);
    found.y.push_back(bin.came_true.value()), low.y.push_back(bin.came_true.low()),
        high.y.push_back(bin.came_true.high());
  }
  return svg_plot("Probabilities of " + of + " against what came true", "predicted", "share that was true",
                  {found, low, high, {"as predicted", {0, 1}, {0, 1}}});
}

std::string quoted(const std::string& text) {
  std::string all = "\"";
  for (const char c : text) all += c == '"' ? std::string("\"\"") : std::string(1, c);
  return all + "\"";
}

std::string jobs_csv(const std::vector<JobOutcome>& outcomes) {
  std::string csv =
      "job,conditions,deviations,kind,truth,severity [SI],best [SI],low [SI],high [SI],rank [-],interval over prior "
      "[-],place of truth,probability of truth [-],in 90 % set,"
      "most probable,look-alikes,ln factor of the next,top is alike,converged,missed [ln],refused\n";
  for (const JobOutcome& o : outcomes) {
    csv += std::to_string(o.number) + "," + quoted(o.conditions) + "," + o.deviations + "," + o.kind + "," +
           quoted(o.title);
    for (const double v : {o.severity, o.best, o.low, o.high, o.cdf, o.sharpness}) csv += "," + number(v, "%.5g");
    csv += "," + std::to_string(o.truth + 1) + "," +
           number(o.truth < 0 ? 0 : o.probabilities[static_cast<std::size_t>(o.truth)], "%.4g") + "," +
           std::to_string(o.in_90_set()) + "," + quoted(o.top) + "," + std::to_string(o.look_alikes) + "," +
           number(o.next, "%.3g") + "," + std::to_string(o.top_is_alike) + "," + std::to_string(o.converged) + "," +
           number(o.missed, "%.3g") + "," + quoted(o.refused) + "\n";
  }
  return csv;
}

std::string logs_csv(const std::vector<JobOutcome>& outcomes) {
  std::string csv =
      "job,log,deviations,oil temperature [K],interval [s],samples,surprise at the truth,late offset [Pa],late "
      "pressure [Pa]\n";
  for (const JobOutcome& o : outcomes)
    for (const LogOutcome& log : o.logs) {
      csv += std::to_string(o.number) + "," + log.name + "," + o.deviations;
      for (const double v : {log.oil_temperature, log.interval, static_cast<double>(log.samples), log.surprise,
                             log.late_offset, log.late_pressure})
        csv += "," + number(v, "%.5g");
      csv += "\n";
    }
  return csv;
}

std::string markdown(const StudyFacts& facts, const std::vector<JobOutcome>& outcomes) {
  const RankHistogram ranks = rank_histogram(outcomes, rank_bins);
  std::string text =
      "# Do the match's probabilities and intervals mean what they say?\n\nMade-up jobs were drawn from the match's "
      "own priors, cranked by an engine that deviates from the model, logged as a scan "
      "tool would, read back by the log reader, and matched (simulation-based calibration, Talts et al. 2018). Written "
      "by `railseep study`.\n\n";
  text += facts_text(facts, outcomes) + "\n## Bars\n\n" + bars(outcomes);
  text +=
      "\n\"Where perfect evidence could tell\": the same match on pressures that are exactly what the model computes "
      "for the truth puts every candidate that is no look-alike (Bayes factor under " +
      number(look_alike_factor) + ") at a factor of " + number(decisive_factor) +
      " or more below the truth. \"Where a size shows\": the fit's 90 % interval is under a third of the prior's. The "
      "distance of probabilities is weighted by probability.\n";
  text += "\n## Intervals\n\nRanks are even when posteriors are right: p = " + number(ranks.p_value, "%.2g") +
          " for even bins.\n\n![ranks](ranks.svg) ![coverage](coverage.svg)\n";
  text += "\n## Probabilities\n\n![candidates](reliability.svg) ![kinds](kinds.svg)\n\nCandidates:\n\n" +
          reliability_table(candidate_reliability(outcomes)) + "\nKinds of fault:\n\n" +
          reliability_table(kind_reliability(outcomes));
  text +=
      "\n## By condition and by true fault\n\nSurprise: mean square of the whitened deviation from what the model "
      "computes for the truth, each at most 9; 1 when the tolerances are right.\n\n" +
      groups(outcomes);
  text += "\n## By rate\n\n" + by_rate(outcomes) + "\n## By deviation\n\n" + deviation_list() + "\n" +
          by_deviation(outcomes);
  if (!facts.departures.empty())
    text +=
        "\n## How far each deviation is from the model\n\nNoise-free logs against the model at the truth. Late: mean "
        "over the last third, as a share of the pressure. Early: the first third, without the late offset. "
        "\"none\" is what sampling, skewed columns and the tachometer cost.\n\n" +
        departure_table(facts.departures);
  return text + "\n## Refused jobs\n\n" + refusals(outcomes);
}

}  // namespace

std::vector<ReportFile> study_report(const StudyFacts& facts, const std::vector<JobOutcome>& outcomes) {
  return {{"report.md", markdown(facts, outcomes)},
          {"figures.json", figures_text(figures_of(facts.circuit, facts.normal_print, facts.settings, outcomes))},
          {"ranks.svg", rank_figure(outcomes)},
          {"coverage.svg", coverage_figure(outcomes)},
          {"reliability.svg", reliability_figure(candidate_reliability(outcomes), "candidates")},
          {"kinds.svg", reliability_figure(kind_reliability(outcomes), "kinds of fault")},
          {"jobs.csv", jobs_csv(outcomes)},
          {"logs.csv", logs_csv(outcomes)}};
}

}  // namespace railseep

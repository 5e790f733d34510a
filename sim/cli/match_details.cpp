#include "cli/match_details.hpp"

#include <algorithm>
#include <functional>
#include <iomanip>
#include <iostream>

#include "after/shortfalls.hpp"
#include "cli/commands.hpp"
#include "cli/page.hpp"
#include "study/study_figures.hpp"
#include "words/answer.hpp"
#include "words/what_speaks.hpp"

namespace railseep {

namespace {

constexpr std::size_t rows_shown = 9, title_width = 64;

void print_evidence(const Evidence& evidence, const ShownUnits& units) {
  const auto shown = [&](double p) { return units.typed(p, Quantity::pressure); };
  std::cout << "\nEvidence\n";
  for (const CrankEvidence& log : evidence.logs) {
    const auto [low, high] = std::minmax_element(log.measured.begin(), log.measured.end());
    std::cout << "  " << log.name << ": " << log.time.size() << " pressures in "
              << format_quantity(log.duration, Quantity::time, "s", 3) << ", " << shown(*low) << " to " << shown(*high)
              << ", oil " << units.typed(log.condition.oil_temperature, Quantity::temperature)
              << (log.temperature_doubt >= untold_temperature ? " assumed" : "")
              << (log.duty ? "" : ", duty not measured") << (log.stage == Stage::good ? ", known to be good" : "")
              << "\n";
    for (const std::string& note : log.notes) std::cout << wrapped("    note: " + note, "      ");
  }
  const Observations& seen = evidence.observations;
  for (const auto& [count, what] :
       {std::pair(seen.readings.size(), "reading"), std::pair(seen.starts.size(), "start or no-start"),
        std::pair(seen.checks.size(), "check"), std::pair(seen.air.size(), "shop-air test")})
    if (count > 0) std::cout << "  " << count << " " << what << (count > 1 ? "s" : "") << "\n";
  for (const std::string& note : seen.notes) std::cout << wrapped("  note: " + note, "    ");
}

void print_troubles(const MatchResult& result) {
  for (const std::string& trouble : result.troubles) std::cout << wrapped("  not computed: " + trouble, "    ");
}

void print_shortfalls(const Circuit& circuit, const MatchResult& result, const Observations& seen) {
  const std::vector<Shortfall> all = shortfalls(circuit, result, seen);
  const bool grave = std::ranges::any_of(all, &Shortfall::grave);
  std::cout << (grave         ? "\nNOT ENOUGH EVIDENCE to act upon. What is missing:\n"
                : all.empty() ? ""
                              : "\nWhat would make it surer\n");
  for (const Shortfall& one : all) {
    std::cout << wrapped(std::string("  ") + (one.grave ? "! " : "- ") + one.missing + ".", "    ");
    std::cout << wrapped("    Costs: " + one.cost + ".", "    ") << wrapped("    Mend: " + one.mend + ".", "    ");
  }
}

void print_ranking(const Circuit& circuit, const MatchResult& result, const ShownUnits& units) {
  std::cout << "\nCandidates, most probable first\n"
            << "  prob.  fault; size (90 % interval)                                      oil lost*    misfit\n";
  double rest = 1;
  std::size_t shown = 0;
  for (; shown < std::min(rows_shown, result.fits.size()) && result.fits[shown].probability >= 0.005; ++shown) {
    const FaultFit& fit = result.fits[shown];
    rest -= fit.probability;
    const std::string size = result.unexplained ? "" : severity_words(fit, units);
    const std::vector<std::string> lines =
        broken(fit.candidate.title() + (size.empty() ? "" : "; " + size), title_width);
    std::cout << "  " << std::setw(5) << percent(fit.probability) << "  " << fitted(lines.front(), title_width)
              << std::setw(10) << (fit.flow ? units.typed(*fit.flow, Quantity::volume_flow, "", 2) : "")
              << std::setw(10) << units.typed(fit.misfit, Quantity::pressure, "", 2) << "\n";
    for (std::size_t i = 1; i < lines.size(); ++i) std::cout << "         " << lines[i] << "\n";
  }
  std::cout << "  " << std::setw(5) << percent(rest) << "  the other " << result.fits.size() - shown
            << " candidates together\n";
  std::cout << "  * at " << units.typed(reference_pressure, Quantity::pressure)
            << " with the hottest log's oil. misfit: root mean square over all pressures. Priors and tolerances are "
               "assumed.\n"
            << wrapped("  " + trust(published_study(), circuit), "  ");
  std::cout << wrapped("  " + second_fault_words(result), "  ");
}

/// A candidate with all its places.
std::string in_full(const Candidate& candidate) {
  if (candidate.healthy()) return candidate.title();
  std::string text;
  for (const Suspect& suspect : candidate.suspects) {
    text += (text.empty() ? "" : " and ") + std::string(suspect.kind->word) + " at ";
    for (std::size_t k = 0; k < suspect.places.size(); ++k)
      text += (k == 0 ? "" : k + 1 == suspect.places.size() ? " or " : ", ") + suspect.places[k].place;
  }
  return text;
}

void print_what_speaks(const MatchResult& result, const ShownUnits& units) {
  const std::vector<WhatSpeaks> all = what_speaks(result);
  if (!all.empty()) std::cout << "\nWhat the answer rests on\n";
  for (const WhatSpeaks& speaks : all) std::cout << wrapped("  - " + words_for(speaks, result, units), "    ");
}

void print_sets(const MatchResult& result, const std::vector<Telling>& tellings) {
  std::cout << "\nThis evidence cannot tell apart (Bayes factor under 3)\n";
  if (result.sets.empty())
    std::cout << (result.unexplained ? "  any of them, for none explains the logs: no size is given, and chances are "
                                       "those of before any log\n"
                                     : "  nothing: the first candidate stands alone\n");
  for (std::size_t s = 0; s < result.sets.size(); ++s) {
    std::string text;
    for (const std::size_t i : result.sets[s].fits)
      text += (text.empty() ? "" : "; ") + in_full(result.fits[i].candidate);
    std::cout << wrapped("  - " + text, "    ") << wrapped("    Why: " + result.sets[s].why, "    ")
              << wrapped("    What would tell: " + tellings[s].words, "    ");
  }
}

/// Each log has its own circuit: a rail may be plugged in it, and the leak is not in one of the good engine.
std::vector<std::string> uses_in(const std::vector<OilBalance>& balances) {
  std::vector<std::string> names;
  for (const OilBalance& oil : balances)
    for (const OilBalance::Share& use : oil.uses)
      if (std::ranges::find(names, use.name) == names.end()) names.push_back(use.name);
  return names;
}

}  // namespace

void print_why(const Circuit& circuit, const MatchResult& result, const Evidence& evidence,
               const std::vector<Telling>& tellings, const ShownUnits& units) {
  print_evidence(evidence, units);
  print_shortfalls(circuit, result, evidence.observations);
  print_ranking(circuit, result, units);
  print_troubles(result);
  print_what_speaks(result, units);
  print_sets(result, tellings);
}

void print_places(const MatchResult& result, const ShownUnits& units) {
  std::cout << "\nEvery candidate with all its places\n";
  for (const FaultFit& fit : result.fits) {
    const std::string size = result.unexplained ? "" : severity_words(fit, units);
    std::cout << wrapped(
        "  " + percent(fit.probability) + "  " + in_full(fit.candidate) + (size.empty() ? "" : "; " + size),
        "         ");
  }
}

void print_balance(const MatchResult& result, const ShownUnits& units) {
  if (result.balances.empty()) return;
  std::cout << "\nWhere the pump's oil goes at the end of each crank, if the first candidate is right [" << units.flow
            << "]\n";
  std::cout << "  " << std::left << std::setw(44) << "";
  for (const CrankEvidence& log : result.logs) std::cout << std::right << std::setw(14) << log.name.substr(0, 13);
  std::cout << "\n" << std::fixed << std::setprecision(units.flow == "L/min" ? 2 : 1);
  const auto row = [&](const std::string& name, const std::function<double(const OilBalance&)>& flow) {
    std::cout << "  " << std::left << std::setw(44) << name << std::right;
    for (const OilBalance& oil : result.balances)
      std::cout << std::setw(14) << units.number(flow(oil), Quantity::volume_flow);
    std::cout << "\n";
  };
  row("pump displaces", [](const OilBalance& oil) { return oil.displaced; });
  row("slips back inside the pump", [](const OilBalance& oil) { return oil.slip; });
  for (const std::string& use : uses_in(result.balances))
    row(use, [&use](const OilBalance& oil) {
      const auto found = std::ranges::find(oil.uses, use, &OilBalance::Share::name);
      return found == oil.uses.end() ? 0 : found->flow;
    });
  row("fills and compresses", [](const OilBalance& oil) { return oil.stored; });
}

}  // namespace railseep

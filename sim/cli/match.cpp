#include "match/match.hpp"

#include <algorithm>
#include <filesystem>
#include <iomanip>
#include <iostream>
#include <memory>

#include "after/shortfalls.hpp"
#include "cli/commands.hpp"
#include "cli/job_match.hpp"
#include "cli/match_json.hpp"
#include "decide/telling.hpp"
#include "log/trace_csv.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"
#include "study/study_figures.hpp"

namespace railseep {

namespace {

constexpr std::size_t rows_shown = 9;

struct MatchChoices {
  std::string job, out, priors = "models/priors.json", costs = "models/costs.json", checks = "models/checks.json";
  bool json = false, metric = false, pairs = false;
  int threads = 0;
};

std::string severity(const FaultFit& fit) {
  std::string text;
  for (std::size_t i = 0; i < fit.severities.size(); ++i) {
    const FaultKind& kind = *fit.candidate.suspects[i].kind;
    const auto number = [&](double si) { return format_quantity(si, kind.quantity, kind.unit, 2); };
    const std::string low = number(fit.severities[i].low);
    text += (i > 0 ? ", " : "") + number(fit.severities[i].best) + " (" + low.substr(0, low.find(' ')) + " to " +
            number(fit.severities[i].high) + ")";
  }
  return text;
}

void print_evidence(const Evidence& evidence, bool metric) {
  std::cout << "Evidence\n";
  for (const CrankEvidence& log : evidence.logs) {
    const auto [low, high] = std::minmax_element(log.measured.begin(), log.measured.end());
    std::cout << "  " << log.name << ": " << log.time.size() << " pressures in "
              << format_quantity(log.duration, Quantity::time, "s", 3) << ", " << pressure(*low, metric) << " to "
              << pressure(*high, metric) << ", oil "
              << format_quantity(log.condition.oil_temperature, Quantity::temperature, "degC", 3)
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

void print_ranking(const Circuit& circuit, const MatchResult& result, bool metric) {
  std::cout << "\nCandidates, most probable first\n";
  std::cout
      << "  prob.  fault                                            size (90 % interval)        oil lost*   misfit\n";
  double rest = 1;
  std::size_t shown = 0;
  for (; shown < std::min(rows_shown, result.fits.size()) && result.fits[shown].probability >= 0.005; ++shown) {
    const FaultFit& fit = result.fits[shown];
    rest -= fit.probability;
    std::cout << "  " << std::setw(5) << percent(fit.probability) << "  " << std::left << std::setw(48)
              << fit.candidate.title() << " " << std::setw(26) << severity(fit) << std::right << std::setw(9)
              << (fit.flow ? format_quantity(*fit.flow, Quantity::volume_flow, "cm3/s", 2) : "") << std::setw(10)
              << format_quantity(fit.misfit, Quantity::pressure, metric ? "MPa" : "psi", 2) << "\n";
  }
  std::cout << "  " << std::setw(5) << percent(rest) << "  the other " << result.fits.size() - shown
            << " candidates together\n";
  std::cout << "  * at " << pressure(reference_pressure, metric)
            << " with the hottest log's oil. misfit: root mean square over all pressures. Priors and tolerances are "
               "assumed.\n"
            << wrapped("  " + trust(published_study(), circuit), "  ");
  std::cout
      << (result.pairs_tried
              ? "  Two faults at once were tried, because no single one explained the logs well or it was asked for.\n"
              : "  No second fault is needed to explain the evidence: two at once were not tried (--pairs tries "
                "them).\n");
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

void print_sets(const MatchResult& result, const std::vector<Telling>& tellings) {
  std::cout << "\nThis evidence can not tell apart (Bayes factor under 3)\n";
  if (result.sets.empty()) std::cout << "  nothing: the first candidate stands alone\n";
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

void print_balance(const MatchResult& result) {
  std::cout << "\nWhere the pump's oil goes at the end of each crank, if the first candidate is right [cm3/s]\n";
  std::cout << "  " << std::left << std::setw(44) << "";
  for (const CrankEvidence& log : result.logs) std::cout << std::right << std::setw(14) << log.name.substr(0, 13);
  std::cout << "\n" << std::fixed << std::setprecision(1);
  const auto row = [&](const std::string& name, const std::function<double(const OilBalance&)>& flow) {
    std::cout << "  " << std::left << std::setw(44) << name << std::right;
    for (const OilBalance& oil : result.balances) std::cout << std::setw(14) << flow(oil) * 1e6;
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

/// Measured and computed pressure of the first candidates, one file a log.
std::vector<std::string> write_curves(const MatchResult& result, const std::string& folder, bool metric) {
  make_folder(folder);
  std::vector<std::string> files;
  for (std::size_t i = 0; i < result.logs.size(); ++i) {
    Trace trace{result.logs[i].time, {{"measured", Quantity::pressure, result.logs[i].measured}}};
    for (std::size_t k = 0; k < std::min<std::size_t>(5, result.fits.size()); ++k)
      trace.channels.push_back({result.fits[k].candidate.title(), Quantity::pressure, result.fits[k].computed[i]});
    std::string name = result.logs[i].name;
    std::replace_if(
        name.begin(), name.end(), [](unsigned char c) { return !std::isalnum(c); }, '_');
    for (const auto& [what, text] : {std::pair("_fit.csv", trace_csv(trace, metric)),
                                     std::pair("_all_channels.csv", trace_csv(result.best[i].trace, metric))}) {
      files.push_back((std::filesystem::path(folder) / (name + what)).string());
      write_text(files.back(), text, true);
    }
  }
  return files;
}

void print_hint() {
  std::cout
      << "\n"
      << wrapped(
             "A computed result is a hint, not proof: confirm by a test before parts. Before anything is opened: key "
             "off, wait, rest volts. "
             "Oil at these pressures enters skin; never feel for a leak. Maker's manual and local rules come first.",
             "");
}

int run_match(const MatchChoices& choices) {
  const Costs costs = read_costs(data_file(choices.costs));
  const Checks checks = read_checks(data_file(choices.checks));
  const auto [job, circuit, result, evidence] =
      match_job(choices.job, choices.priors, choices.threads, choices.pairs ? Pairs::always : Pairs::when_needed);
  const std::vector<Telling> tellings =
      what_would_tell(circuit, result, costs, checks, done_checks(evidence), choices.threads);
  if (choices.json) {
    std::cout << match_json(job, circuit, result, tellings).dump(2) << "\n";
    return exit_done;
  }
  std::cout << job.name << ": " << circuit.name << "\n" << wrapped("Complaint: " + job.complaint, "  ");
  print_evidence(evidence, choices.metric);
  print_shortfalls(circuit, result, evidence.observations);
  print_ranking(circuit, result, choices.metric);
  print_troubles(result);
  print_sets(result, tellings);
  if (!result.balances.empty()) print_balance(result);
  print_hint();
  if (!choices.out.empty())
    for (const std::string& file : write_curves(result, choices.out, choices.metric))
      std::cout << "curves: " << file << "\n";
  return exit_done;
}

}  // namespace

void add_match(CLI::App& program, Run& run) {
  auto choices = std::make_shared<MatchChoices>();
  CLI::App* command =
      program.add_subcommand("match", "Rank what may be wrong by how well it explains the logs of a job");
  command->add_option("job", choices->job, "Job file, such as scenarios/harbour-work-boat/job.json")->required();
  command->add_option("--out", choices->out,
                      "Folder for the curves (measured and computed) as CSV; files of the same name are replaced");
  command->add_option("--priors", choices->priors, "How likely each kind of fault is beforehand")
      ->capture_default_str();
  command->add_option("--costs", choices->costs, "What work costs in your shop")->capture_default_str();
  command->add_option("--checks", choices->checks, "Minutes, money and errors of the checks")->capture_default_str();
  add_threads(*command, choices->threads);
  command->add_flag("--pairs", choices->pairs, "Try two faults at once even where one explains the evidence");
  command->add_flag("--json", choices->json, "Print the result for machines");
  command->add_flag("--metric", choices->metric, "MPa instead of psi");
  command->callback([choices, &run] { run = [choices] { return run_match(*choices); }; });
}

}  // namespace railseep

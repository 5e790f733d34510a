#include "match/match.hpp"

#include <iostream>
#include <memory>

#include "cli/answer.hpp"
#include "cli/commands.hpp"
#include "cli/match_json.hpp"
#include "log/trace_csv.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

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

int run_match(const AnswerChoices& choices) {
  const Answer found = answer(choices, "match");
  const JobMatch& matched = found.matched;
  if (choices.json)
    std::cout << match_json(matched.job, matched.circuit, matched.result, matched.evidence.observations,
                            found.decision.tellings, choices.units())
                     .dump(2)
              << "\n";
  else
    print_match_screen(found, choices), print_rest(choices, found);
  if (!choices.out.empty())
    for (const std::string& file : write_curves(matched.result, choices.out, choices.metric))
      (choices.json ? std::cerr : std::cout) << "curves: " << file << "\n";
  return exit_done;
}

}  // namespace

void add_match(CLI::App& program, Run& run) {
  auto choices = std::make_shared<AnswerChoices>();
  CLI::App* command = program.add_subcommand("match", "Say what may be wrong, where, and how sure that is, from logs");
  add_answer_options(*command, *choices);
  command->add_option("--out", choices->out,
                      "Folder for the curves (measured and computed) as CSV; files of the same name are replaced");
  command->callback([choices, &run] { run = [choices] { return run_match(*choices); }; });
}

}  // namespace railseep

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
void write_curves(Output& out, const MatchResult& result, const std::string& folder) {
  make_folder(folder);
  for (std::size_t i = 0; i < result.logs.size(); ++i) {
    Trace trace{result.logs[i].time, {{"measured", Quantity::pressure, result.logs[i].measured}}};
    for (std::size_t k = 0; k < std::min<std::size_t>(5, result.fits.size()); ++k)
      trace.channels.push_back({result.fits[k].candidate.title(), Quantity::pressure, result.fits[k].computed[i]});
    std::string name = result.logs[i].name;
    std::replace_if(
        name.begin(), name.end(), [](unsigned char c) { return !std::isalnum(c); }, '_');
    const std::string start = (std::filesystem::path(folder) / name).string();
    out.file("curves", start + "_fit.csv", trace_csv(trace, out.unit_of()));
    out.file("curves", start + "_all_channels.csv", trace_csv(result.best[i].trace, out.unit_of()));
  }
}

int run_match(const AnswerChoices& choices) {
  Output out(choices.output, {});
  const Answer found = answer(choices, "match");
  print_match_screen(out, found);
  print_rest(out, choices, found);
  if (!choices.out.empty()) write_curves(out, found.matched.result, choices.out);
  out.json(match_json(found));
  return out.code(verdict_of(found));
}

}  // namespace

void add_match(CLI::App& program, Run& run) {
  auto choices = std::make_shared<AnswerChoices>();
  CLI::App* command = program.add_subcommand("match", "Say what may be wrong, where, and how sure that is, from logs");
  add_answer_options(*command, *choices);
  command->add_option("--out", choices->out,
                      "Folder for the curves (measured and computed) as CSV; it is made where it is not there");
  add_overwrite(*command, choices->output);
  add_verdict(*command, choices->output, verdict_words);
  command->callback([choices, &run] { run = [choices] { return run_match(*choices); }; });
}

}  // namespace railseep

#include "study/study_figures.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "circuit/circuit_file.hpp"
#include "quantity/error.hpp"
#include "quantity/fingerprint.hpp"
#include "quantity/json_fields.hpp"
#include "study/study_text.hpp"

namespace railseep {

namespace {

Json json_of(const Share& share) { return {{"hits", share.hits}, {"of", share.of}}; }

int count(JsonFields& fields, const char* key) {
  const double number = fields.quantity(key, Quantity::ratio);
  if (!(number >= 0 && number <= 1e9 && number == std::floor(number)))
    throw Error(fields.place_of(key), "it is no count", "write a whole number, 0 or more");
  return static_cast<int>(number);
}

Share share_at(JsonFields& fields, const char* key) {
  JsonFields counts = fields.object(key);
  Share share;
  share.hits = count(counts, "hits");
  share.of = count(counts, "of");
  counts.finish();
  if (share.hits > share.of) throw Error(fields.place_of(key), "more hits than jobs", "write no more hits than \"of\"");
  return share;
}

std::string whole_percent(double share) {
  char text[32];
  std::snprintf(text, sizeof text, "%.0f %%", 100 * share);
  return text;
}

}  // namespace

StudyFigures figures_of(const std::string& circuit, const std::string& print, const StudySettings& settings,
                        const std::vector<JobOutcome>& outcomes) {
  const Score all = score("all", outcomes);
  StudyFigures figures;
  figures.circuit = circuit;
  figures.circuit_print = print;
  figures.seed = settings.seed;
  figures.jobs = static_cast<int>(outcomes.size());
  figures.refused = figures.jobs - all.jobs;
  figures.intervals_90 = all.covered_90;
  figures.sets_90 = all.in_90_set;
  figures.top_right = all.top_right;
  figures.candidates = candidate_reliability(outcomes).gap;
  figures.kinds = kind_reliability(outcomes).gap;
  figures.size_error = all.size_error;
  figures.sized = all.sized;
  figures.lower_half = cold_leaks_in_lower_half(outcomes);
  return figures;
}

std::string figures_text(const StudyFigures& figures) {
  const Json json{{"railseep", "study figures"},
                  {"circuit", figures.circuit},
                  {"circuit_print", figures.circuit_print},
                  {"seed", figures.seed},
                  {"jobs", figures.jobs},
                  {"refused", figures.refused},
                  {"intervals_90", json_of(figures.intervals_90)},
                  {"sets_90", json_of(figures.sets_90)},
                  {"top_right", json_of(figures.top_right)},
                  {"lower_half", json_of(figures.lower_half)},
                  {"candidates", figures.candidates},
                  {"kinds", figures.kinds},
                  {"size_error", figures.size_error},
                  {"sized", figures.sized}};
  return json.dump(2) + "\n";
}

StudyFigures parse_figures(const std::string& text, const std::string& file) {
  const Json json = parse_json(text, file);
  JsonFields fields = JsonFields::top(json, file);
  if (fields.text("railseep") != "study figures")
    throw Error(fields.place_of("railseep"), "this is not a file of a study's figures",
                "write \"railseep\": \"study figures\"");
  StudyFigures figures;
  figures.circuit = fields.text("circuit");
  figures.circuit_print = fields.text("circuit_print");
  figures.seed = static_cast<std::uint64_t>(count(fields, "seed"));
  figures.jobs = count(fields, "jobs");
  figures.refused = count(fields, "refused");
  figures.intervals_90 = share_at(fields, "intervals_90");
  figures.sets_90 = share_at(fields, "sets_90");
  figures.top_right = share_at(fields, "top_right");
  figures.lower_half = share_at(fields, "lower_half");
  figures.candidates = fields.quantity("candidates", Quantity::ratio);
  figures.kinds = fields.quantity("kinds", Quantity::ratio);
  figures.size_error = fields.quantity("size_error", Quantity::ratio);
  figures.sized = count(fields, "sized");
  fields.finish();
  return figures;
}

const StudyFigures& published_study() {
  static const StudyFigures shipped = parse_figures(study_text, "models/study.json");
  return shipped;
}

std::string trust(const StudyFigures& study, const Circuit& circuit) {
  std::string text = "On " + std::to_string(study.answered()) + " made-up engines that deviate from the model (" +
                     study.circuit + ", seed " + std::to_string(study.seed) + ") such intervals held the truth in " +
                     whole_percent(study.intervals_90.value()) + " (" + whole_percent(study.intervals_90.low()) +
                     " to " + whole_percent(study.intervals_90.high()) + "), and probabilities were " +
                     whole_percent(study.candidates) +
                     " off what came true, on average. With a cold log among them, leaks lay in the lower half of " +
                     "their interval in " + whole_percent(study.lower_half.value()) + ".";
  if (fingerprint(circuit_text(circuit)) != study.circuit_print) text += " Of this circuit there is no such study.";
  return text;
}

}  // namespace railseep

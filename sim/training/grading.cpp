#include "training/grading.hpp"

#include <algorithm>
#include <cmath>

#include "quantity/error.hpp"

namespace railseep {

Rubric read_rubric(const std::string& path) {
  const Json json = read_json(path);
  JsonFields fields = JsonFields::top(json, path);
  if (fields.text("railseep") != "rubric")
    throw Error(fields.place_of("railseep"), "this is not a rubric", "write \"railseep\": \"rubric\"");
  Rubric rubric;
  rubric.source = fields.text("source");
  JsonFields points = fields.object("points");
  const auto take = [&](const char* key, double& into) {
    JsonFields row = points.object(key);
    into = row.quantity("points", Quantity::ratio);
    if (!(into >= 0 && into <= 100))
      throw Error(row.place_of("points"), "the points are out of range", "write 0 to 100");
    row.text("per"), row.text("source");
    row.finish();
  };
  take("wrong part", rubric.wrong_part), take("wrong cost", rubric.wrong_cost), take("time", rubric.time);
  take("proof points", rubric.proof_point), take("illogical", rubric.illogical), take("invalid", rubric.invalid);
  take("redundant", rubric.redundant), take("out of bounds", rubric.out_of_bounds), take("hint", rubric.hint);
  points.finish(), fields.finish();
  return rubric;
}

Grade grade(const Session& session, const Cost& par, const Rubric& rubric) {
  Grade grade;
  grade.solved = session.ending() == Ending::solved;
  const auto off = [&](double points, std::string reason, int step = -1) {
    if (points > 0) grade.deductions.push_back({points, std::move(reason), step});
  };
  double wrong = 0;
  int paid = 0, held = 0;
  for (std::size_t i = 0; i < session.steps().size(); ++i) {
    const Step& step = session.steps()[i];
    const int at = static_cast<int>(i);
    if (step.refused) {
      off(rubric.out_of_bounds, "out of bounds: " + (step.told.empty() ? "" : step.told.back()), at);
      continue;
    }
    if (step.wrong_part) {
      off(rubric.wrong_part, "a good part was renewed: " + step.move.what, at);
      wrong += step.cost.money;
    }
    if (!step.illogical.empty()) off(rubric.illogical, "it does not follow: " + step.illogical, at);
    if (step.invalid) off(rubric.invalid, "it says nothing so: " + step.evidence, at);
    if (step.redundant) off(rubric.redundant, "it could tell nothing new", at);
    if (step.move.verb == "hint") off(rubric.hint, "a hint", at);
    if (step.paid) ++paid, held += !step.move.suspect.empty() && step.as_expected.value_or(false);
  }
  if (par.money > 0) off(rubric.wrong_cost * wrong / par.money, "parts and labour for good parts, against the par");
  if (par.time > 0) off(rubric.time * std::max(0.0, session.clock() / par.time - 1), "time beyond the par");
  if (paid > 0)
    off(rubric.proof_point * (paid - held) / paid, std::to_string(paid - held) + " of " + std::to_string(paid) +
                                                       " paid moves had no suspicion, or no expectation that held");
  double sum = 0;
  for (const Deduction& deduction : grade.deductions) sum += deduction.points;
  grade.points = grade.solved ? std::max(0.0, 100 - sum) : 0;
  return grade;
}

}  // namespace railseep

// What is told beside a log, a reading or a try to start: oil, speed, battery, how long it stood, what was plugged.
#include "bench_parts.hpp"
#include "fluid/grade.hpp"
#include "look.hpp"

namespace railseep::gui {

namespace {

bool tells_more(const LogCondition& told) {
  return !told.oil.empty() || told.speed || told.battery || told.rest_air || told.rest_time > 0 || !told.block.empty();
}

void draw_grade(const std::string& id, LogCondition& condition) {
  std::vector<std::string> grades{""};
  for (const OilGrade& grade : oil_grades()) grades.push_back(grade.name);
  combo(id + "/oil", 0, condition.oil, grades, [](const std::string& grade) {
    return grade.empty() ? std::string("Oil: the circuit's usual grade") : "Oil: " + grade;
  });
}

void draw_block(const App& app, const std::string& id, LogCondition& condition) {
  std::vector<std::string> blocks{""};
  if (app.circuit)
    for (const Block& block : app.circuit->blocks) blocks.push_back(block.name);
  if (blocks.size() == 1 && condition.block.empty()) return;
  combo(id + "/block", 0, condition.block, blocks,
        [](const std::string& block) { return block.empty() ? std::string("Nothing plugged") : "Plugged: " + block; });
}

void draw_rest(const std::string& id, LogCondition& condition, const ShownUnits& units) {
  std::optional<double> stood = condition.rest_time > 0 ? std::optional(condition.rest_time) : std::nullopt;
  if (optional_slider("Stood before##" + id, "not told", stood, 600, Quantity::time, units, 30, 48 * 3600, "min"))
    condition.rest_time = stood.value_or(0);
}

}  // namespace

void draw_told_condition(App& app, const std::string& id, LogCondition& condition, const char* open, bool folded) {
  const ShownUnits& units = app.settings.units;
  optional_slider("Oil temperature##" + id, open, condition.oil_temperature, 363.15, Quantity::temperature, units,
                  243.15, 413.15);
  if (folded) {
    bool& unfolded =
        *ImGui::GetStateStorage()->GetBoolRef(ImGui::GetID((id + " unfolded").c_str()), tells_more(condition));
    if (button((unfolded ? "Less##" : "More: speed, battery, grade, rest, plugs##") + id)) unfolded = !unfolded;
    if (!unfolded) return;
  }
  optional_slider("Cranking speed##" + id, open, condition.speed, 18, Quantity::speed, units, 6, 30);
  optional_slider("Battery, cranking##" + id, open, condition.battery, 10.5, Quantity::voltage, units, 6, 14, "V");
  optional_slider("Air left by the stop##" + id, open, condition.rest_air, 0.03, Quantity::ratio, units, 0, 0.6);
  draw_rest(id, condition, units);
  draw_grade(id, condition);
  draw_block(app, id, condition);
}

}  // namespace railseep::gui

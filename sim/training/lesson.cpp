#include "training/lesson.hpp"

#include "circuit/faults.hpp"
#include "procedure/air_test.hpp"
#include "procedure/crank.hpp"
#include "procedure/isolate.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

LessonState read_state(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  LessonState state;
  state.title = fields.text("title"), state.question = fields.text("question"), state.why = fields.text("why");
  fields.each("faults", [&](const Json& item, const std::string& where) {
    if (!item.is_string())
      throw Error(where, item.dump().substr(0, 40) + " is not a fault",
                  "write it in quotes, such as \"outlet fitting: hole 1 mm\"");
    state.faults.push_back(item.get<std::string>());
  });
  state.oil_temperature = within_range(fields.quantity("oil_temperature", Quantity::temperature, 363.15),
                                       condition_range::oil_temperature, fields.place_of("oil_temperature"));
  if (fields.has("speed"))
    state.speed =
        within_range(fields.quantity("speed", Quantity::speed), condition_range::speed, fields.place_of("speed"));
  state.seconds = within_range(fields.quantity("seconds", Quantity::time, 6.0), {Quantity::time, 1, 30, "s"},
                               fields.place_of("seconds"));
  state.isolated = fields.flag("isolated", false), state.air = fields.flag("air", false);
  fields.finish();
  return state;
}

std::string heard_words(const AirPass& pass) {
  std::string text;
  for (const HeardPoint& point : pass.heard)
    text += (text.empty() ? "" : ", ") + point.name + " " + std::string(word(point.heard));
  return text;
}

}  // namespace

Lesson read_lesson(const std::string& path) {
  const Json json = read_json(path);
  JsonFields fields = JsonFields::top(json, path);
  if (fields.text("railseep") != "lesson")
    throw Error(fields.place_of("railseep"), "this is not a lesson", "write \"railseep\": \"lesson\"");
  Lesson lesson;
  lesson.title = fields.text("title"), lesson.opening = fields.text("opening");
  lesson.circuit = fields.text("circuit");
  fields.each(
      "states", [&](const Json& item, const std::string& place) { lesson.states.push_back(read_state(item, place)); },
      true);
  fields.finish();
  if (lesson.states.empty()) throw Error(fields.place_of("states"), "the list is empty", "add at least one state");
  return lesson;
}

LessonShown what_happens(const Circuit& circuit, const LessonState& state, const ShownUnits& units) {
  std::vector<Fault> faults;
  for (const std::string& text : state.faults) faults.push_back(parse_fault(text, circuit));
  const Circuit broken = with_faults(circuit, faults);
  LessonShown shown;
  std::vector<std::string>& lines = shown.lines;
  if (state.air) {
    AirTestOptions options;
    options.ear = "tube", options.timed = false;
    const AirTestResult result = air_test(broken, options);
    lines.push_back("Not energised: " + heard_words(result.open) + ".");
    if (result.shut) lines.push_back("Energised: " + heard_words(*result.shut) + ".");
    return shown;
  }
  Condition condition;
  condition.oil_temperature = state.oil_temperature;
  if (state.speed) condition.speed = Profile(*state.speed);
  CrankOptions options;
  options.duration = state.seconds;
  const CrankResult result =
      state.isolated ? isolate(broken, condition, both_rails, options) : crank(broken, condition, options);
  const CrankSummary summary = summarise(broken, result.trace);
  lines.push_back("Oil at " + units.typed(state.oil_temperature, Quantity::temperature, "", 2) + ", " +
                  format_quantity(result.trace.find(signal::engine_speed).value.back(), Quantity::speed, "rpm", 3) +
                  ": pressure levels off at " + units.typed(summary.plateau, Quantity::pressure) + ", duty " +
                  format_quantity(summary.duty, Quantity::ratio, "%", 2) + ".");
  lines.push_back(summary.time_to_enable ? "Injection may begin after " +
                                               format_quantity(*summary.time_to_enable, Quantity::time, "s", 2) + "."
                                         : "Injection is never allowed: it does not start.");
  const OilBalance oil = balance(broken, result.trace);
  const auto flow = [&](double q) { return units.typed(q, Quantity::volume_flow, "", 2); };
  std::string where = "The pump displaces " + flow(oil.displaced) + "; of it, back inside the pump " + flow(oil.slip);
  for (const OilBalance::Share& share : oil.uses)
    if (share.flow > 0.02 * oil.displaced) where += ", " + share.name + " " + flow(share.flow);
  lines.push_back(where + ".");
  shown.trace = result.trace;
  return shown;
}

}  // namespace railseep

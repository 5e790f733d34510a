// What a job knows besides its logs: values read off, whether it started, what looks showed.
#include <algorithm>

#include "bench_parts.hpp"
#include "evidence/reading.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

std::string moment_words(Moment moment) { return moment == Moment::unsaid ? "kept only" : std::string(word(moment)); }

/// What is usually done when such a value is read off.
Moment usual_moment(ChannelKind kind) {
  return kind == ChannelKind::rail_pressure_volts ? Moment::key_on : Moment::cranking;
}

/// Says whether the match uses a reading.
void say_use(const JobReading& reading, bool blank) {
  if (blank) return say_quietly("Type what was read, with any unit. It then counts as evidence.");
  std::string why = why_unused(reading);
  std::ranges::replace(why, '_', ' ');
  if (why.empty()) return say_quietly("Counts: the match compares it with what each fault would show.");
  ImGui::PushStyleColor(ImGuiCol_Text, palette().measured);
  say(reading.moment == Moment::unsaid ? "Kept only: the match does not use it." : "Kept only: " + why + ".");
  ImGui::PopStyleColor();
}

const InspectionKind* known_check(const std::string& word) {
  for (const InspectionKind& kind : inspection_kinds())
    if (kind.word == word) return &kind;
  return nullptr;
}

constexpr std::string_view coil_check = "coil resistance";

/// What the meter showed says more than good or bad.
void draw_resistance(App& app, JobFinding& finding) {
  bool measured = finding.resistance.has_value();
  if (tick("Measured", measured)) finding.resistance = measured ? std::optional(10.0) : std::nullopt;
  if (!finding.resistance) return;
  ImGui::SameLine();
  if (edit_number("resistance", *finding.resistance, Quantity::resistance, app.settings.units, "ohm", 8 * em()))
    finding.resistance = std::max(*finding.resistance, 0.01);
}

/// A check the match knows has an outcome; one in free words is kept and shown.
void draw_outcome(App& app, JobFinding& finding, const InspectionKind& kind) {
  say_quietly(std::string(kind.question));
  int outcome = !finding.bad ? 0 : *finding.bad ? 2 : 1;
  if (choice("outcome", {"not told", "good", "bad"}, outcome))
    finding.bad = outcome == 0 ? std::nullopt : std::optional(outcome == 2);
  if (kind.word == coil_check) draw_resistance(app, finding);
  if (!kind.at_place || !app.circuit) return;
  std::vector<std::string> places{""};
  for (const Access& access : app.circuit->access) places.push_back(access.name);
  for (const Site& site : app.circuit->sites) places.push_back(site.name);
  for (const Link& link : app.circuit->links) places.push_back(link.name);
  combo("where", 0, finding.place, places,
        [](const std::string& place) { return place.empty() ? std::string("Where ...") : place; });
  if (finding.place.empty() && finding.bad)
    finding.bad.reset(), say_quietly("Choose where; until then it is kept in words only.");
}

}  // namespace

std::string spaced(std::string_view name) {
  std::string text(name);
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

// A value, when it was read, and how sure it is.
void draw_reading_card(App& app, JobReading& reading, const std::string& id) {
  static const std::vector<ChannelKind> kinds{ChannelKind::rail_pressure,    ChannelKind::rail_pressure_volts,
                                              ChannelKind::regulator_duty,   ChannelKind::engine_speed,
                                              ChannelKind::battery_voltage,  ChannelKind::oil_temperature,
                                              ChannelKind::base_oil_pressure};
  static const std::vector<Moment> moments{Moment::unsaid,           Moment::key_on, Moment::cranking,
                                           Moment::highest_cranking, Moment::idle,   Moment::key_off};
  const float half = 0.5f * (ImGui::GetContentRegionAvail().x - ImGui::GetStyle().ItemSpacing.x);
  if (combo(id + "/kind", std::max(half, 11 * em()), reading.kind, kinds,
            [](ChannelKind kind) { return spaced(kind_name(kind)); }))
    reading.value = reading.kind == ChannelKind::oil_temperature ? 293.15 : 0, reading.moment = Moment::unsaid;
  ImGui::SameLine();
  const Quantity quantity = kind_quantity(reading.kind);
  const ShownUnits& units = app.settings.units;
  // As it is added a reading has no number yet, and says nothing; with its number it counts, unless somebody told
  // otherwise.
  bool& kept_only = *ImGui::GetStateStorage()->GetBoolRef(ImGui::GetID("kept only"), false);
  const bool blank = reading.moment == Moment::unsaid && !kept_only &&
                     reading.value == (reading.kind == ChannelKind::oil_temperature ? 293.15 : 0);
  if (edit_number(id, reading.value, quantity, units, {}, 0, blank ? "number" : "")) {
    if (blank) reading.moment = usual_moment(reading.kind);
    if (!reading.check.empty())
      reading.tolerance.reset(), reading.at_least.reset(),
          reading.at_most.reset();  // it was a range, now it is a number
  }
  if (combo(id + "/moment", 0, reading.moment, moments, moment_words)) kept_only = reading.moment == Moment::unsaid;
  tooltip("What was done to the engine; \"kept only\": the match does not use it");
  edit_text("In your words: hot, second try ...##" + id + "/when", reading.when);
  note_widget(id + "/when");
  say_use(reading, blank);
  if (reading.moment == Moment::unsaid) return;
  draw_told_condition(app, id, reading.condition, "not told", true);
  if (reading.moment == Moment::cranking || reading.moment == Moment::highest_cranking)
    optional_slider("Cranked for##" + id, "not told", reading.cranked, 6, Quantity::time, units, 1, 30, "s");
  if (reading.moment == Moment::key_off)
    optional_slider("After key off##" + id, "at once", reading.later, 5, Quantity::time, units, 0, 60, "s");
  bool about = reading.tolerance.has_value();
  const ReadingErrors* errors = reading_errors(reading.kind);
  if (errors && tick("About: it was not steady", about))
    reading.tolerance = about ? std::optional(3 * errors->tolerance) : std::nullopt;
  if (reading.tolerance) {
    one_line("give or take", 6 * em());
    ImGui::SameLine();
    if (edit_number(id + "/tolerance", *reading.tolerance, quantity, units, {}, 7 * em()))
      reading.tolerance = std::max(*reading.tolerance, 1e-3 * errors->tolerance);
  }
  draw_stage((id + " stage").c_str(), reading.stage);
}

void draw_start_card(App& app, JobStart& start, const std::string& id) {
  int started = start.started ? 0 : 1;
  if (choice("start", {"It started", "It did not start"}, started)) start.started = started == 0;
  draw_told_condition(app, id, start.condition, "not told", true);
  optional_slider("Cranked for##" + id, "not told", start.cranked, 6, Quantity::time, app.settings.units, 1, 30, "s");
  draw_stage((id + " stage").c_str(), start.stage);
}

void draw_finding_card(App& app, JobFinding& finding, const std::string& id) {
  std::vector<std::string> words{""};
  for (const InspectionKind& kind : inspection_kinds()) words.emplace_back(kind.word);
  const InspectionKind* kind = known_check(finding.check);
  std::string chosen = kind ? finding.check : "";
  if (combo(id + "/kind", 0, chosen, words,
            [](const std::string& word) { return word.empty() ? std::string("another check, in words") : word; }))
    finding.check = chosen, finding.bad.reset(), finding.place.clear(), finding.resistance.reset();
  kind = known_check(finding.check);
  if (kind)
    draw_outcome(app, finding, *kind);
  else
    edit_text("Inspection##" + id, finding.check);
  edit_text("Found##" + id, finding.text, 2);
}

void draw_repair_card(JobFinding& repair) {
  edit_text("What was done##repair", repair.text, 2);
  say_quietly("What is added from now on is from after the repair. A hot crank, logged, proves it or does not.");
}

void draw_started(std::optional<bool>& started) {
  int told = !started ? 0 : *started ? 1 : 2;
  say("Did it start?");
  if (choice("started", {"not told", "yes", "no"}, told)) started = told == 0 ? std::nullopt : std::optional(told == 1);
}

void draw_stage(const char* id, railseep::Stage& stage, bool may_be_good) {
  constexpr railseep::Stage stages[] = {railseep::Stage::before, railseep::Stage::after, railseep::Stage::good};
  std::vector<std::string> words{"before the repair", "after it"};
  if (may_be_good) words.emplace_back("known good");
  int chosen = static_cast<int>(std::ranges::find(stages, stage) - stages);
  if (choice(id, words, chosen)) stage = stages[chosen];
}

}  // namespace railseep::gui

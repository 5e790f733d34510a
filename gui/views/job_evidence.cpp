// What a job knows besides its logs: values read off, whether it started, what checks and air tests showed.
#include <algorithm>

#include "evidence/reading.hpp"
#include "job_parts.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

std::string spaced(std::string_view name) {
  std::string text(name);
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

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

/// A value, when it was read, and how sure it is.
void draw_reading(App& app, JobReading& reading, int number, int& gone) {
  static const std::vector<ChannelKind> kinds{ChannelKind::rail_pressure,    ChannelKind::rail_pressure_volts,
                                              ChannelKind::regulator_duty,   ChannelKind::engine_speed,
                                              ChannelKind::battery_voltage,  ChannelKind::oil_temperature,
                                              ChannelKind::base_oil_pressure};
  static const std::vector<Moment> moments{Moment::unsaid,           Moment::key_on, Moment::cranking,
                                           Moment::highest_cranking, Moment::idle,   Moment::key_off};
  const std::string id = "reading " + std::to_string(number);
  ImGui::PushID(number);
  if (combo(id + "/kind", 11 * em(), reading.kind, kinds, [](ChannelKind kind) { return spaced(kind_name(kind)); }))
    reading.value = reading.kind == ChannelKind::oil_temperature ? 293.15 : 0, reading.moment = Moment::unsaid;
  ImGui::SameLine();
  const Quantity quantity = kind_quantity(reading.kind);
  const ShownUnits& units = app.settings.units;
  // As it is added a reading has no number yet, and says nothing; with its number it counts, unless somebody told
  // otherwise.
  bool& kept_only = *ImGui::GetStateStorage()->GetBoolRef(ImGui::GetID("kept only"), false);
  const bool blank = reading.moment == Moment::unsaid && !kept_only &&
                     reading.value == (reading.kind == ChannelKind::oil_temperature ? 293.15 : 0);
  if (edit_number(id, reading.value, quantity, units, {}, 7 * em(), blank ? "number" : "")) {
    if (blank) reading.moment = usual_moment(reading.kind);
    if (!reading.check.empty())
      reading.tolerance.reset(), reading.at_least.reset(),
          reading.at_most.reset();  // it was a range, now it is a number
  }
  ImGui::SameLine();
  if (combo(id + "/moment", 11 * em(), reading.moment, moments, moment_words))
    kept_only = reading.moment == Moment::unsaid;
  tooltip("What was done to the engine; \"kept only\": the match does not use it");
  ImGui::SameLine();
  ImGui::SetNextItemWidth(std::max(5 * em(), ImGui::GetContentRegionAvail().x - 2.4f * em()));
  char when[128];
  std::snprintf(when, sizeof when, "%s", reading.when.c_str());
  if (ImGui::InputTextWithHint("##when", "in your words: hot, second try ...", when, sizeof when)) reading.when = when;
  note_widget(id + "/when");
  ImGui::SameLine();
  if (button("x##reading", 1.9f * em())) gone = number;
  tooltip("Remove this reading");
  ImGui::Indent(em());
  say_use(reading, blank);
  ImGui::Unindent(em());
  if (reading.moment != Moment::unsaid) {
    ImGui::Indent(em());
    draw_told_condition(app, id, reading.condition, "not told", true);
    if (reading.moment == Moment::cranking || reading.moment == Moment::highest_cranking)
      optional_slider("Cranked for##" + id, "not told", reading.cranked, 6, Quantity::time, units, 1, 30, "s");
    if (reading.moment == Moment::key_off)
      optional_slider("After key off##" + id, "at once", reading.later, 5, Quantity::time, units, 0, 60, "s");
    bool about = reading.tolerance.has_value();
    const ReadingErrors* errors = reading_errors(reading.kind);
    if (errors && tick("About: it was not steady, or read off in passing", about))
      reading.tolerance = about ? std::optional(3 * errors->tolerance) : std::nullopt;
    if (reading.tolerance) {
      ImGui::SameLine();
      one_line("give or take", 6 * em());
      ImGui::SameLine();
      if (edit_number(id + "/tolerance", *reading.tolerance, quantity, units, {}, 7 * em()))
        reading.tolerance = std::max(*reading.tolerance, 1e-3 * errors->tolerance);
    }
    draw_stage((id + " stage").c_str(), reading.stage);
    ImGui::Unindent(em());
  }
  ImGui::PopID();
}

void draw_start(App& app, JobStart& start, int number, int& gone) {
  const std::string id = "start " + std::to_string(number);
  ImGui::PushID(id.c_str());
  int started = start.started ? 0 : 1;
  if (choice("start", {"It started", "It did not start"}, started)) start.started = started == 0;
  ImGui::SameLine();
  if (button("x##start", 1.9f * em())) gone = number;
  tooltip("Remove this try");
  ImGui::Indent(em());
  draw_told_condition(app, id, start.condition, "not told", true);
  optional_slider("Cranked for##" + id, "not told", start.cranked, 6, Quantity::time, app.settings.units, 1, 30, "s");
  draw_stage((id + " stage").c_str(), start.stage);
  ImGui::Unindent(em());
  ImGui::PopID();
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
  combo("where", 18 * em(), finding.place, places,
        [](const std::string& place) { return place.empty() ? std::string("Where ...") : place; });
  if (finding.place.empty() && finding.bad)
    finding.bad.reset(), say_quietly("Choose where; until then it is kept in words only.");
}

void draw_finding(App& app, JobFinding& finding, int number, int& gone) {
  ImGui::PushID(number);
  std::vector<std::string> words{""};
  for (const InspectionKind& kind : inspection_kinds()) words.emplace_back(kind.word);
  const InspectionKind* kind = known_check(finding.check);
  std::string chosen = kind ? finding.check : "";
  if (combo("finding " + std::to_string(number) + "/kind", 18 * em(), chosen, words,
            [](const std::string& word) { return word.empty() ? std::string("another check, in words") : word; }))
    finding.check = chosen, finding.bad.reset(), finding.place.clear(), finding.resistance.reset();
  kind = known_check(finding.check);
  if (kind)
    draw_outcome(app, finding, *kind);
  else
    edit_text("Inspection##" + std::to_string(number), finding.check);
  edit_text("Found##" + std::to_string(number), finding.text, 2);
  if (button("Remove this finding")) gone = number;
  ImGui::Separator();
  ImGui::PopID();
}

}  // namespace

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

void draw_readings_step(App& app) {
  Job& job = app.document.job;
  say_quietly(
      "Oil level and smell, battery at rest and while cranking, sensor volts with the key on, base oil pressure while "
      "cranking. Nothing below is worth much on a weak battery.");
  int gone = -1;
  for (int i = 0; i < static_cast<int>(job.readings.size()); ++i) draw_reading(app, job.readings[i], i, gone);
  if (gone >= 0) job.readings.erase(job.readings.begin() + gone);
  if (button("Add a reading")) job.readings.push_back({});
  heading("Tries to start it");
  gone = -1;
  for (int i = 0; i < static_cast<int>(job.starts.size()); ++i) draw_start(app, job.starts[i], i, gone);
  if (gone >= 0) job.starts.erase(job.starts.begin() + gone);
  if (button("Add a try")) job.starts.push_back({});
}

void draw_findings_step(App& app) {
  Job& job = app.document.job;
  say_quietly(
      "What was checked or opened, and what it showed. The repair is proved by a hot restart, not by a cold start.");
  int gone = -1;
  for (int i = 0; i < static_cast<int>(job.findings.size()); ++i) draw_finding(app, job.findings[i], i, gone);
  if (gone >= 0) job.findings.erase(job.findings.begin() + gone);
  if (button("Add a finding")) job.findings.push_back({});
  draw_air_tests(app);
}

}  // namespace railseep::gui

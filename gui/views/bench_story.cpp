// The story of a job: everything that is known, as cards in the order in which it happened, each unfolded by a press.
#include <algorithm>

#include "bench_parts.hpp"
#include "evidence/reading.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

void draw_complaint_card(App& app) {
  Job& job = app.document.job;
  edit_text("Name of the job", job.name);
  edit_text("Complaint, in the driver's words", job.complaint, 5);
  say_quietly(
      "Ask the driver: only hot, only cold, after sitting, or always? After an oil change or a repair? Did it stall? "
      "How long was it cranked, and what was fitted already?");
  edit_text("Notes", job.about, 3);
}

void draw_engine_card(App& app) {
  Job& job = app.document.job;
  say_quietly("Choose the oil circuit that is built like this engine's.");
  for (const ShippedCircuit& shipped : app.shipped_circuits)
    if (button(shipped.name + "##" + shipped.file, 12 * em(), true, job.circuit == shipped.file) &&
        (job.circuit == shipped.file || load_circuit(app, shipped.file)))
      job.circuit = shipped.file, app.document.circuit_chosen = true;
  if (button("Another file ..."))
    app.browser.open("Open a circuit", {".json"}, app.settings.last_folder, false, [&app](const std::string& path) {
      if (load_circuit(app, path)) app.document.job.circuit = path, app.document.circuit_chosen = true;
    });
  if (!app.circuit) return;
  say(app.circuit->about);
  say_quietly("Oil normally used: " + app.circuit->oil + ". Injection is allowed above " +
              app.settings.units.text(app.circuit->control.enable_pressure, Quantity::pressure) + ", duty goes up to " +
              app.settings.units.text(app.circuit->control.most_duty, Quantity::ratio) + ".");
}

namespace {

using What = Card::What;

/// What stands on a folded card.
struct CardWords {
  std::string kind, title, use;
  bool counts = true;
};

const LogPreview* preview_of(const App& app, std::size_t log) {
  const std::vector<LogPreview>& previews = app.document.logs;
  const bool known = log < previews.size() && previews[log].file == app.document.job.logs[log].file;
  return known ? &previews[log] : nullptr;
}

std::string use_of(railseep::Stage stage) {
  return stage == railseep::Stage::after  ? "counts for the proof"
         : stage == railseep::Stage::good ? "counts as good"
                                          : "counts";
}

CardWords words_of_log(const App& app, std::size_t i) {
  const JobLog& log = app.document.job.logs[i];
  const LogPreview* preview = preview_of(app, i);
  CardWords words{"Log", log.condition.name.empty() ? log.file : log.condition.name, "reading it ...", false};
  if (!preview) return words;
  words.counts = preview->readable && !preview->trouble;
  words.use = words.counts ? use_of(log.stage) : "cannot be used yet";
  return words;
}

CardWords words_of_reading(const App& app, const JobReading& reading) {
  const bool counts = why_unused(reading).empty();
  std::string title = app.settings.units.text(reading.value, kind_quantity(reading.kind));
  if (!reading.when.empty())
    title += ", " + reading.when;
  else if (reading.moment != Moment::unsaid)
    title += ", " + std::string(word(reading.moment));
  return {capital(spaced(kind_name(reading.kind))), title, counts ? use_of(reading.stage) : "only kept", counts};
}

CardWords words_of_start(const JobStart& start) {
  return {"Try to start", start.started ? "It started" : "It did not start", use_of(start.stage), true};
}

CardWords words_of_finding(const JobFinding& finding) {
  std::string title = finding.bad ? (*finding.bad ? "bad" : "good") : "";
  if (!finding.text.empty()) title += (title.empty() ? "" : ": ") + finding.text;
  return {"Look: " + (finding.check.empty() ? std::string("choose what") : finding.check),
          title.empty() ? "not told yet" : title, finding.in_words() ? "only words" : "counts", !finding.in_words()};
}

CardWords words_of_air(const AirFindings& test) {
  const std::size_t count = test.heard.size() + test.decays.size() + test.flows.size();
  return {"Air test", count == 1 ? "1 finding" : std::to_string(count) + " findings",
          count > 0 ? "counts" : "nothing told yet", count > 0};
}

CardWords words_of(const App& app, const Card& card) {
  const Job& job = app.document.job;
  switch (card.what) {
    case What::complaint:
      return {"Complaint", job.complaint.empty() ? "not told yet" : job.complaint, "only words", false};
    case What::engine:
      return {"Engine", app.circuit ? app.circuit->name : "none", app.document.circuit_chosen ? "counts" : "assumed",
              app.document.circuit_chosen};
    case What::reading:
      return words_of_reading(app, job.readings[card.index]);
    case What::start:
      return words_of_start(job.starts[card.index]);
    case What::log:
      return words_of_log(app, card.index);
    case What::finding:
      return words_of_finding(job.findings[card.index]);
    case What::air:
      return words_of_air(job.air_tests[card.index]);
    case What::repair:
      break;
  }
  const std::string& done = job.findings[card.index].text;
  return {"Repair", done.empty() ? "not told yet" : done, "", true};
}

/// The part of a card that is always there: what it is and whether it counts. @return whether it was pressed
bool draw_head(const Card& card, const CardWords& words, bool open) {
  const Palette& p = palette();
  const float wide = ImGui::GetContentRegionAvail().x, high = 3.1f * em(), pad = 0.6f * em();
  const ImVec2 at = ImGui::GetCursorScreenPos(), end(at.x + wide, at.y + high);
  const bool pressed = ImGui::InvisibleButton("card", {wide, high});
  note_widget("card/" + card.id());
  const bool hot = ImGui::IsItemHovered() || ImGui::IsItemFocused();
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  draw.AddRectFilled(at, end, p.raised, 0.3f * em());
  draw.AddRectFilled(at, {at.x + 0.25f * em(), end.y}, card.what == What::repair ? p.good : p.accent, 0.1f * em());
  if (hot || open) draw.AddRect(at, end, open ? p.computed : p.quiet, 0.3f * em(), 0, 2);
  const float use = ImGui::CalcTextSize(words.use.c_str()).x;
  ImGui::SetCursorScreenPos({at.x + pad, at.y + 0.3f * em()});
  ImGui::PushStyleColor(ImGuiCol_Text, p.quiet);
  one_line(words.kind, wide - use - 3 * pad);
  ImGui::PopStyleColor();
  ImGui::SetCursorScreenPos({end.x - pad - use, at.y + 0.3f * em()});
  ImGui::PushStyleColor(ImGuiCol_Text, words.counts ? p.good : p.measured);
  one_line(words.use, use + 1);
  ImGui::PopStyleColor();
  ImGui::SetCursorScreenPos({at.x + pad, at.y + 1.6f * em()});
  one_line(words.title.substr(0, words.title.find('\n')), wide - 2 * pad);
  ImGui::SetCursorScreenPos({at.x, end.y});
  ImGui::Dummy({0, 0});
  return pressed;
}

void draw_inside(App& app, const Card& card) {
  Job& job = app.document.job;
  switch (card.what) {
    case What::complaint:
      return draw_complaint_card(app);
    case What::engine:
      return draw_engine_card(app);
    case What::reading:
      return draw_reading_card(app, job.readings[card.index], card.id());
    case What::start:
      return draw_start_card(app, job.starts[card.index], card.id());
    case What::log:
      return draw_log_card(app, job.logs[card.index], preview_of(app, card.index));
    case What::finding:
      return draw_finding_card(app, job.findings[card.index], card.id());
    case What::air:
      return draw_air_card(app, job.air_tests[card.index], card.id());
    case What::repair:
      return draw_repair_card(job.findings[card.index]);
  }
}

/// @return whether it is to be removed
bool draw_card(App& app, const Card& card) {
  const std::string id = card.id();
  const bool open = app.bench.open == id;
  bool gone = false;
  ImGui::PushID(id.c_str());
  if (app.bench.shown == id) ImGui::SetScrollHereY(0), app.bench.shown.clear();
  if (draw_head(card, words_of(app, card), open)) app.bench.open = open ? "" : id;
  if (open) {
    ImGui::Indent(0.6f * em());
    draw_inside(app, card);
    if (card.what != What::complaint && card.what != What::engine) gone = button("Remove##" + id);
    ImGui::Unindent(0.6f * em());
    ImGui::Dummy({0, 0.4f * em()});
  }
  ImGui::PopID();
  return gone;
}

struct Adding {
  const char* words;
  What what;
  const char* tip;
};
constexpr Adding addings[] = {
    {"Log", What::log,
     "A crank recorded by a scan tool: rail pressure, duty, speed, battery, oil temperature. Drop the file here"},
    {"Reading", What::reading, "A number that was read off"},
    {"Start", What::start, "A try to start it"},
    {"Look", What::finding, "What a look or a small check showed: good, bad, or in words"},
    {"Air test", What::air, "What shop air let one hear or time"},
    {"Repair", What::repair, "What was done. What is added afterwards is from after it"}};

void draw_adding(App& app) {
  heading("Add to the story");
  const float right = ImGui::GetCursorScreenPos().x + ImGui::GetContentRegionAvail().x;
  for (const Adding& one : addings) {
    const float wide = ImGui::CalcTextSize(one.words).x + 2 * ImGui::GetStyle().FramePadding.x;
    if (&one != &addings[0] && ImGui::GetItemRectMax().x + 0.3f * em() + wide <= right) ImGui::SameLine(0, 0.3f * em());
    const bool pressed = button(std::string(one.words) + "##add");
    note_widget(std::string("add/") + one.words);
    tooltip(one.tip);
    if (!pressed) continue;
    if (one.what == What::log)
      ask_for_log(app);
    else
      show_card(app, add_card(app.document.job, one.what));
  }
}

}  // namespace

void draw_story(App& app) {
  std::optional<Card> gone;
  for (const Card& card : story_of(app.document.job))
    if (draw_card(app, card)) gone = card;
  if (gone) remove_card(app.document.job, *gone), app.bench.open.clear();
  draw_adding(app);
}

}  // namespace railseep::gui

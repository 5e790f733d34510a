// An air test of the job: how it was done, and what was heard, timed and metered; all of it can be changed or taken
// back.
#include <algorithm>

#include "bench_parts.hpp"
#include "hearing/hear.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

constexpr float remove_width = 1.9f;  // [em]

/// Begins a finding's line with the button that takes it back.
bool removed(const std::string& id) {
  const bool remove = button("x##" + id, remove_width * em());
  tooltip("Remove this");
  ImGui::SameLine();
  return remove;
}

void draw_energised(bool& energised) { tick("regulator energised", energised); }

void draw_heard(App& app, HeardFinding& heard, const std::string& id) {
  std::vector<std::string> points;
  if (app.circuit)
    for (const ListeningPoint& point : app.circuit->listening.points) points.push_back(point.name);
  const float word_width = 6 * em(), rest = ImGui::GetContentRegionAvail().x - word_width - em();
  combo(id + "/at", std::min(11 * em(), rest), heard.place, points,
        [](const std::string& point) { return point.empty() ? std::string("Where ...") : point; });
  ImGui::SameLine();
  static const std::vector<HeardWord> words{HeardWord::silent, HeardWord::faint, HeardWord::clear, HeardWord::loud};
  combo(id + "/word", word_width, heard.word, words, [](HeardWord what) { return std::string(word(what)); });
  draw_energised(heard.energised);
}

void draw_fall(App& app, DecayFinding& fall, const std::string& id) {
  int fell = fall.fell ? 0 : 1;
  if (choice(id + "/fell", {"fell so far in", "did not within"}, fell)) fall.fell = fell == 0;
  ImGui::SameLine();
  if (edit_number(id, fall.time, Quantity::time, app.settings.units, "s", 6 * em()))
    fall.time = std::max(fall.time, 0.1);
  draw_energised(fall.energised);
}

void draw_air_flow(App& app, FlowFinding& flow, const std::string& id) {
  ImGui::AlignTextToFramePadding();
  one_line("flow meter in the hose", 11 * em());
  ImGui::SameLine();
  if (edit_number(id, flow.flow, Quantity::volume_flow, app.settings.units, "L/min", 8 * em()))
    flow.flow = std::max(flow.flow, 0.0);
  draw_energised(flow.energised);
}

/// One line each, with a button that takes it back.
template <class Finding, class Draw>
void draw_all(App& app, std::vector<Finding>& findings, const std::string& id, const Draw& draw) {
  int gone = -1;
  for (int i = 0; i < static_cast<int>(findings.size()); ++i) {
    const std::string here = id + " " + std::to_string(i);
    ImGui::PushID(here.c_str());
    if (removed(here)) gone = i;
    draw(app, findings[i], here);
    ImGui::PopID();
  }
  if (gone >= 0) findings.erase(findings.begin() + gone);
}

/// How it was done. The fall is timed between the same two pressures in all of a test's falls.
void draw_done(App& app, AirFindings& test, const std::string& id) {
  AirTestOptions& done = test.done;
  const ShownUnits& units = app.settings.units;
  draw_feed(app, id, done.feed);
  slider("Shop regulator##" + id, done.pressure, Quantity::pressure, units, 0.5e5, most_air_pressure);
  slider("Air and metal##" + id, done.temperature, Quantity::temperature, units, 253.15, 373.15);
  slider("Blown dry for##" + id, done.purge_time, Quantity::time, units, 0, 600, false, "s");
  slider("Fall timed from##" + id, done.hold_from, Quantity::pressure, units, 0.2e5, most_air_pressure);
  slider("to##" + id, done.hold_to, Quantity::pressure, units, 0.1e5, most_air_pressure);
  done.hold_to = std::min(done.hold_to, 0.98 * done.hold_from);
  for (DecayFinding& fall : test.decays) fall.from = done.hold_from, fall.to = done.hold_to;
  draw_ear(id, done.ear);
  static const std::vector<Energised> ways{Energised::no, Energised::by_tool, Energised::from_battery};
  combo(id + "/energise", 0, done.energise, ways, [](Energised way) {
    return std::string(way == Energised::no        ? "Regulator never energised"
                       : way == Energised::by_tool ? "Regulator energised by a scan tool"
                                                   : "Regulator energised from a battery");
  });
}

std::string summary(const AirFindings& test, const ShownUnits& units) {
  return "at " + units.text(test.done.pressure, Quantity::pressure) + ", fed at " +
         (test.done.feed.empty() ? "the sensor's port" : test.done.feed) + ", listened by " + test.done.ear;
}

}  // namespace

void draw_air_card(App& app, AirFindings& test, const std::string& id) {
  say_quietly(summary(test, app.settings.units));
  bool& unfolded = *ImGui::GetStateStorage()->GetBoolRef(ImGui::GetID("unfolded"), false);
  if (button(unfolded ? "Less##how" : "How it was done##how")) unfolded = !unfolded;
  if (unfolded) draw_done(app, test, id);
  draw_all(app, test.heard, id + " heard", draw_heard);
  draw_all(app, test.decays, id + " fall", draw_fall);
  draw_all(app, test.flows, id + " flow", draw_air_flow);
  if (button("Add what was heard")) test.heard.push_back({});
  same_row("Add a fall", 0.3f * em());
  if (button("Add a fall")) test.decays.push_back({test.done.hold_from, test.done.hold_to, 10, true, false});
  same_row("Add a flow", 0.3f * em());
  if (button("Add a flow")) test.flows.push_back({1e-3, false});
  same_row("Listen with the model", 0.3f * em());
  if (button("Listen with the model##air")) show_model(app, ModelTool::air);
  for (const HeardFinding& heard : test.heard)
    if (heard.place.empty()) say_quietly("Choose where it was heard: until then the match cannot be made.");
}

void draw_feed(App& app, const std::string& id, std::string& feed) {
  std::vector<std::string> nodes{""};
  if (app.circuit)
    for (const Node& node : app.circuit->nodes)
      if (!node.tank && !node.reservoir) nodes.push_back(node.name);
  combo(id + "/feed", 0, feed, nodes,
        [](const std::string& node) { return "Fed at " + (node.empty() ? "the sensor's port" : node); });
}

bool draw_ear(const std::string& id, std::string& ear) {
  std::vector<std::string> tools;
  int chosen = 0;
  for (const EarTool& tool : ear_tools) {
    if (ear == tool.name) chosen = static_cast<int>(tools.size());
    tools.emplace_back(tool.name);
  }
  const bool changed = choice(id + "/ear", tools, chosen);
  if (changed) ear = tools[chosen];
  return changed;
}

}  // namespace railseep::gui

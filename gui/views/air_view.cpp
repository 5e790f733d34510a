// The shop-air test: where it hisses with the faults set in the circuit, with the regulator energised and not;
// stopwatch and notes of the real test.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "bench_parts.hpp"
#include "data_files.hpp"
#include "fluid/air.hpp"
#include "hearing/hiss.hpp"
#include "job/told_outcome.hpp"
#include "look.hpp"
#include "procedure/cautions.hpp"
#include "quantity/json_fields.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

/// The job's air test that was done as the bench stands now.
AirFindings& noted_test(App& app) { return air_test_done(app.document.job, options_of(app.air.question)); }

/// One word a place and pass: a second one replaces the first.
void note_heard(App& app, const std::string& place, HeardWord what) {
  std::vector<HeardFinding>& heard = noted_test(app).heard;
  std::erase_if(heard,
                [&](const HeardFinding& old) { return old.place == place && old.energised == app.air.energised; });
  heard.push_back({place, what, app.air.energised});
}

void note_fall(App& app, bool fell) {
  AirFindings& test = noted_test(app);
  test.decays.push_back({test.done.hold_from, test.done.hold_to, app.air.watch, fell, app.air.energised});
}

ImU32 colour_of(HeardWord heard) {
  const Palette& p = palette();
  switch (heard) {
    case HeardWord::loud:
      return p.leak;
    case HeardWord::clear:
      return p.measured;
    case HeardWord::faint:
      return p.computed;
    default:
      return p.previous;
  }
}

/// A dial from 0 to a little above what is allowed, with its needle.
void draw_gauge(double pressure, double most, const ShownUnits& units, float size) {
  const ImVec2 at = ImGui::GetCursorScreenPos(), middle(at.x + size / 2, at.y + size / 2);
  ImGui::Dummy({size, size});
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  const auto place = [&](double share, float radius) {
    const double angle = (0.75 + 1.5 * share) * std::numbers::pi;
    return ImVec2(middle.x + radius * static_cast<float>(std::cos(angle)),
                  middle.y + radius * static_cast<float>(std::sin(angle)));
  };
  const Palette& p = palette();
  const float radius = 0.47f * size;
  draw.AddCircleFilled(middle, radius, p.ground, 48);
  draw.AddCircle(middle, radius, p.edge, 48, 2);
  const std::vector<double> all = ticks(0, units.number(most, Quantity::pressure), 6);
  for (const double tick : all) {
    const double share = tick / units.number(most, Quantity::pressure);
    draw.AddLine(place(share, 0.9f * radius), place(share, 0.78f * radius), p.quiet, 2);
    const std::string text = tick_text(tick, all);
    const ImVec2 wide = ImGui::CalcTextSize(text.c_str()), to = place(share, 0.58f * radius);
    draw.AddText({to.x - wide.x / 2, to.y - wide.y / 2}, p.quiet, text.c_str());
  }
  // The needle's tip runs outside the numbers.
  const double share = std::clamp(pressure / most, 0.0, 1.0);
  draw.AddLine(middle, place(share, 0.34f * radius), p.measured, 0.14f * em());
  draw.AddLine(place(share, 0.76f * radius), place(share, 0.94f * radius), p.measured, 0.22f * em());
  draw.AddCircleFilled(middle, 0.22f * em(), p.measured);
  const std::string text = units.text(pressure, Quantity::pressure);
  draw.AddText({middle.x - ImGui::CalcTextSize(text.c_str()).x / 2, middle.y + 0.55f * radius}, p.text, text.c_str());
}

void draw_bench(App& app) {
  AirBench& bench = app.air;
  const ShownUnits& units = app.settings.units;
  const AirPass* pass = shown_pass(bench);
  heading("Supply");
  draw_gauge(pass ? pass->gauge : 0, 1.25 * most_air_pressure, units,
             std::min(9.5f * em(), ImGui::GetContentRegionAvail().x));
  draw_feed(app, "bench", bench.question.feed);
  slider("Shop regulator", bench.question.pressure, Quantity::pressure, units, 0.5e5, most_air_pressure);
  slider("Air on before listening", bench.question.purge_time, Quantity::time, units, 5, 300, false, "s");
  heading("Pressure regulator");
  int energised = bench.energised ? 1 : 0;
  if (choice("energised", {"Not energised", "Energised"}, energised)) {
    if (energised == 1 && !app.acknowledged.contains("coil"))
      app.asking = "coil";
    else
      bench.energised = energised == 1;
  }
  if (bench.energised && pass)
    say_quietly("Coil at " + units.text(pass->coil_temperature, Quantity::temperature, {}, 2) +
                " after a pulse of 5 s; then let it rest 30 s.");
  tick("Coil and wiring are good", bench.question.coil_connected);
  heading("Listen with");
  draw_ear("bench", bench.question.ear);
}

void draw_stopwatch(App& app) {
  AirBench& bench = app.air;
  heading("Stopwatch");
  if (bench.timing) bench.watch += ImGui::GetIO().DeltaTime, stage().moving = true;
  const ShownUnits& units = app.settings.units;
  const double from = 0.9 * bench.question.pressure, to = 0.5 * bench.question.pressure;
  const std::string way =
      units.text(from, Quantity::pressure, {}, 2) + " to " + units.text(to, Quantity::pressure, {}, 2);
  say("Shut the air and time the fall, " + way + ":");
  if (button(bench.timing ? "Stop##watch" : "Start##watch", 5 * em())) {
    if (!bench.timing) bench.watch = 0;
    bench.timing = !bench.timing;
  }
  ImGui::SameLine();
  ImGui::AlignTextToFramePadding();
  char text[24];
  std::snprintf(text, sizeof text, "%.1f s", bench.watch);
  one_line(text, 5 * em());
  ImGui::SameLine();
  if (button("Note it##watch", 0, !bench.timing && bench.watch > 0)) note_fall(app, true);
  tooltip("It fell so far in this time");
  if (button("It did not fall so far##watch", 0, !bench.timing && bench.watch > 0)) note_fall(app, false);
  const AirPass* pass = shown_pass(bench);
  if (!pass) return;
  if (!pass->gauge_reached)
    say_quietly("Computed: it leaks more than the hose brings.");
  else if (pass->decay)
    say_quietly("Computed: " + units.text(*pass->decay, Quantity::time, "s", 2));
  else
    say_quietly("Computed: still " + units.text(pass->hold_end, Quantity::pressure) + " after " +
                units.text(pass->hold_time, Quantity::time, "s", 2));
}

/// A flow meter in the hose, where the shop has one.
void draw_flow_meter(App& app) {
  AirBench& bench = app.air;
  heading("Flow meter in the hose");
  edit_number("bench/flow", bench.flow, Quantity::volume_flow, app.settings.units, "L/min", 8 * em());
  ImGui::SameLine();
  if (button("Note it##flow", 0, bench.flow > 0)) noted_test(app).flows.push_back({bench.flow, bench.energised});
  tooltip("At the standard state, " + std::string(standard_air.name) + ", with the regulator as it stands above");
  if (const AirPass* pass = shown_pass(bench))
    say_quietly("Computed: " +
                app.settings.units.text(standard_flow(pass->supplied), Quantity::volume_flow, "L/min", 2));
}

/// A listening point: its name, the word for what is heard, and a bar as long as the hiss stands out of the room.
void draw_point(AirBench& bench, const HeardPoint& point, ImVec2 middle, ImVec2 size) {
  const ImVec2 low(middle.x - size.x / 2, middle.y - size.y / 2), high(middle.x + size.x / 2, middle.y + size.y / 2);
  ImGui::SetCursorScreenPos(low);
  ImGui::PushID(point.name.c_str());
  if (ImGui::InvisibleButton("point", size)) bench.point = point.name;
  note_widget("point/" + point.name);
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  const Palette& p = palette();
  const bool hot = ImGui::IsItemHovered() || ImGui::IsItemFocused();
  draw.AddRectFilled(low, high, p.raised, 0.4f * em());
  draw.AddRect(low, high,
               bench.point == point.name ? p.computed
               : hot                     ? p.quiet
                                         : p.edge,
               0.4f * em(), 0, bench.point == point.name ? 3.0f : 1.5f);
  ImGui::SetCursorScreenPos({low.x + 0.5f * em(), low.y + 0.3f * em()});
  one_line(point.name, size.x - em());
  ImGui::SetCursorScreenPos({low.x + 0.5f * em(), low.y + 1.55f * em()});
  ImGui::PushStyleColor(ImGuiCol_Text, point.heard == HeardWord::silent ? p.quiet : colour_of(point.heard));
  one_line(
      std::string(word(point.heard)) + (point.wetness > 0.3 && point.heard != HeardWord::silent ? ", gurgling" : ""),
      size.x - em());
  ImGui::PopStyleColor();
  const float share = static_cast<float>(std::clamp(point.audibility / 50, 0.0, 1.0)), bar = high.y - 0.55f * em();
  draw.AddRectFilled({low.x + 0.5f * em(), bar}, {high.x - 0.5f * em(), bar + 0.3f * em()}, p.ground, 2);
  draw.AddRectFilled({low.x + 0.5f * em(), bar}, {low.x + 0.5f * em() + share * (size.x - em()), bar + 0.3f * em()},
                     colour_of(point.heard), 2);
  ImGui::PopID();
}

/// The engine seen from above, as far as one needs it to find the points.
void draw_sketch(App& app, ImVec2 size) {
  AirBench& bench = app.air;
  const AirPass* pass = shown_pass(bench);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const std::vector<SketchPlace> places = sketch_places(app.circuit->listening.points);
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  const Palette& p = palette();
  draw.AddRectFilled(at, {at.x + size.x, at.y + size.y}, p.ground, em());
  const bool banks =
      std::any_of(places.begin(), places.end(), [&](const SketchPlace& place) { return place.x < 0.3; }) &&
      places.front().x > 0.3;
  for (const float x : {0.18f, 0.82f})
    if (banks)
      draw.AddRect({at.x + (x - 0.15f) * size.x, at.y + 0.4f * em()},
                   {at.x + (x + 0.15f) * size.x, at.y + size.y - 0.4f * em()}, p.edge, em(), 0, 2);
  const ImVec2 box(std::min(0.28f * size.x, 13 * em()), 3.3f * em());
  for (std::size_t i = 0; pass && i < places.size() && i < pass->heard.size(); ++i)
    draw_point(bench, pass->heard[i],
               {at.x + static_cast<float>(places[i].x) * size.x,
                at.y + 0.3f * em() + static_cast<float>(places[i].y) * (size.y - 0.6f * em())},
               box);
  ImGui::SetCursorScreenPos({at.x, at.y + size.y + 0.4f * em()});
}

void save_hiss(App& app, const HeardPoint& point) {
  attempt(app, [&] {
    const auto file = free_name(picture_folder() / ("hiss at " + point.name + ".wav"));
    write_text(file.string(), wav_text(hiss_at(point, 4, 1)), false);
    app.message = Message{file.string(), "The hiss was saved", "Play it to hear what this point would sound like"};
  });
}

/// The hiss itself; without a sound device the bars of the points must do.
void draw_sound(App& app, const HeardPoint& point) {
  AirBench& bench = app.air;
  if (app.sound.opened() && !app.sound.there()) {
    say_quietly(
        "No sound device was found, so the hiss cannot be played: the bars show how far it stands out of the room.");
    bench.listening = false;
  } else {
    if (button(bench.listening ? "Stop the hiss##listen" : "Play the hiss##listen", 9 * em(), true, bench.listening))
      bench.listening = !bench.listening;
    tooltip("As it was computed, in the noise of the shop. Press other points to compare");
    ImGui::SameLine();
  }
  if (button("Save the hiss (WAV)")) save_hiss(app, point);
  if (bench.listening) slider("Loudness", bench.volume, Quantity::ratio, app.settings.units, 0, 1);
}

void draw_listening(App& app) {
  AirBench& bench = app.air;
  const AirPass* pass = shown_pass(bench);
  if (!pass || pass->heard.empty()) return;
  const auto found = std::find_if(pass->heard.begin(), pass->heard.end(),
                                  [&](const HeardPoint& point) { return point.name == bench.point; });
  if (found == pass->heard.end()) {
    say_quietly("Press a point to listen there.");
    return;
  }
  heading("At the " + found->name);
  std::string heard = "Computed: " + std::string(word(found->heard));
  if (found->heard != HeardWord::silent && !found->sources.empty()) heard += ", mostly " + found->sources.front().name;
  say(heard + ".");
  say("What do you hear on the real engine?");
  for (const HeardWord what : {HeardWord::silent, HeardWord::faint, HeardWord::clear, HeardWord::loud}) {
    if (button(std::string(word(what)) + "##heard")) note_heard(app, found->name, what);
    ImGui::SameLine(0, 0.3f * em());
  }
  ImGui::NewLine();
  draw_sound(app, *found);
  std::size_t noted = 0;
  for (const AirFindings& test : app.document.job.air_tests)
    noted += test.heard.size() + test.decays.size() + test.flows.size();
  if (noted > 0)
    say_quietly(std::to_string(noted) + (noted == 1 ? " air-test finding is" : " air-test findings are") +
                " noted in the job; the match uses them.");
}

void draw_conclusions(App& app) {
  const AirBench& bench = app.air;
  if (!bench.result) return;
  heading("What it says");
  for (const std::string& line : read_air_test(*app.circuit, *bench.result)) say("• " + line);
}

/// The cautions stand before the first look, once a session.
void draw_cautions(App& app, const char* procedure) {
  heading(std::string("Before ") + (std::string_view(procedure) == "coil" ? "the coil is energised" : "air is put on"));
  for (const Caution& caution : cautions_for(procedure)) say("• " + std::string(caution.text));
  if (button("I have read this##caution", 14 * em())) {
    app.acknowledged.insert(procedure);
    app.asking.clear();
    if (std::string_view(procedure) == "coil") app.air.energised = true;
  }
  if (std::string_view(procedure) != "coil") return;
  ImGui::SameLine();
  if (button("Not now##caution")) app.asking.clear();
}

void draw_faults_line(App& app) {
  std::string words;
  for (const Fault& fault : app.what_if.question.faults)
    words += (words.empty() ? "" : "; ") + fault_text(fault, *app.circuit);
  say_quietly(words.empty() ? "Computed with no fault; open a leak in the oil side to hear it here."
                            : "Computed with: " + words);
}

}  // namespace

void draw_air(App& app) {
  begin_panel("air", {0, 0});
  draw_tool_choice(app);
  const char* caution = !app.acknowledged.contains("air test") ? "air test" : app.asking == "coil" ? "coil" : nullptr;
  if (!app.circuit)
    say("No circuit is loaded. Choose one in the job.");
  else if (caution)
    draw_cautions(app, caution);
  if (!app.circuit || caution) return ImGui::EndChild();
  ask(app.air, app.circuit, app.what_if.question.faults, app.airing);
  draw_faults_line(app);
  if (app.air.trouble) say(app.air.trouble->what());
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const bool wide = room.x > 44 * em();
  begin_panel("bench", {wide ? 16 * em() : 0, wide ? 0 : 32 * em()}, false);
  draw_bench(app);
  draw_stopwatch(app);
  draw_flow_meter(app);
  ImGui::EndChild();
  if (wide) ImGui::SameLine(0, em());
  begin_panel("points", {0, wide ? 0 : 40 * em()}, false);
  float rows = 2;
  for (const SketchPlace& place : sketch_places(app.circuit->listening.points))
    rows = std::max(rows, static_cast<float>(0.5 / place.y));
  if (app.circuit->listening.points.empty())
    say("This circuit file has no listening points.");
  else
    draw_sketch(app, {std::min(ImGui::GetContentRegionAvail().x, 64 * em()), (4.0f * rows + 0.6f) * em()});
  draw_listening(app);
  draw_conclusions(app);
  ImGui::EndChild();
  ImGui::EndChild();
}

}  // namespace railseep::gui

// After the repair: do logs from before and after it prove that the oil no longer goes where it went?
#include <algorithm>
#include <span>

#include "bench_parts.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

using Verdict = RepairProof::Verdict;

bool has_log(const Job& job, railseep::Stage stage) {
  return std::ranges::any_of(job.logs, [&](const JobLog& log) { return log.stage == stage; });
}

/// What is computed now, or what is missing.
void draw_proof_state(App& app) {
  Proving& proving = app.proving;
  if (proving.running()) {
    if (draw_progress(*proving.progress, "proof")) proving.stop(app.comparing);
    return;
  }
  const Job& job = app.document.job;
  const bool before = has_log(job, railseep::Stage::before), later = has_log(job, railseep::Stage::after);
  if (!before) say("A log from before the repair is missing: one in which the trouble shows.");
  if (!later) say("A log from after the repair is missing: crank again, as hot as when the trouble showed.");
  if (proving.trouble) say_trouble(*proving.trouble);
  const bool waits = app.settings.answers && app.answering.proved.empty();
  const bool up_to_date = job.proof && proof_is_up_to_date(proving, job) && proving.result;
  if (before && later && app.circuit && !waits && !up_to_date && button("Compute the proof", 14 * em()))
    start_proving(proving, app.document, app.circuit, app.comparing);
}

ImU32 colour_of(Verdict verdict) {
  const Palette& p = palette();
  return verdict == Verdict::proved ? p.good : verdict == Verdict::something_left ? p.leak : p.measured;
}

/// The answer in two or three words, then why.
void draw_verdict(const KeptProof& proof) {
  const ImU32 colour = colour_of(proof.verdict);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImGui::Dummy({0, 0.15f * em()});
  ImGui::Indent(0.8f * em());
  ImGui::PushStyleColor(ImGuiCol_Text, colour);
  ImGui::PushFont(large_font());
  say(capital(word(proof.verdict)));
  ImGui::PopFont();
  ImGui::PopStyleColor();
  say("Because " + proof.why + ".");
  ImGui::Unindent(0.8f * em());
  const float bottom = ImGui::GetCursorScreenPos().y;
  ImGui::GetWindowDrawList()->AddRectFilled({at.x, at.y}, {at.x + 0.3f * em(), bottom}, colour, 0.15f * em());
  ImGui::Dummy({0, 0.2f * em()});
  note_widget("verdict");
}

/// Oil lost before and after on one scale: the best estimate as a dot in its middle 90 %.
void draw_flow(const char* words, const Severity& flow, double most, ImU32 colour, const ShownUnits& units) {
  const std::string low = units.text(flow.low, Quantity::volume_flow, {}, 2);
  say_quietly(std::string(words) + units.text(flow.best, Quantity::volume_flow, {}, 2) + "  (" +
              low.substr(0, low.find(' ')) + " to " + units.text(flow.high, Quantity::volume_flow, {}, 2) + ")");
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float wide = ImGui::GetContentRegionAvail().x, y = at.y + 0.45f * em();
  const auto x = [&](double value) { return at.x + static_cast<float>(std::clamp(value / most, 0.0, 1.0)) * wide; };
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  draw.AddRectFilled({at.x, y - 0.05f * em()}, {at.x + wide, y + 0.05f * em()}, palette().edge);
  draw.AddRectFilled({x(flow.low), y - 0.22f * em()}, {x(flow.high), y + 0.22f * em()}, faded(colour, 0.6f),
                     0.2f * em());
  draw.AddCircleFilled({x(flow.best), y}, 0.35f * em(), colour);
  ImGui::Dummy({0, 0.9f * em()});
}

void draw_flows(const RepairProof& proof, const ShownUnits& units) {
  if (!proof.flow_before) return;
  heading("Oil it loses");
  const double most = 1.05 * std::max(proof.flow_before->high, proof.flow_after ? proof.flow_after->high : 0);
  draw_flow("Before: ", *proof.flow_before, most, palette().leak, units);
  if (proof.flow_after) draw_flow("Now, if it is still there: ", *proof.flow_after, most, palette().measured, units);
  say_quietly("Flows at " + units.text(reference_pressure, Quantity::pressure) +
              " with the hottest log's oil; brackets hold the middle 90 %.");
}

void draw_attention(std::string_view text) {
  ImGui::PushStyleColor(ImGuiCol_Text, palette().measured);
  say(text);
  ImGui::PopStyleColor();
}

/// @param computed with the same answer; none where the answer was read from the job file
void draw_answer_of(const KeptProof& proof, const RepairProof* computed, bool up_to_date, const ShownUnits& units) {
  if (!up_to_date) draw_attention("! Of other evidence than the job holds now.");
  draw_verdict(proof);
  heading("The fault before: " + proof.fault);
  draw_share("it is gone", proof.gone);
  draw_share("it is there as it was", proof.unchanged);
  draw_share("it is there with another size", proof.changed);
  if (computed) draw_flows(*computed, units);
  say_quietly("Assumed beforehand: gone 60 %, as it was 20 %, another size 20 %.");
  say_quietly("Pressure does not prove the place, only that the oil no longer goes there. Prove it by a hot restart.");
  if (proof.verdict != Verdict::proved)
    draw_attention("! Before anything is opened again: key off, wait, read the sensor's rest volts.");
}

/// Logs of the good engine stand behind those of the stage, and are not shown.
std::span<const CrankEvidence> of_its_stage(const MatchResult& match) {
  const auto end = std::ranges::find(match.logs, railseep::Stage::good, &CrankEvidence::stage);
  return {match.logs.begin(), end};
}

int choose_log(const char* id, const char* words, std::span<const CrankEvidence> logs, int& shown) {
  shown = std::clamp(shown, 0, static_cast<int>(logs.size()) - 1);
  if (logs.size() < 2) return shown;
  std::vector<std::string> names;
  for (const CrankEvidence& log : logs) names.push_back(log.name);
  say_quietly(words);
  choice(id, names, shown);
  return shown;
}

/// Both stages over each other, with what the fitted engine computes for them.
void draw_proof_curves(App& app, float height) {
  Proving& proving = app.proving;
  const RepairProof& proof = *proving.result;
  const std::span<const CrankEvidence> first = of_its_stage(proof.before), second = of_its_stage(proof.after);
  const std::size_t all_before = proof.before.logs.size();  // so many are computed before those from after
  heading("Before and after over each other");
  const auto b = static_cast<std::size_t>(choose_log("log before", "Before the repair", first, proving.before)),
             a = static_cast<std::size_t>(choose_log("log after", "After it", second, proving.after));
  const Palette& p = palette();
  Picture picture{
      "Rail pressure", Quantity::pressure, {}, {{app.circuit->control.enable_pressure, "needed to inject", p.enable}}};
  const auto& computed = proof.fault.computed;
  const bool still = proof.unchanged > std::max(proof.gone, proof.changed);
  if (b < computed.size())
    picture.series.push_back({"before, fitted", first[b].time, computed[b], p.leak, Series::Look::ghost});
  if (all_before + a < computed.size())
    picture.series.push_back({still ? "after, fitted with the fault" : "after, fitted without it", second[a].time,
                              computed[all_before + a], p.computed, Series::Look::ghost});
  picture.series.push_back({"before", first[b].time, first[b].measured, p.leak, Series::Look::points});
  picture.series.push_back({"after", second[a].time, second[a].measured, p.computed, Series::Look::points});
  proving.axis.next_frame();
  proving.axis.cover(0, 1.02 * std::max(first[b].time.back(), second[a].time.back()));
  const Corners duty_before = first[b].duty ? corners_of(*first[b].duty) : Corners{},
                duty_after = second[a].duty ? corners_of(*second[a].duty) : Corners{};
  Picture duty{
      "Regulator duty", Quantity::ratio, {}, {{app.circuit->control.most_duty, "ceiling", p.ceiling}}, false, true};
  if (first[b].duty)
    duty.series.push_back({"before", duty_before.time, duty_before.value, p.leak, Series::Look::points});
  if (second[a].duty)
    duty.series.push_back({"after", duty_after.time, duty_after.value, p.computed, Series::Look::points});
  const bool duties = !duty.series.empty();
  picture.times = !duties;
  plot("proof plot", {ImGui::GetContentRegionAvail().x, (duties ? 0.68f : 1.0f) * height}, picture, proving.axis,
       proving.plot, app.settings.units);
  if (duties)
    plot("proof duty plot", {ImGui::GetContentRegionAvail().x, 0.32f * height}, duty, proving.axis, proving.duty_plot,
         app.settings.units);
  say_quietly("\"" + first[b].name + "\": oil at " +
              app.settings.units.text(first[b].condition.oil_temperature, Quantity::temperature) + "; \"" +
              second[a].name + "\": oil at " +
              app.settings.units.text(second[a].condition.oil_temperature, Quantity::temperature) + ".");
}

}  // namespace

void draw_proof(App& app) {
  const std::optional<KeptProof> kept = app.document.job.proof;
  // What was computed is shown with the answer that the job keeps of it: undo may have brought back another, or none.
  const std::shared_ptr<const RepairProof> proof = kept && app.proving.said == kept ? app.proving.result : nullptr;
  heading("Is the repair proved?");
  draw_proof_state(app);
  if (kept) draw_answer_of(*kept, proof.get(), proof_is_up_to_date(app.proving, app.document.job), app.settings.units);
  if (proof) return draw_proof_curves(app, 26 * em());
  if (!kept)
    say_quietly(
        "Logs from before and after the repair are laid over each other: is the fault gone, is it there as it was, or "
        "is something left? A part that was renewed proves nothing; a hot crank does.");
}

}  // namespace railseep::gui

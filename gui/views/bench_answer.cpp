// What may be wrong, how sure that is, what cannot be told apart, and where the oil goes.
#include <algorithm>
#include <cmath>
#include <functional>

#include "bench_parts.hpp"
#include "flow_picture.hpp"
#include "look.hpp"
#include "views.hpp"
#include "words/answer.hpp"

namespace railseep::gui {

namespace {

std::string size_of(const FaultFit& fit, const ShownUnits& units) {
  std::string text;
  for (std::size_t i = 0; i < fit.severities.size(); ++i) {
    const FaultKind& kind = *fit.candidate.suspects[i].kind;
    const Severity& severity = fit.severities[i];
    const std::string low = units.text(severity.low, kind.quantity, kind.unit, 2);
    text += (i > 0 ? ", " : "") + units.text(severity.best, kind.quantity, kind.unit, 2) + "  (" +
            low.substr(0, low.find(' ')) + " to " + units.text(severity.high, kind.quantity, kind.unit, 2) + ")";
  }
  return text;
}

/// Index of the set a fit belongs to, -1 when it stands alone.
int set_of(const MatchResult& result, std::size_t fit) {
  for (std::size_t i = 0; i < result.sets.size(); ++i)
    if (result.sets[i].fits.size() > 1 &&
        std::find(result.sets[i].fits.begin(), result.sets[i].fits.end(), fit) != result.sets[i].fits.end())
      return static_cast<int>(i);
  return -1;
}

/// One candidate: bar, percent, fault, size. A bracket at the left holds together what cannot be told apart.
void draw_candidate(App& app, std::size_t i) {
  Matching& matching = app.matching;
  const FaultFit& fit = matching.result->fits[i];
  const Palette& p = palette();
  const float bracket = 0.9f * em(), wide = ImGui::GetContentRegionAvail().x, high = 3.4f * em();
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImGui::PushID(static_cast<int>(i));
  if (ImGui::InvisibleButton("candidate", {wide, high})) matching.chosen = static_cast<int>(i);
  note_widget("candidate " + std::to_string(i));
  const bool hot = ImGui::IsItemHovered() || ImGui::IsItemFocused(), chosen = matching.chosen == static_cast<int>(i);
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  const ImVec2 low(at.x + bracket, at.y), end(at.x + wide, at.y + high);
  draw.AddRectFilled(low, end, p.raised, 0.3f * em());
  draw.AddRectFilled(low, {low.x + static_cast<float>(fit.probability) * (end.x - low.x), end.y}, p.fill, 0.3f * em());
  draw.AddRectFilled({low.x, end.y - 0.2f * em()},
                     {low.x + static_cast<float>(fit.probability) * (end.x - low.x), end.y}, p.good, 0.1f * em());
  if (hot || chosen) draw.AddRect(low, end, chosen ? p.computed : p.quiet, 0.3f * em(), 0, 2);
  ImGui::SetCursorScreenPos({low.x + 0.5f * em(), at.y + 0.3f * em()});
  one_line(fit.candidate.title(), end.x - low.x - 0.8f * em());
  ImGui::SetCursorScreenPos({low.x + 0.5f * em(), at.y + 1.65f * em()});
  one_line(percent(fit.probability), 3.2f * em());
  if (!fit.candidate.healthy() && !matching.result->unexplained) {
    const float words = low.x + 3.9f * em();
    ImGui::SetCursorScreenPos({words, at.y + 1.65f * em()});
    ImGui::PushStyleColor(ImGuiCol_Text, p.quiet);
    one_line(size_of(fit, app.settings.units), end.x - words - 0.3f * em());
    ImGui::PopStyleColor();
  }
  ImGui::PopID();
  ImGui::SetCursorScreenPos({at.x, at.y + high + ImGui::GetStyle().ItemSpacing.y});
  ImGui::Dummy({0, 0});
  ImGui::SetCursorScreenPos({at.x, at.y + high + ImGui::GetStyle().ItemSpacing.y});
}

/// Candidates with the first set's members brought together under their most probable one.
std::vector<std::size_t> shown_order(const MatchResult& result) {
  std::vector<std::size_t> order;
  const auto add = [&](std::size_t i) {
    if (std::find(order.begin(), order.end(), i) == order.end()) order.push_back(i);
  };
  for (std::size_t i = 0; i < result.fits.size() && (i < 3 || result.fits[i].probability >= 0.005); ++i) {
    add(i);
    if (const int set = set_of(result, i); set >= 0) {
      std::vector<std::size_t> members = result.sets[set].fits;
      std::stable_sort(members.begin(), members.end(), [&](std::size_t a, std::size_t b) {
        return result.fits[a].probability > result.fits[b].probability;
      });
      for (const std::size_t other : members) add(other);
    }
  }
  return order;
}

void draw_ranking(App& app) {
  const MatchResult& result = *app.matching.result;
  heading("What may be wrong");
  const std::vector<std::size_t> order = shown_order(result);
  double rest = 1;
  for (std::size_t k = 0; k < order.size();) {
    const int set = set_of(result, order[k]);
    const ImVec2 top = ImGui::GetCursorScreenPos();
    std::size_t end = k;
    for (; end < order.size() && (end == k || (set >= 0 && set_of(result, order[end]) == set)); ++end) {
      rest -= result.fits[order[end]].probability;
      draw_candidate(app, order[end]);
    }
    if (end - k > 1) {
      const ImVec2 low = ImGui::GetCursorScreenPos();
      const float x = top.x + 0.35f * em(), bottom = low.y - ImGui::GetStyle().ItemSpacing.y;
      ImDrawList& draw = *ImGui::GetWindowDrawList();
      const ImVec2 points[] = {
          {x + 0.35f * em(), top.y + 1}, {x, top.y + 1}, {x, bottom - 1}, {x + 0.35f * em(), bottom - 1}};
      draw.AddPolyline(points, 4, palette().measured, 0, 2.5f);
      ImGui::Indent(0.9f * em());
      say_quietly("This evidence cannot tell these apart: " + result.sets[set].why);
      const bool decided = app.deciding.result && app.deciding.of == app.matching.result;
      say_quietly("What would tell: " + (decided ? app.deciding.result->tellings[static_cast<std::size_t>(set)].words
                                                 : "what is to be done now says."));
      ImGui::Unindent(0.9f * em());
    }
    k = end;
  }
  say_quietly("All others together: " + percent(std::max(0.0, rest)) + ". Intervals give the middle 90 %; loss at " +
              app.settings.units.text(reference_pressure, Quantity::pressure) +
              " with the hottest log's oil. Priors and tolerances are assumed. " + app.matching.trust);
}

void draw_places(const Suspect& suspect) {
  if (suspect.places.size() < 2) return;
  std::string text = "It may be at any of these, which look the same: ";
  for (std::size_t i = 0; i < suspect.places.size(); ++i) text += (i > 0 ? ", " : "") + suspect.places[i].place;
  say_quietly(text + ".");
}

void draw_access(const Suspect& suspect, const Circuit& circuit) {
  std::vector<std::string> seen;
  for (const PossibleFault& place : suspect.places) {
    if (place.access.empty() || std::find(seen.begin(), seen.end(), place.access) != seen.end()) continue;
    seen.push_back(place.access);
    for (const Access& access : circuit.access)
      if (access.name == place.access)
        say_quietly("Behind: " + access.name + ", " + plain_number(access.labour / 60, 2) +
                    " min to open (an assumed relative figure).");
  }
}

void try_it(App& app, const FaultFit& fit) {
  Question& question = app.what_if.question;
  question.faults = fit.faults();
  if (!question.faults.empty()) app.what_if.place = question.faults[0].place;
  if (!app.matching.result->logs.empty()) {
    const CrankEvidence& log = app.matching.result->logs[app.matching.log];
    question.oil_temperature = std::clamp(log.condition.oil_temperature, 263.15, 393.15);
    question.speed = std::clamp(log.condition.speed.at(log.duration / 2), 6.3, 27.2);
    question.battery = std::clamp(log.condition.battery.at(log.duration / 2), 6.0, 13.0);
  }
  show_model(app, ModelTool::oil);
}

void draw_curves(App& app, float height) {
  Matching& matching = app.matching;
  const MatchResult& result = *matching.result;
  const FaultFit& fit = result.fits[matching.chosen];
  std::vector<std::string> names;
  for (const CrankEvidence& log : result.logs) names.push_back(log.name);
  if (names.size() > 1) choice("log shown", names, matching.log);
  const CrankEvidence& log = result.logs[matching.log];
  const std::vector<double>& computed = fit.computed[matching.log];
  std::vector<double> residual(computed.size());
  for (std::size_t i = 0; i < computed.size(); ++i) residual[i] = log.measured[i] - computed[i];
  matching.axis.next_frame();
  matching.axis.cover(0, 1.02 * std::max(log.duration, log.time.back()));
  const NoiseModel noise;
  const Palette& p = palette();
  Picture picture{"Rail pressure",
                  Quantity::pressure,
                  {{"computed", log.time, computed, p.computed},
                   {"measured", log.time, log.measured, p.measured, Series::Look::points, 1.645 * noise.noise}},
                  {{app.circuit->control.enable_pressure, "needed to inject", p.enable}}};
  picture.times = false;
  Picture strip{"Measured less computed",
                Quantity::pressure,
                {{"difference", log.time, residual, p.measured, Series::Look::points}},
                {}};
  strip.around_zero = true, strip.slim = true;
  const float wide = ImGui::GetContentRegionAvail().x;
  const Corners measured = log.duty ? corners_of(*log.duty) : Corners{};
  const Picture duty{"Regulator duty",
                     Quantity::ratio,
                     {{"measured", measured.time, measured.value, p.measured, Series::Look::points}},
                     {{app.circuit->control.most_duty, "ceiling", p.ceiling}},
                     false,
                     true,
                     false};
  plot("fit plot", {wide, 0.64f * height}, picture, matching.axis, matching.pressure_plot, app.settings.units);
  if (log.duty)
    plot("measured duty plot", {wide, 0.36f * height}, duty, matching.axis, matching.duty_plot, app.settings.units);
  else
    say_quietly("This log holds no regulator duty.");
  plot("residual plot", {wide, 0.36f * height}, strip, matching.axis, matching.residual_plot, app.settings.units);
}

std::string number_beside(const ObservedAndPredicted& line, const ShownUnits& units) {
  const auto number = [&](const std::optional<double>& si) {
    return si ? units.text(*si, line.quantity) : std::string("not so far");
  };
  return number(line.read) + ", with this fault " + number(line.computed);
}

std::string word_beside(const ObservedAndPredicted& line) {
  return line.found + "; with this fault " + (line.found == line.expected ? "so" : "\"" + line.found + "\"") + " in " +
         percent(*line.probability) + (line.found == line.expected ? "" : ", \"" + line.expected + "\" is likelier");
}

/// What was read off, tried, checked or heard, and what this candidate would have shown.
void draw_told(const App& app) {
  const Beside& told = app.matching.told;
  const auto i = static_cast<std::size_t>(app.matching.chosen);
  const ShownUnits& units = app.settings.units;
  if (told.empty()) return;
  heading("Beside what was read, tried and checked");
  for (const ReadBeside& reading : told.readings) {
    const bool known = i < reading.computed.size() && reading.computed[i];
    say(reading.name + ": read " + units.text(reading.read, reading.quantity) +
        (known ? ", with this fault " + units.text(*reading.computed[i], reading.quantity) : ""));
  }
  for (const StartBeside& start : told.starts) {
    const bool known = i < start.probability.size() && start.probability[i];
    say((start.name.empty() ? "A try: " : start.name + ": ") + (start.started ? "it started" : "it did not start") +
        (known ? ", with this fault it would in " + percent(*start.probability[i]) : ""));
  }
  if (i < told.findings.size())
    for (const ObservedAndPredicted& line : told.findings[i])
      say(line.name + ": " + (line.probability ? word_beside(line) : number_beside(line, units)));
  say_quietly("With the typical values of everything else; readings are doubted accordingly.");
}

void draw_chosen(App& app) {
  Matching& matching = app.matching;
  const MatchResult& result = *matching.result;
  const FaultFit& fit = result.fits[matching.chosen];
  say(fit.candidate.title());
  if (fit.flow)
    say_quietly("It loses " + app.settings.units.text(*fit.flow, Quantity::volume_flow, {}, 2) + " at " +
                app.settings.units.text(reference_pressure, Quantity::pressure) + ".");
  for (const Suspect& suspect : fit.candidate.suspects) {
    say_quietly(suspect.kind->meaning);
    draw_places(suspect);
    draw_access(suspect, *app.circuit);
  }
  if (button("Try it in the model")) try_it(app, fit);
  tooltip("Opens the drawing with this fault in it, under the condition of the log shown");
  draw_told(app);
  if (result.logs.empty()) return say_quietly("No log was compared, so there is no curve to show.");
  if (fit.computed.size() <= static_cast<std::size_t>(matching.log))
    return say_quietly("No curve was computed for this candidate.");
  draw_curves(app, 22 * em());
  for (const std::string& note : result.logs[matching.log].notes) say_quietly("• " + note);
  say_quietly("A computed result is a hint, not proof: confirm by a test before parts.");
}

void draw_balance(App& app) {
  const Matching& matching = app.matching;
  const MatchResult& result = *matching.result;
  if (result.balances.size() <= static_cast<std::size_t>(matching.log)) return;
  heading("Where the pump's oil goes");
  say_quietly("At the end of \"" + result.logs[matching.log].name + "\", if the first candidate is right.");
  const float rows = static_cast<float>(std::min<std::size_t>(result.balances[matching.log].uses.size() + 2, 9));
  std::string wrong;
  if (const Candidate& first = result.fits.front().candidate; !first.healthy()) {
    const Suspect& suspect = first.suspects.front();
    wrong = suspect.kind->change == FaultKind::Change::opens_leak ? leak_name(suspect.fault(0))
                                                                  : suspect.places.front().place;
  }
  draw_flow_picture(result.balances[matching.log], wrong,
                    {ImGui::GetContentRegionAvail().x, std::max(7.0f, 1.5f * rows) * em()});
}

/// What the evidence lacks, what that costs, and what would mend it.
void draw_missing(const std::vector<Shortfall>& missing, bool grave) {
  if (std::ranges::none_of(missing, [&](const Shortfall& one) { return one.grave == grave; })) return;
  heading(grave ? "Not enough evidence to act upon" : "What would make it surer");
  for (const Shortfall& one : missing) {
    if (one.grave != grave) continue;
    if (grave) ImGui::PushStyleColor(ImGuiCol_Text, palette().leak);
    say((grave ? "! " : "• ") + one.missing);
    if (grave) ImGui::PopStyleColor();
    ImGui::Indent(em());
    say_quietly("Costs: " + one.cost + ".");
    say_quietly("→ " + one.mend + ".");
    ImGui::Unindent(em());
  }
}

/// What is computed now, or why nothing is.
void draw_state(App& app) {
  Matching& matching = app.matching;
  const Job& job = app.document.job;
  if (app.circuit && !app.document.circuit_chosen) {
    ImGui::PushStyleColor(ImGuiCol_Text, palette().measured);
    say("No engine was chosen yet: " + app.circuit->name + " is assumed.");
    ImGui::PopStyleColor();
  }
  if (!app.circuit) return say("No circuit is loaded: choose the engine.");
  if (!has_evidence(job))
    return say_quietly(
        "The answer comes here by itself, once there is something to go by: a log, a reading, a try to start it, a "
        "look "
        "that says good or bad, or an air test. A cold and a hot crank, logged, tell most.");
  if (matching.running()) {
    if (draw_progress(*matching.progress, "match", "Best so far: ")) matching.stop(app.slow);
    return;
  }
  if (matching.trouble) say_trouble(*matching.trouble);
  const bool waits = app.settings.answers && app.answering.matched.empty();
  if ((answer_is_old(app) || !matching.result) && !waits) {
    if (answer_is_old(app)) say_quietly("The evidence has changed since.");
    if (button("Compute the answer", 14 * em())) answer_again(app);
  }
}

/// The answer in one sentence.
std::string sentence_of(const MatchResult& result) {
  const FaultFit& first = result.fits.front();
  const int set = set_of(result, 0);
  if (set < 0) return "Most likely: " + first.candidate.title() + ", " + in_ten(first.probability) + ".";
  std::string others;
  double together = 0;
  const std::vector<std::size_t>& members = result.sets[static_cast<std::size_t>(set)].fits;
  for (const std::size_t i : members) together += result.fits[i].probability;
  std::size_t named = 0;
  for (const std::size_t i : members)
    if (i != 0 && named++ < 2) others += (others.empty() ? "" : " or ") + result.fits[i].candidate.title();
  if (members.size() > 3) others += " or " + std::to_string(members.size() - 3) + " more";
  return "Most likely: " + first.candidate.title() + ", " + in_ten(first.probability) +
         "; this evidence cannot tell it from " + others + " (together " + in_ten(together) + ").";
}

/// A bar for each thing that can be opened: how probably the fault is behind it.
void draw_openings(const Decision& decision) {
  const Belief& belief = decision.belief;
  std::vector<std::pair<double, std::size_t>> shares;
  for (std::size_t i = 0; i < belief.groups.size(); ++i) {
    double share = 0;
    for (const Hypothesis& one : belief.hypotheses)
      if (std::ranges::find(one.groups, static_cast<int>(i)) != one.groups.end()) share += one.probability;
    if (share >= 0.005) shares.emplace_back(share, i);
  }
  std::ranges::sort(shares, std::greater{});
  heading("Where it is");
  for (const auto& [share, i] : shares) draw_share(belief.groups[i].name, share);
}

}  // namespace

void draw_answer(App& app) {
  const Matching& matching = app.matching;
  draw_state(app);
  if (!matching.result || matching.result->fits.empty()) return;
  const bool old = answer_is_old(app) || matching.running();
  ImGui::PushStyleVar(ImGuiStyleVar_Alpha, old ? 0.45f : 1.0f);
  draw_missing(matching.missing, true);
  const std::vector<std::string> verdict = verdict_lines(*matching.result, matching.sound);
  for (const std::string& line : verdict) say(line);
  if (verdict.empty()) say(sentence_of(*matching.result));
  note_widget("answer");
  if (app.deciding.result && app.deciding.of == matching.result) draw_openings(*app.deciding.result);
  draw_ranking(app);
  draw_missing(matching.missing, false);
  heading("What it rests on");
  draw_chosen(app);
  draw_balance(app);
  ImGui::PopStyleVar();
}

}  // namespace railseep::gui

// What the shop takes, units, size of the text, colours, keys and words.
#include <algorithm>
#include <cstdio>

#include "data_files.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

void choose(const char* id, const char* words, std::string& now, const std::vector<std::string>& units) {
  say(words);
  std::vector<std::string> shown;
  for (const std::string& unit : units) shown.push_back(printed_unit(unit));
  int chosen = static_cast<int>(std::find(units.begin(), units.end(), now) - units.begin());
  if (choice(id, shown, chosen)) now = units[chosen];
}

void draw_choices(Settings& settings) {
  heading("Units");
  choose("pressure", "Pressure", settings.units.pressure, {"psi", "bar", "MPa"});
  choose("temperature", "Temperature", settings.units.temperature, {"degC", "degF"});
  choose("length", "Length", settings.units.length, {"mm", "in"});
  choose("flow", "Oil that is lost", settings.units.flow, {"cm3/s", "L/min"});
  heading("Looks");
  say("Size of the text");
  if (button("Smaller", 0, settings.text_scale > least_text_scale))
    settings.text_scale = std::max(least_text_scale, settings.text_scale - 0.1);
  ImGui::SameLine();
  if (button("Larger", 0, settings.text_scale < most_text_scale))
    settings.text_scale = std::min(most_text_scale, settings.text_scale + 0.1);
  ImGui::SameLine();
  ImGui::AlignTextToFramePadding();
  one_line(plain_number(100 * settings.text_scale, 3) + " %", 6 * em());
  int dark = settings.dark ? 0 : 1;
  say("Colours");
  if (choice("colours", {"Dark", "Light"}, dark)) settings.dark = dark == 0;
  tick("Let the oil move in the drawing", settings.motion);
  tick("Compute the answer by itself", settings.answers);
  tooltip("Half a second after the last change; else a button does it");
}

/// A number of the shop, or that of the costs file.
void draw_rate(const char* words, const char* unit, std::optional<double>& rate, double usual, double factor,
               const ShownUnits& units) {
  bool own = rate.has_value();
  if (tick(words, own)) rate = own ? std::optional(usual) : std::nullopt;
  char number[32];
  std::snprintf(number, sizeof number, "%g", usual / factor);
  if (!rate) return say_quietly(std::string(number) + " " + unit + ", as in models/costs.json");
  double shown = *rate / factor;
  if (edit_number(words, shown, Quantity::ratio, units, "x", 8 * em())) rate = std::max(0.0, shown * factor);
  ImGui::SameLine();
  ImGui::AlignTextToFramePadding();
  one_line(unit, ImGui::GetContentRegionAvail().x);
}

void draw_rates(App& app) {
  heading("What it costs in this shop");
  Costs costs;
  if (!attempt(app, [&] { costs = read_costs(data_file("models/costs.json")); })) return;
  ShopRates& rates = app.settings.rates;
  const std::string currency = rates.of(costs).currency;
  edit_text("Own currency (empty: " + costs.currency + ")##currency", rates.currency);
  if (rates.currency.size() > longest_currency) rates.currency.resize(longest_currency);
  const ShownUnits& units = app.settings.units;
  draw_rate("Own rate for an hour's work", (currency + " an hour").c_str(), rates.hourly_rate, costs.hourly_rate, 1,
            units);
  draw_rate("Own sum for each opening", currency.c_str(), rates.opening_money, costs.opening_money, 1, units);
  draw_rate("Own time to prove a repair", "minutes", rates.proving_time, costs.proving_time, 60, units);
  say_quietly("Parts and what else a job may cost stand in models/costs.json. " + capital(costs.source) + ".");
}

struct Term {
  const char *word, *meaning;
};
constexpr Term glossary[] = {
    {"Air left by the stop", "the share of the oil side that holds air when the engine is cranked"},
    {"Duty",
     "the share of time for which the control module closes the pressure regulator; high duty and low pressure "
     "say that oil is lost or not delivered"},
    {"Ceiling", "the most duty the control module gives"},
    {"Needed to inject", "the rail pressure below which the control module allows no injection"},
    {"Candidate", "one thing that may be wrong, with the size that explains the evidence best"},
    {"Look-alikes", "candidates that this evidence cannot tell apart; the bracket holds them together"},
    {"Middle 90 %", "a size lies in this interval in nine of ten cases, if the candidate is right"},
    {"Counts, only words", "what counts changes the answer; words are kept in the job and change nothing"},
    {"Cover, opening", "what must be opened to reach a place: covers, valley, or work that needs none"},
    {"Proved", "logs from before and after a repair say that the oil no longer goes where it went"},
};

void draw_glossary() {
  heading("Words");
  for (const Term& term : glossary) {
    say(term.word);
    ImGui::Indent(em());
    say_quietly(term.meaning);
    ImGui::Unindent(em());
  }
}

void draw_keys() {
  heading("Keys");
  say("F1 to F" + std::to_string(views().size()) + ": the pages; F11: the model on the whole screen, for a class");
  say("Ctrl+N new, Ctrl+O open, Ctrl+S save, Ctrl+Z undo, Ctrl+Y redo");
  say("Ctrl+Plus and Ctrl+Minus: size of the text, Ctrl+0 as it was");
  say("Ctrl+Space: play the crank in the drawing");
  say("Tab and Shift+Tab: the next control and the one before; arrow keys: the nearest one");
  say("Space: press it; on a slider Space, then left and right; Ctrl and a press of the mouse: type its number, with "
      "any unit");
  say("Page Up and Page Down: the places of the drawing one by one; Plus, Minus and Home: nearer, further, the whole "
      "drawing; Shift+arrows move it");
  say("In plots: Plus, Minus and Home zoom in time, Shift+arrows move, Ctrl+arrows read values. In the model go "
      "to the plot first (Tab)");
}

}  // namespace

void draw_shop_view(App& app) {
  const bool wide = ImGui::GetContentRegionAvail().x > 46 * em();
  if (!wide) choice("shop part", {"Rates, units, looks", "Keys, words"}, app.shop_tab);
  if (wide || app.shop_tab == 0) {
    begin_panel("settings", {wide ? 22 * em() : 0, 0});
    draw_rates(app);
    draw_choices(app.settings);
    if (!app.font_found) say("No font file was found (Debian: fonts-dejavu-core), so a plain one is used.");
    ImGui::EndChild();
  }
  if (wide) ImGui::SameLine(0, 0.5f * em());
  if (wide || app.shop_tab == 1) {
    begin_panel("keys", {0, 0});
    draw_keys();
    draw_glossary();
    ImGui::EndChild();
  }
}

}  // namespace railseep::gui

#include "widgets.hpp"

#include <imgui_internal.h>
#include <imgui_stdlib.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "look.hpp"
#include "wrapped_text.hpp"

namespace railseep::gui {

namespace {

std::string_view shown_part(std::string_view label) {
  return label.substr(0, std::min(label.find("##"), label.size()));
}

float width_of(std::string_view text) { return ImGui::CalcTextSize(text.data(), text.data() + text.size()).x; }

float room_right() { return ImGui::GetContentRegionAvail().x; }

/// No wider than some 80 letters, of which the eye finds the next line.
float readable_room() { return std::min(room_right(), 46 * em()); }

/// Broken at blanks alone: ImGui would part "35.0 bar" at its point. It breaks only words wider than the room.
std::string in_lines(std::string_view text, float room) { return wrapped(text, room, width_of); }
float wrap_width(float room) { return room + 1; }  // of such lines, for ImGui

/// The widest word: text that wraps has room when its words have.
float widest_word(std::string_view text) {
  float widest = 0;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t end = std::min(text.find_first_of(" \n", from), text.size());
    widest = std::max(widest, width_of(text.substr(from, end - from)));
    from = end + 1;
  }
  return widest;
}

}  // namespace

Stage& stage() { return *static_cast<Stage*>(ImGui::GetIO().UserData); }

bool keyboard_is_here() {
  const ImGuiContext& g = *ImGui::GetCurrentContext();
  return g.LastItemData.ID != 0 && g.NavId == g.LastItemData.ID && !g.NavDisableHighlight;
}

bool pointer_is_here() { return ImGui::IsItemHovered() && !ImGui::GetCurrentContext()->NavDisableMouseHover; }

void let_keys_lead() { ImGui::GetCurrentContext()->NavDisableMouseHover = true; }

void note_widget(std::string_view id) {
  const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
  stage().widgets.insert_or_assign(std::string(id), ImVec4(low.x, low.y, high.x, high.y));
  if (ImGui::IsItemFocused()) stage().focused = id;
  const ImGuiLastItemData& item = ImGui::GetCurrentContext()->LastItemData;
  std::vector<Stage::Stop>& stops = stage().stops;
  if (item.ID == 0 || (item.InFlags & ImGuiItemFlags_Disabled) || (!stops.empty() && stops.back().id == item.ID))
    return;
  stops.push_back({item.ID, ImGui::GetCurrentWindow(), {low.x, low.y, high.x, high.y}, std::string(id)});
}

void note_text(std::string_view text, float needed, float room) {
  stage().texts.push_back({std::string(text), needed, room});
}

void label(std::string_view picture, std::string_view text, ImVec2 at, ImU32 colour, ImVec4 room, float size) {
  if (size <= 0) size = em();
  const ImVec2 wide = ImGui::GetFont()->CalcTextSizeA(size, 1e9f, 0, text.data(), text.data() + text.size());
  stage().labels.push_back({std::string(picture), std::string(text), {at.x, at.y, at.x + wide.x, at.y + wide.y}, room});
  ImGui::GetWindowDrawList()->AddText(ImGui::GetFont(), size, at, colour, text.data(), text.data() + text.size());
}

void say(std::string_view text) {
  note_text(text, widest_word(text), room_right());
  const std::string lines = in_lines(text, readable_room());
  ImGui::PushTextWrapPos(ImGui::GetCursorPosX() + wrap_width(readable_room()));
  ImGui::TextUnformatted(lines.data(), lines.data() + lines.size());
  ImGui::PopTextWrapPos();
}

void say_quietly(std::string_view text) {
  ImGui::PushStyleColor(ImGuiCol_Text, palette().quiet);
  say(text);
  ImGui::PopStyleColor();
}

void heading(std::string_view text) {
  ImGui::Dummy({0, 0.1f * em()});
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImGui::GetWindowDrawList()->AddRectFilled({at.x, at.y + 0.1f * em()}, {at.x + 0.22f * em(), at.y + 0.95f * em()},
                                            palette().accent, 0.1f * em());
  ImGui::SetCursorScreenPos({at.x + 0.55f * em(), at.y});
  say(text);
}

void say_trouble(const Error& error) {
  ImGui::PushStyleColor(ImGuiCol_Text, palette().leak);
  say(error.place() + ": " + error.found());
  ImGui::PopStyleColor();
  say("→ " + error.expected());
}

std::string shortened(std::string_view text, float room) {
  std::string shown(text);
  if (width_of(text) <= room) return shown;
  while (!shown.empty() && width_of(shown + "…") > room) {
    shown.pop_back();
    while (!shown.empty() && (static_cast<unsigned char>(shown.back()) & 0xC0) == 0x80) shown.pop_back();
  }
  return shown + "…";
}

void one_line(std::string_view text, float room) {
  const std::string shown = shortened(text, room);
  note_text(shown, width_of(shown), room);
  ImGui::TextUnformatted(shown.c_str());
  if (shown != text) tooltip(text);
}

std::string end_of_path(std::string_view path, float room) {
  std::string shown(path);
  while (width_of(shown) > room) {
    const std::size_t slash = path.find('/', 1);
    if (slash == std::string_view::npos) break;  // the last folder stays, whatever its length
    path.remove_prefix(slash);
    shown = "…" + std::string(path);
  }
  return shown;
}

float button_width(std::string_view label) {
  return width_of(shown_part(label)) + 2 * ImGui::GetStyle().FramePadding.x;
}

void same_row(std::string_view label, float gap) {
  const float right = ImGui::GetWindowPos().x + ImGui::GetWindowContentRegionMax().x;
  if (ImGui::GetItemRectMax().x + gap + button_width(label) <= right) ImGui::SameLine(0, gap);
}

bool button(std::string_view label, float width, bool enabled, bool chosen) {
  const std::string text(label);
  const float needed = button_width(label);
  if (width <= 0) width = needed;
  note_text(shown_part(label), needed, width + 0.5f);
  if (chosen) {
    for (const ImGuiCol part : {ImGuiCol_Button, ImGuiCol_ButtonHovered, ImGuiCol_ButtonActive})
      ImGui::PushStyleColor(part, palette().accent);
    ImGui::PushStyleColor(ImGuiCol_Text, palette().on_accent);
  }
  ImGui::BeginDisabled(!enabled);
  const bool pressed = ImGui::Button(text.c_str(), {width, 0});
  ImGui::EndDisabled();
  if (chosen) ImGui::PopStyleColor(4);
  note_widget(label);
  return pressed;
}

bool choice(std::string_view id, const std::vector<std::string>& words, int& chosen) {
  bool changed = false;
  ImGui::PushID(id.data(), id.data() + id.size());
  for (int i = 0; i < static_cast<int>(words.size()); ++i) {
    if (i > 0) same_row(words[i], 0.2f * em());
    if (button(words[i], 0, true, i == chosen) && i != chosen) chosen = i, changed = true;
    note_widget(std::string(id) + "/" + words[i]);
  }
  ImGui::PopID();
  return changed;
}

bool tick(std::string_view label, bool& on) {
  note_text(shown_part(label),
            width_of(shown_part(label)) + ImGui::GetFrameHeight() + ImGui::GetStyle().ItemInnerSpacing.x, room_right());
  ImGui::PushStyleVar(ImGuiStyleVar_FrameBorderSize, 1.5f), ImGui::PushStyleColor(ImGuiCol_Border, palette().quiet);
  const bool changed = ImGui::Checkbox(std::string(label).c_str(), &on);
  ImGui::PopStyleColor(), ImGui::PopStyleVar();
  note_widget(label);
  return changed;
}

namespace {

/// Where a value stands between its ends, 0 to 1.
float share_of(double value, double low, double high, bool logarithmic) {
  const double share =
      logarithmic && low > 0 ? std::log(value / low) / std::log(high / low) : (value - low) / (high - low);
  return static_cast<float>(std::clamp(share, 0.0, 1.0));
}

/// Fill, words and number over the slider drawn last.
void draw_slider_face(std::string_view words, const std::string& number, float share) {
  const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  const float x = low.x + share * (high.x - low.x), rounding = ImGui::GetStyle().FrameRounding;
  const bool hot = ImGui::IsItemHovered() || ImGui::IsItemActive();
  draw.AddRectFilled(low, {x, high.y}, palette().fill, rounding);
  draw.AddLine({x, low.y}, {x, high.y}, faded(palette().computed, 0.8f), 1);
  const float edge = std::min(
      0.15f * em(),
      0.5f * (high.x - low.x));  // a slider without room, such as one in a frame not yet laid out, still has a middle
  const float grip = std::clamp(x, low.x + edge, high.x - edge);
  draw.AddRectFilled({grip - 0.13f * em(), high.y - 0.4f * em()}, {grip + 0.13f * em(), high.y},
                     hot ? palette().measured : palette().computed, 0.1f * em());  // below the words
  const float pad = 0.5f * em(), y = low.y + ImGui::GetStyle().FramePadding.y;
  const float wide = width_of(number), room = high.x - low.x - wide - 3 * pad;
  note_text(words, width_of(words), room);
  draw.PushClipRect(low, {high.x - wide - 2 * pad, high.y}, true);
  draw.AddText({low.x + pad, y}, palette().text, words.data(), words.data() + words.size());
  draw.PopClipRect();
  draw.AddText({high.x - wide - pad, y}, palette().text, number.c_str());
}

/// Ctrl and a press of the mouse turn a slider into a field to type its number in, until the keyboard goes elsewhere.
bool typed_by_hand() {
  int& since = *ImGui::GetStateStorage()->GetIntRef(ImGui::GetID("typing"), 0);  // frames
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const bool over =
      ImGui::IsWindowHovered() && ImGui::IsMouseHoveringRect(at, {at.x + room_right(), at.y + ImGui::GetFrameHeight()});
  const bool begins = since == 0 && over && ImGui::GetIO().KeyCtrl && ImGui::IsMouseClicked(ImGuiMouseButton_Left) &&
                      ImGui::GetCurrentContext()->ActiveId == 0;
  if (begins) ImGui::SetKeyboardFocusHere();
  const bool active = stage().typed.id != 0 && stage().typed.id == ImGui::GetID("##value");
  since = begins ? 1 : since > 0 && (active || since < 3) ? since + 1 : 0;
  return since > 0;
}

}  // namespace

bool slider(std::string_view label, double& si, Quantity quantity, const ShownUnits& units, double least, double most,
            bool logarithmic, std::string_view hint, int digits) {
  ImGui::PushID(label.data(), label.data() + label.size());
  if (typed_by_hand()) {
    const bool taken = edit_number("value", si, quantity, units, hint);
    note_widget(label);
    si = std::clamp(si, least, most);
    ImGui::PopID();
    return taken;
  }
  double shown = units.number(si, quantity, hint);
  const double low = units.number(least, quantity, hint), high = units.number(most, quantity, hint);
  const int before = static_cast<int>(std::floor(std::log10(std::max(std::abs(high), 1e-9)))) + 1;
  const std::string format = "%." + std::to_string(std::clamp(digits - before, 0, 5)) + "f";
  // Our words stand over it.
  const ImU32 hidden = IM_COL32(0, 0, 0, 0);
  ImGui::PushStyleColor(ImGuiCol_Text, hidden);
  ImGui::PushStyleColor(ImGuiCol_SliderGrab, hidden), ImGui::PushStyleColor(ImGuiCol_SliderGrabActive, hidden);
  ImGui::SetNextItemWidth(-1);
  const ImGuiSliderFlags flags = ImGuiSliderFlags_AlwaysClamp | ImGuiSliderFlags_NoRoundToFormat |
                                 ImGuiSliderFlags_NoInput | (logarithmic ? ImGuiSliderFlags_Logarithmic : 0);
  const bool changed = ImGui::SliderScalar("##value", ImGuiDataType_Double, &shown, &low, &high, format.c_str(), flags);
  ImGui::PopStyleColor(3);
  char number[48];
  std::snprintf(number, sizeof number, format.c_str(), shown);
  const std::string unit = printed_unit(units.unit(quantity, hint));
  draw_slider_face(label.substr(0, std::min(label.find("##"), label.size())), number + (unit.empty() ? "" : " " + unit),
                   share_of(shown, low, high, logarithmic));
  note_widget(label);
  if (!ImGui::IsItemActive())
    tooltip(std::string(label.substr(0, std::min(label.find("##"), label.size()))) +
            ". Drag, or Ctrl and click to type a number");
  ImGui::PopID();
  if (changed) si = std::clamp(units.si(shown, quantity, hint), least, most);
  return changed;
}

bool optional_slider(std::string_view label, std::string_view open, std::optional<double>& si, double usual,
                     Quantity quantity, const ShownUnits& units, double least, double most, std::string_view hint) {
  bool told = si.has_value(), changed = false;
  ImGui::PushID(label.data(), label.data() + label.size());
  if (tick("##told " + std::string(label), told)) si = told ? std::optional(usual) : std::nullopt, changed = true;
  tooltip(told ? "Untick to leave this open" : "Tick to tell it");
  ImGui::SameLine();
  if (si)
    changed |= slider(label, *si, quantity, units, least, most, false, hint);
  else
    ImGui::AlignTextToFramePadding(), one_line(std::string(shown_part(label)) + ": " + std::string(open), room_right());
  ImGui::PopID();
  return changed;
}

namespace {

/// The field where a number is typed, once it has the keyboard: takes the number at every letter that makes one.
bool type_number(double& si, Quantity quantity, const ShownUnits& units, std::string_view hint) {
  Stage::TypedNumber& typed = stage().typed;
  double now = typed.before;
  typed.bad = false;
  try {
    now = units.read(typed.text, quantity, hint);
  } catch (const Error&) {
    typed.bad = true;  // told when the field is left
  }
  si = now;
  return !typed.bad;
}

/// What was left standing though it is no such quantity.
void refuse_typed(std::string_view id, Quantity quantity, const ShownUnits& units, std::string_view hint) {
  const std::string name(id.substr(0, id.find("##")));
  try {
    units.read(stage().typed.text, quantity, hint);
  } catch (const Error& error) {
    stage().refused = Error(name, error.found() + "; the number is as it was", error.expected());
  }
}

}  // namespace

bool edit_number(std::string_view id, double& si, Quantity quantity, const ShownUnits& units, std::string_view hint,
                 float width, std::string_view blank) {
  Stage::TypedNumber& typed = stage().typed;
  const std::string field = "##" + std::string(id);
  const unsigned here = ImGui::GetID(field.c_str());
  const std::string unit = printed_unit(units.unit(quantity, hint));
  char shown[64];
  std::snprintf(shown, sizeof shown, "%.6g", units.number(si, quantity, hint));
  std::string text = typed.id == here ? typed.text : !blank.empty() ? "" : shown + (unit.empty() ? "" : " " + unit);
  ImGui::SetNextItemWidth(width > 0 ? width : -1);
  const bool bad = typed.id == here && typed.bad;
  if (bad) ImGui::PushStyleColor(ImGuiCol_Text, palette().leak);
  bool changed =
      ImGui::InputTextWithHint(field.c_str(), std::string(blank).c_str(), &text, ImGuiInputTextFlags_AutoSelectAll);
  if (bad) ImGui::PopStyleColor();
  note_widget(id);
  tooltip("In " + (unit.empty() ? "plain numbers" : unit) + ", or with a unit of its own");
  if (ImGui::IsItemActivated()) typed = {here, text, si, false};
  if (changed && typed.id == here) typed.text = text, changed = type_number(si, quantity, units, hint);
  if (typed.id != here || ImGui::IsItemActive()) return changed;
  if (typed.bad) refuse_typed(id, quantity, units, hint);
  typed = {};
  return changed;
}

bool edit_line(std::string_view id, std::string& text) {
  ImGui::SetNextItemWidth(readable_room());
  const bool done = ImGui::InputText(std::string(id).c_str(), &text, ImGuiInputTextFlags_EnterReturnsTrue);
  note_widget(id);
  return done;
}

namespace {

/// Breaks the lines anew while somebody types; the cursor stays with its letter.
int wrap_again(ImGuiInputTextCallbackData* data) {
  const float room = *static_cast<const float*>(data->UserData);
  const std::string_view now(data->Buf, static_cast<std::size_t>(data->BufTextLen));
  const std::size_t place = unwrapped_place(now, static_cast<std::size_t>(data->CursorPos));
  const std::string again = wrapped(unwrapped(now), room, width_of);
  if (again == now) return 0;
  data->DeleteChars(0, data->BufTextLen);
  data->InsertChars(0, again.c_str());
  data->CursorPos = data->SelectionStart = data->SelectionEnd = static_cast<int>(wrapped_place(again, place));
  return 0;
}

/// A block to type in, with its lines broken where the room ends.
bool edit_block(std::string& text, float height) {
  const float width = readable_room();
  float room = width - 2 * ImGui::GetStyle().FramePadding.x - ImGui::GetStyle().ScrollbarSize - 2;
  std::string shown = wrapped(text, room, width_of);
  const bool changed =
      ImGui::InputTextMultiline("##text", &shown, {width, height}, ImGuiInputTextFlags_CallbackEdit, wrap_again, &room);
  if (changed) text = unwrapped(shown);
  return changed;
}

}  // namespace

bool edit_text(std::string_view label, std::string& text, int lines) {
  const std::string_view words = shown_part(label);
  if (!words.empty()) one_line(words, room_right());
  ImGui::PushID(label.data(), label.data() + label.size());
  ImGui::SetNextItemWidth(readable_room());
  const float height = static_cast<float>(lines) * em() * 1.1f + 2 * ImGui::GetStyle().FramePadding.y;
  const bool changed = lines == 1 ? ImGui::InputText("##text", &text) : edit_block(text, height);
  note_widget(label);
  ImGui::PopID();
  return changed;
}

void draw_share(std::string_view words, double share) {
  const Palette& p = palette();
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float wide = ImGui::GetContentRegionAvail().x, high = 1.7f * em();
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  draw.AddRectFilled(at, {at.x + wide, at.y + high}, p.raised, 0.3f * em());
  draw.AddRectFilled(at, {at.x + static_cast<float>(std::clamp(share, 0.0, 1.0)) * wide, at.y + high}, p.fill,
                     0.3f * em());
  ImGui::SetCursorScreenPos({at.x + 0.5f * em(), at.y + 0.35f * em()});
  one_line(share > 0 ? percent(share) : "0 %", 3.2f * em());
  ImGui::SetCursorScreenPos({at.x + 3.9f * em(), at.y + 0.35f * em()});
  one_line(words, wide - 4.2f * em());
  ImGui::SetCursorScreenPos({at.x, at.y + high + 0.3f * em()});
  ImGui::Dummy({0, 0});
}

namespace {
float large_button_pad() { return 0.55f * em(); }
}  // namespace

float large_button_room() { return std::min(room_right() - 2 * large_button_pad(), 46 * em()); }

bool large_button(std::string_view id, std::string_view words, std::string_view meaning, double share) {
  const float wide = room_right();
  const float pad = large_button_pad();
  const float room = large_button_room();
  const std::string title = in_lines(words, room), below = in_lines(meaning, room);
  const auto high_of = [&](const std::string& text) {
    return ImGui::CalcTextSize(text.data(), text.data() + text.size(), false, wrap_width(room)).y;
  };
  const float first = high_of(title), second = below.empty() ? 0 : high_of(below) + 0.3f * pad,
              high = first + second + 2.3f * pad;
  const ImVec2 at = ImGui::GetCursorScreenPos(), end(at.x + wide, at.y + high);
  ImGui::PushID(id.data(), id.data() + id.size());
  ImGui::PushStyleVar(ImGuiStyleVar_FrameBorderSize, 1.5f), ImGui::PushStyleColor(ImGuiCol_Border, palette().quiet);
  const bool pressed = ImGui::Button("##large", {wide, high});
  ImGui::PopStyleColor(), ImGui::PopStyleVar();
  ImGui::PopID();
  note_widget(id);
  note_text(words, widest_word(words), room);
  if (!meaning.empty()) note_text(meaning, widest_word(meaning), room);
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  if (share > 0)
    draw.AddRectFilled({at.x, end.y - 0.25f * em()},
                       {at.x + static_cast<float>(std::clamp(share, 0.0, 1.0)) * wide, end.y}, palette().computed,
                       0.1f * em());
  const auto write = [&](float y, std::string_view text) {
    draw.AddText(ImGui::GetFont(), em(), {at.x + pad, y}, ImGui::GetColorU32(ImGuiCol_Text), text.data(),
                 text.data() + text.size(), wrap_width(room));
  };
  write(at.y + pad, title);
  if (!below.empty()) write(at.y + 1.3f * pad + first, below);
  return pressed;
}

void begin_panel(const char* id, ImVec2 size, bool padded, ImGuiWindowFlags more) {
  ImGui::BeginChild(id, size, false,
                    ImGuiWindowFlags_NavFlattened | more | (padded ? ImGuiWindowFlags_AlwaysUseWindowPadding : 0));
}

void tooltip(std::string_view text) {
  if (ImGui::IsItemHovered(ImGuiHoveredFlags_AllowWhenDisabled) || keyboard_is_here()) stage().help = text;
  if (!ImGui::IsItemHovered(ImGuiHoveredFlags_AllowWhenDisabled)) return;
  // Below what it explains, or above where there is no room: never on it.
  const float wrap = 26 * em(), gap = 0.3f * em(), padding = 2 * ImGui::GetStyle().WindowPadding.y;
  const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax(), screen = ImGui::GetIO().DisplaySize;
  const std::string lines = in_lines(text, wrap);
  const float needed =
      ImGui::CalcTextSize(lines.data(), lines.data() + lines.size(), false, wrap_width(wrap)).y + padding;
  const bool below = high.y + gap + needed < screen.y;
  ImGui::SetNextWindowPos({std::min(low.x, screen.x - std::min(wrap, width_of(text)) - padding),
                           below ? high.y + gap : low.y - gap - needed},
                          ImGuiCond_Always);
  ImGui::BeginTooltip();
  ImGui::PushTextWrapPos(ImGui::GetCursorPosX() + wrap_width(wrap));
  ImGui::TextUnformatted(lines.data(), lines.data() + lines.size());
  ImGui::PopTextWrapPos();
  ImGui::EndTooltip();
}

}  // namespace railseep::gui

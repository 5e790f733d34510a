#include "look.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string_view>

namespace railseep::gui {

namespace {

constexpr ImU32 rgb(unsigned hex) { return IM_COL32((hex >> 16) & 255, (hex >> 8) & 255, hex & 255, 255); }

// Text reads on all that lies under it: contrasts of 4.5 and more, kept by a test.
constexpr Palette dark_palette = {.text = rgb(0xECEFF1),
                                  .quiet = rgb(0xA9B4BD),
                                  .ground = rgb(0x12171C),
                                  .panel = rgb(0x1A2128),
                                  .raised = rgb(0x2A343E),
                                  .edge = rgb(0x3C4854),
                                  .fill = rgb(0x1C4844),
                                  .accent = rgb(0x26726B),
                                  .on_accent = rgb(0xFFFFFF),
                                  .computed = rgb(0x56B4E9),
                                  .previous = rgb(0x8A97A3),
                                  .pins = {rgb(0xE8D84A), rgb(0xC9A0FF), rgb(0xFF9EA0), rgb(0xA6D86B)},
                                  .measured = rgb(0xE69F00),
                                  .enable = rgb(0x19B58A),
                                  .ceiling = rgb(0xD486B0),
                                  .leak = rgb(0xF47C48),
                                  .good = rgb(0x19B58A)};
constexpr Palette light_palette = {.text = rgb(0x182028),
                                   .quiet = rgb(0x485058),
                                   .ground = rgb(0xE8E8E0),
                                   .panel = rgb(0xF8F8F4),
                                   .raised = rgb(0xDCDCD2),
                                   .edge = rgb(0xB0B0A4),
                                   .fill = rgb(0xA8D0CA),
                                   .accent = rgb(0x1F6B64),
                                   .on_accent = rgb(0xFFFFFF),
                                   .computed = rgb(0x005F99),
                                   .previous = rgb(0x62686C),
                                   .pins = {rgb(0x5B4FA8), rgb(0x8A1F5C), rgb(0x3F6B00), rgb(0x6B3A2A)},
                                   .measured = rgb(0x805000),
                                   .enable = rgb(0x00664A),
                                   .ceiling = rgb(0x903C74),
                                   .leak = rgb(0xA03800),
                                   .good = rgb(0x00664A)};

const Palette* current = &dark_palette;

ImVec4 rgba(ImU32 colour) { return ImGui::ColorConvertU32ToFloat4(colour); }

ImU32 mixed(ImU32 a, ImU32 b, double share) {
  const auto part = [&](int shift) {
    const double x = (a >> shift) & 255, y = (b >> shift) & 255;
    return static_cast<ImU32>(std::lround(x + share * (y - x))) << shift;
  };
  return part(0) | part(8) | part(16) | part(24);
}

void set_colours(ImGuiStyle& style) {
  const Palette& p = palette();
  const auto set = [&](ImGuiCol what, ImU32 colour) { style.Colors[what] = rgba(colour); };
  set(ImGuiCol_Text, p.text), set(ImGuiCol_TextDisabled, p.quiet), set(ImGuiCol_WindowBg, p.ground),
      set(ImGuiCol_ChildBg, p.panel);
  set(ImGuiCol_PopupBg, p.panel), set(ImGuiCol_Border, p.edge), set(ImGuiCol_FrameBg, p.raised),
      set(ImGuiCol_Separator, p.edge);
  set(ImGuiCol_FrameBgHovered, mixed(p.raised, p.accent, 0.3)),
      set(ImGuiCol_FrameBgActive, mixed(p.raised, p.accent, 0.5));
  set(ImGuiCol_Button, p.raised), set(ImGuiCol_ButtonHovered, mixed(p.raised, p.accent, 0.5)),
      set(ImGuiCol_ButtonActive, mixed(p.raised, p.accent, 0.5));
  set(ImGuiCol_Header, mixed(p.panel, p.accent, 0.45)), set(ImGuiCol_HeaderHovered, mixed(p.panel, p.accent, 0.3));
  set(ImGuiCol_HeaderActive, mixed(p.panel, p.accent, 0.45)), set(ImGuiCol_SliderGrab, p.computed),
      set(ImGuiCol_SliderGrabActive, p.measured);
  set(ImGuiCol_CheckMark, p.computed), set(ImGuiCol_ScrollbarBg, p.panel), set(ImGuiCol_ScrollbarGrab, p.edge);
  set(ImGuiCol_ScrollbarGrabHovered, p.quiet), set(ImGuiCol_ScrollbarGrabActive, p.quiet),
      set(ImGuiCol_TextSelectedBg, faded(p.accent, 0.6f));
  set(ImGuiCol_NavHighlight, p.measured), set(ImGuiCol_ModalWindowDimBg, IM_COL32(0, 0, 0, 150)),
      set(ImGuiCol_TableRowBgAlt, faded(p.raised, 0.35f));
  set(ImGuiCol_TableHeaderBg, p.raised), set(ImGuiCol_TableBorderLight, p.edge),
      set(ImGuiCol_TableBorderStrong, p.edge);
  set(ImGuiCol_PlotHistogram, p.fill);
}

}  // namespace

const Palette& palette() { return *current; }

const Palette& palette_of(bool dark) { return dark ? dark_palette : light_palette; }

void apply_look(const Settings& settings, float font_size) {
  current = &palette_of(settings.dark);
  ImGuiStyle style;  // sizes from the defaults, so that a new font size does not add up
  set_colours(style);
  const float e = font_size;
  style.WindowPadding = {0.6f * e, 0.5f * e}, style.FramePadding = {0.55f * e, 0.34f * e},
  style.ItemSpacing = {0.5f * e, 0.38f * e};
  style.ItemInnerSpacing = {0.4f * e, 0.3f * e}, style.CellPadding = {0.4f * e, 0.25f * e},
  style.ScrollbarSize = 0.9f * e, style.GrabMinSize = 1.1f * e;
  style.WindowRounding = 0, style.ChildRounding = 0.35f * e, style.FrameRounding = 0.3f * e,
  style.PopupRounding = 0.35f * e, style.GrabRounding = 0.3f * e;
  style.ScrollbarRounding = 0.4f * e, style.WindowBorderSize = 0, style.ChildBorderSize = 0;
  ImGui::GetStyle() = style;
}

float font_size_for(const Settings& settings, ImVec2 window, float content_scale, bool for_class) {
  const float room = std::min(window.x / 1280, window.y / 720);
  // A window of twice the size gets text 1.5 times as large, and twice as much in it.
  const float grown = std::clamp(std::pow(std::max(room, 0.1f), 0.6f), 0.8f, 2.4f);
  // Capitals, 0.63 of the size, are then 1/39 of the height of the picture. Where that is 2 m wide and 5 m away, they
  // are seen under 20 minutes of arc, as ISO 9241-303 prefers.
  const float projected = for_class ? std::clamp(1.75f * room, 1.0f, 6.0f) : 0;
  const float wanted = static_cast<float>(settings.text_scale) * std::max({grown, content_scale, projected}) * 17;
  constexpr float least_lines = 10;  // that a window has room for
  return std::round(std::min(wanted, std::max(17.0f, window.y / least_lines)));
}

std::vector<std::string> font_files() {
  if (const char* named = std::getenv("RAILSEEP_FONT")) return {named};
  return {"/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf", "/usr/share/fonts/TTF/DejaVuSans.ttf",
          "/usr/share/fonts/dejavu-sans-fonts/DejaVuSans.ttf",
          "/usr/share/fonts/truetype/liberation/LiberationSans-Regular.ttf",
          "/usr/share/fonts/truetype/noto/NotoSans-Regular.ttf"};
}

namespace {

/// A file that is there and begins as TrueType or OpenType fonts do; the library would end the program over any other.
bool is_font(const std::string& file) {
  std::error_code none;
  if (!std::filesystem::is_regular_file(file, none)) return false;
  char head[4] = {};
  std::ifstream(file, std::ios::binary).read(head, 4);
  const std::string_view begins(head, 4);
  return begins == std::string_view("\0\1\0\0", 4) || begins == "OTTO" || begins == "true";
}

}  // namespace

bool load_fonts(ImFontAtlas& atlas, float font_size, const std::vector<std::string>& files) {
  static constexpr ImWchar glyphs[] = {0x20,   0xFF,   0x370,  0x3FF,  0x2010, 0x2026, 0x2190,
                                       0x2193, 0x2248, 0x2265, 0x25A0, 0x25CF, 0};
  atlas.Clear();
  ImFontConfig drawn;
  if (font_size > 40) drawn.OversampleH = 1;  // large letters need no finer places, and much memory
  for (const std::string& file : files)
    if (is_font(file) && atlas.AddFontFromFileTTF(file.c_str(), font_size, &drawn, glyphs)) {
      atlas.AddFontFromFileTTF(file.c_str(), std::round(1.5f * font_size), &drawn);
      return true;
    }
  ImFontConfig plain;
  plain.SizePixels = font_size;
  atlas.AddFontDefault(&plain);
  return false;
}

ImFont* large_font() { return ImGui::GetIO().Fonts->Fonts.back(); }

ImU32 pressure_colour(double pressure, double enable_pressure) {
  static constexpr ImU32 none = rgb(0x1F4E8C), half = rgb(0x5A9BD0), at = rgb(0xF3E3B5), above = rgb(0xE08A1E),
                         far = rgb(0xA8480A);
  const double share = std::max(0.0, pressure / enable_pressure);
  if (share < 0.5) return mixed(none, half, share / 0.5);
  if (share < 1) return mixed(half, at, (share - 0.5) / 0.5);
  if (share < 2) return mixed(at, above, share - 1);
  return mixed(above, far, std::min(1.0, (share - 2) / 3));
}

ImU32 ink_on(ImU32 colour) {
  // Relative luminance (W3C WCAG 2.1); at 0.179 black and white read equally well.
  const auto part = [&](int shift) {
    const double c = ((colour >> shift) & 255) / 255.0;
    return c <= 0.03928 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
  };
  return 0.2126 * part(0) + 0.7152 * part(8) + 0.0722 * part(16) > 0.179 ? IM_COL32_BLACK : IM_COL32_WHITE;
}

ImU32 faded(ImU32 colour, float share) {
  const auto alpha = static_cast<ImU32>(std::lround(share * static_cast<float>(colour >> 24)));
  return (colour & 0x00FFFFFF) | (alpha << 24);
}

}  // namespace railseep::gui

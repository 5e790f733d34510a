// Units, settings, colours and fonts.
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>

#include "gui_scene.hpp"

namespace railseep::gui {
namespace {

TEST(Gui, UnitsSwitchEverywhereAtOnce) {
  App app(false);
  start(app, boat);
  Driver driver(app);
  show_model(app, ModelTool::oil);
  driver.settle();
  EXPECT_TRUE(driver.says("psi"));
  driver.click("psi##pressure unit");
  driver.settle();
  EXPECT_EQ(app.settings.units.pressure, "bar");
  driver.move({2, 2});  // the help line tells what the button under the pointer offers
  EXPECT_FALSE(driver.says("psi"));
  EXPECT_TRUE(driver.says("[bar]"));
}

TEST(Gui, ShownUnitsAreExactAtDefiningPoints) {
  // Source: international pound and inch (1959), degree Fahrenheit by definition: 1 in = 25.4 mm, 32 degF = 273.15 K, 1
  // psi = 6894.757293168 Pa.
  ShownUnits units{"psi", "degF", "in"};
  EXPECT_NEAR(units.number(6894.757293168, Quantity::pressure), 1, 1e-12);
  EXPECT_NEAR(units.number(273.15, Quantity::temperature), 32, 1e-9);
  EXPECT_NEAR(units.number(0.0254, Quantity::length, "um"), 1, 1e-12);
  EXPECT_EQ(ShownUnits{}.text(0.0005, Quantity::length, "mm"), "0.500 mm");
  EXPECT_EQ(ShownUnits{}.text(5e-5, Quantity::length, "um"), "50.0 µm");
}

TEST(Gui, ASentenceBeginsWithACapital) {
  EXPECT_EQ(capital("hot crank"), "Hot crank");
  EXPECT_EQ(capital(""), "");
  EXPECT_EQ(capital("90 °C"), "90 °C");
}

TEST(Gui, SettingsComeBackAndABadFileIsToldWithItsPlace) {
  const std::filesystem::path file = scratch("settings") / "railseep" / "settings.json";
  EXPECT_EQ(read_settings(file), Settings{});
  Settings settings;
  settings.units = {"MPa", "degF", "in"};
  settings.dark = false, settings.text_scale = 1.3, settings.last_folder = "/some/where";
  write_settings(file, settings);
  EXPECT_EQ(read_settings(file), settings);
  std::ofstream(file) << R"({"pressure": "furlong"})";
  EXPECT_THROW(read_settings(file), Error);
}

TEST(Gui, EveryViewDrawsFiniteVerticesInAnySize) {
  App app(true);
  start(app, boat);
  app.acknowledged = {"air test", "coil"};
  for (const ImVec2 size : {ImVec2(320, 240), ImVec2(640, 400), ImVec2(1280, 720), ImVec2(3840, 2160)}) {
    Driver driver(app, size.x, size.y);
    for (int view = 0; view < static_cast<int>(views().size()); ++view) {
      app.view = view;
      driver.frames(4);
      const ImDrawData* data = ImGui::GetDrawData();
      EXPECT_GT(data->TotalVtxCount, 100);
      for (int i = 0; i < data->CmdListsCount; ++i)
        for (const ImDrawVert& vertex : data->CmdLists[i]->VtxBuffer)
          ASSERT_TRUE(std::isfinite(vertex.pos.x) && std::isfinite(vertex.pos.y)) << views()[view].name;
    }
  }
}

/// Source: W3C, Web Content Accessibility Guidelines 2.1, relative luminance and contrast ratio; success
/// criterion 1.4.3 asks for 4.5 : 1.
double contrast(ImU32 a, ImU32 b) {
  const auto luminance = [](ImU32 colour) {
    const auto part = [&](int shift) {
      const double c = ((colour >> shift) & 255) / 255.0;
      return c <= 0.03928 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
    };
    return 0.2126 * part(0) + 0.7152 * part(8) + 0.0722 * part(16);
  };
  const double x = luminance(a), y = luminance(b);
  return (std::max(x, y) + 0.05) / (std::min(x, y) + 0.05);
}

TEST(Look, TextReadsOnEverythingThatLiesUnderItInBothLooks) {
  // The guideline's own example: black on white is 21 : 1.
  ASSERT_NEAR(contrast(IM_COL32_WHITE, IM_COL32_BLACK), 21, 1e-9);
  for (const bool dark : {true, false}) {
    const Palette& p = palette_of(dark);
    const std::string look = dark ? "dark " : "light ";
    for (const ImU32 under : {p.ground, p.panel, p.raised, p.fill})
      for (const ImU32 ink : {p.text, p.quiet})
        EXPECT_GE(contrast(ink, under), 4.5) << look << std::hex << ink << " on " << under;
    for (const ImU32 under : {p.ground, p.panel, p.raised})
      for (const ImU32 ink : {p.computed, p.measured, p.leak, p.good})
        EXPECT_GE(contrast(ink, under), 4.5) << look << std::hex << ink << " on " << under;
    for (const ImU32 ink : p.pins) {
      EXPECT_GE(contrast(ink, p.ground), 4.5) << look << std::hex << ink;
      for (const ImU32 other : {p.computed, p.measured, p.leak, p.good, p.enable, p.ceiling, p.previous})
        EXPECT_NE(ink, other) << look;
    }
    EXPECT_GE(contrast(p.previous, p.ground), 4.5) << look;
    for (const ImU32 ink : {p.enable, p.ceiling}) EXPECT_GE(contrast(ink, p.ground), 4.5) << look << std::hex << ink;
    EXPECT_GE(contrast(p.on_accent, p.accent), 4.5) << look;
    EXPECT_GE(contrast(ink_on(p.leak), p.leak), 4.5) << look;
    App app(false);
    app.settings.dark = dark;
    start(app, "");
    Driver driver(app);
    for (const ImGuiCol part :
         {ImGuiCol_Button, ImGuiCol_ButtonHovered, ImGuiCol_ButtonActive, ImGuiCol_FrameBg, ImGuiCol_FrameBgHovered,
          ImGuiCol_FrameBgActive, ImGuiCol_Header, ImGuiCol_HeaderHovered, ImGuiCol_HeaderActive,
          ImGuiCol_TableHeaderBg, ImGuiCol_PopupBg, ImGuiCol_PlotHistogram})
      EXPECT_GE(contrast(p.text, ImGui::GetColorU32(part)), 4.5) << look << ImGui::GetStyleColorName(part);
  }
  for (double share = 0; share <= 6; share += 0.05)
    EXPECT_GE(contrast(ink_on(pressure_colour(share, 1)), pressure_colour(share, 1)), 4.5) << share;
}

TEST(Look, LargestTextLeavesRoomForTenLines) {
  Settings settings;
  settings.text_scale = most_text_scale;
  for (const ImVec2 size : {ImVec2(800, 600), ImVec2(1280, 720), ImVec2(2560, 1440), ImVec2(3840, 2160)})
    for (const bool for_class : {false, true}) {
      const float letters = font_size_for(settings, size, 1, for_class);
      EXPECT_LE(letters, size.y / 10 + 0.5f) << size.x;
      settings.text_scale = 1;
      EXPECT_GE(letters, (for_class ? 2.3f : 2.9f) * font_size_for(settings, size, 1, for_class)) << size.x;
      settings.text_scale = most_text_scale;
    }
}

TEST(Look, MissingAndBrokenFontFilesLeaveTheBuiltInOne) {
  const std::filesystem::path broken = scratch("font") / "broken.ttf";
  std::ofstream(broken) << "this is no font";
  App app(false);
  start(app, "");
  Driver driver(app);
  ImFontAtlas atlas;
  EXPECT_FALSE(load_fonts(atlas, 17, {"/nowhere/at/all.ttf", broken.string(), "/tmp"}));
  EXPECT_EQ(atlas.Fonts.Size, 1);
}

TEST(Look, TopBarHasEveryButtonInAnyWidth) {
  App app(true);
  start(app, boat);
  for (const float wide : {320.0f, 400.0f, 520.0f, 640.0f, 800.0f, 1280.0f}) {
    Driver driver(app, wide, 0.75f * wide);
    if (!driver.shows("Redo")) driver.click("Menu");
    for (const char* name : {"New", "Open", "Save", "Save as", "Undo", "Redo", "psi##pressure unit",
                             "°C##temperature unit", "mm##length unit"}) {
      ASSERT_TRUE(driver.shows(name)) << name << " at " << wide;
      const ImVec4 box = app.stage.widgets.at(name);
      EXPECT_TRUE(box.x >= 0 && box.z <= wide && box.w <= 0.75f * wide) << name << " at " << wide;
    }
  }
}

TEST(Look, NoLabelIsClippedOnAnyPageInAnySizeOfWindowAndText) {
  App app(true);
  start(app, boat);
  app.acknowledged = {"air test", "coil"};
  app.air.point = "front of cover";
  app.what_if.place = "injector 2 top seal";
  app.what_if.question.faults = {{"injector 2 top seal", "hole", 0.0005}};
  JobReading reading;
  reading.value = 2e6, reading.moment = Moment::cranking;
  app.document.job.readings = {reading};
  app.document.job.starts = {{false, 8.0, {}}};
  app.document.job.findings = {{"oil level", "", false}, {"coil resistance", "", {}, {}, 9.0}, {"repair", "new seal"}};
  AirFindings air;
  air.heard = {{app.circuit->listening.points.front().name, HeardWord::clear, false}};
  app.document.job.air_tests = {air};
  for (const ImVec2 size : {ImVec2(800, 600), ImVec2(1280, 720), ImVec2(2560, 1440)})
    for (const double scale : {1.0, 1.5, 2.0}) {
      app.settings.text_scale = scale;
      Driver driver(app, size.x, size.y);
      for (int view = 0; view < static_cast<int>(views().size()); ++view)
        for (const PageState& state : states_of(app, views()[view].name)) {
          app.view = view;
          state.show();
          driver.settle();
          const std::string where = std::string(views()[view].name) + " " + state.name + " at " +
                                    std::to_string(static_cast<int>(size.x)) + ", text at " + std::to_string(scale);
          expect_room_for_texts(app, where);
          expect_controls_in_sight(app, where);
        }
    }
}

TEST(Look, FolderTooDeepForItsLineShowsItsEnd) {
  std::filesystem::path deep = scratch("deep");
  for (int i = 0; i < 9; ++i) deep /= "jobs of the yard in season " + std::to_string(i);
  std::filesystem::create_directories(deep);
  std::filesystem::copy_file(boat, deep / "boat.json");
  App app(true);
  app.settings.recent_jobs = {(deep / "boat.json").string()};
  app.bench.greeting = true;
  for (const double scale : {1.0, 2.0}) {
    app.settings.text_scale = scale;
    Driver driver(app, 800, 600);
    driver.settle();
    expect_room_for_texts(app, "greeting");
    EXPECT_TRUE(driver.says("…/"));
    EXPECT_TRUE(driver.says("jobs of the yard in season 8"));
  }
}

TEST(Look, MenuOfANarrowWindowUndoes) {
  App app(true);
  start(app, boat);
  Driver driver(app, 320, 240);
  const std::string before = app.document.job.complaint;
  app.document.job.complaint = "typed";
  driver.frames(2);
  driver.click("Menu"), driver.click("Undo");
  EXPECT_EQ(app.document.job.complaint, before);
  EXPECT_FALSE(driver.shows("Undo"));  // the menu is gone
}

}  // namespace
}  // namespace railseep::gui

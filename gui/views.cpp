#include "views.hpp"

namespace railseep::gui {

void draw_bench_view(App& app);
void draw_model_view(App& app);
void draw_report_view(App& app);
void draw_training_view(App& app);
void draw_shop_view(App& app);

namespace {

constexpr View all[] = {
    {"Bench", "What is known of this engine, what may be wrong, and what to do now", draw_bench_view},
    {"Model", "Open a leak, crank the engine, listen to it", draw_model_view},
    {"Report", "What is handed to the customer: preview, save, print", draw_report_view},
    {"Training", "Find a hidden fault, or show an engine to a class", draw_training_view},
    {"Shop", "Rates, units, looks, keys, words", draw_shop_view},
};

}  // namespace

std::span<const View> views() { return all; }

void show_view(App& app, std::string_view name) {
  for (int i = 0; i < static_cast<int>(views().size()); ++i)
    if (views()[i].name == name) app.view = i;
}

void show_model(App& app, ModelTool tool) { show_view(app, "Model"), app.tool = tool; }

bool model_in_sight(const App& app, ModelTool tool) {
  return std::string_view("Model") == views()[app.view].name && app.tool == tool;
}

void show_for_class(App& app, bool whole_screen) {
  if (whole_screen) show_model(app, ModelTool::oil);
  app.full_screen = whole_screen;
}

bool is_for_class(const App& app) {
  const bool training = std::string_view("Training") == views()[app.view].name;
  return app.full_screen || (app.training.projector && training && app.training.page != Training::Page::list);
}

void show_card(App& app, const Card& card) {
  show_view(app, "Bench");
  app.bench.open = app.bench.shown = card.id(), app.bench.tab = 0, app.bench.greeting = false;
}

}  // namespace railseep::gui

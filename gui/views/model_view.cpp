// The model: oil and air on one page, with the same faults in it.
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

void draw_tool_choice(App& app) {
  int tool = static_cast<int>(app.tool);
  if (choice("tool", {"Oil: crank it", "Air: listen to it"}, tool)) app.tool = static_cast<ModelTool>(tool);
}

void draw_model_view(App& app) { app.tool == ModelTool::oil ? draw_circuit(app) : draw_air(app); }

}  // namespace railseep::gui

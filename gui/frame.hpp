#pragma once

#include "app.hpp"

namespace railseep::gui {

/// One frame: delivers what the workers have, answers keys, draws. Between ImGui::NewFrame and ImGui::Render; waits for
/// nothing.
void frame(App& app);

}  // namespace railseep::gui

#pragma once

#include <imgui.h>

#include <string>

#include "procedure/crank.hpp"

namespace railseep::gui {

/// Where the pump's oil goes: one stream that parts into as many as there are ways out, each as thick as its flow.
/// @param wrong the way out that should not be there, in the leak's colour
void draw_flow_picture(const OilBalance& oil, const std::string& wrong, ImVec2 size);

}  // namespace railseep::gui

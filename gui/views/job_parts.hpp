#pragma once

#include <optional>

#include "app.hpp"

namespace railseep::gui {

// Steps of the job and parts of them that several steps share.
void draw_logs_step(App& app);
void draw_readings_step(App& app);
void draw_findings_step(App& app);

/// Yes, no, or nothing told.
void draw_started(std::optional<bool>& started);
/// Before or after the repair: what was seen after it is no evidence for what was wrong. A log may also be of the engine when it was good.
void draw_stage(const char* id, railseep::Stage& stage, bool may_be_good = false);

}  // namespace railseep::gui

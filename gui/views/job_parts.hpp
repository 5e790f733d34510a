#pragma once

#include <optional>
#include <string>
#include <vector>

#include "app.hpp"

namespace railseep::gui {

// Steps of the job and parts of them that several steps share.
void draw_logs_step(App& app);
void draw_readings_step(App& app);
void draw_findings_step(App& app);
void draw_air_tests(App& app);

/// Where the air of a test is fed in, and what one listens with.
void draw_feed(App& app, const std::string& id, std::string& feed);
bool draw_ear(const std::string& id, std::string& ear);

/// Yes, no, or nothing told.
void draw_started(std::optional<bool>& started);
/// Before or after the repair: what was seen after it is no evidence for what was wrong. A log may also be of the
/// engine when it was good.
void draw_stage(const char* id, railseep::Stage& stage, bool may_be_good = false);

/// All that can be told of the condition of a log, a reading or a try. @param open what holds where a number is not
/// told.
/// @param folded all but the oil temperature behind a button, which stands open where any of it is told
void draw_told_condition(App& app, const std::string& id, LogCondition& condition, const char* open, bool folded);

}  // namespace railseep::gui

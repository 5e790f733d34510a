#pragma once

#include <optional>
#include <string>
#include <vector>

#include "app.hpp"

namespace railseep::gui {

// The three parts of the bench.
void draw_story(App& app);
void draw_answer(App& app);
void draw_next(App& app);   // before the repair
void draw_proof(App& app);  // after it

// What stands in a card of the story when it is unfolded.
void draw_complaint_card(App& app);
void draw_engine_card(App& app);
void draw_log_card(App& app, JobLog& log, const LogPreview* preview);
void draw_reading_card(App& app, JobReading& reading, const std::string& id);
void draw_start_card(App& app, JobStart& start, const std::string& id);
void draw_finding_card(App& app, JobFinding& finding, const std::string& id);
void draw_air_card(App& app, AirFindings& test, const std::string& id);
void draw_repair_card(JobFinding& repair);

/// The channel's name as it is read: "rail pressure".
std::string spaced(std::string_view name);

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

#pragma once

#include <string>

#include "app.hpp"

namespace railseep::gui {

// The pages of training.
void draw_training_list(App& app);
void draw_training_play(App& app);
void draw_training_debrief(App& app);
void draw_training_lesson(App& app);

// The parts of an exercise that is played.
void draw_training_job(App& app);     // complaint, clock, purse, what was done
void draw_training_engine(App& app);  // the drawing, and what the last move showed
void draw_training_moves(App& app);   // what can be done

/// What a move told, whether that was expected, what it rules out, and what it took.
void draw_training_step(const App& app, const Step& step);

/// A way back to the list, and the projector's look. @param more is drawn in the same row
void draw_training_top(App& app);

/// "45 min, 90 EUR"
std::string cost_of_move(const Cost& cost, const std::string& currency);

}  // namespace railseep::gui

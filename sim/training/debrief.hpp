#pragma once

#include <string>
#include <vector>

#include "drawing/svg_plot.hpp"
#include "training/grading.hpp"

namespace railseep {

/// A session looked back on: what was done, what the program believed then, and what it would have done.
struct Debrief {
  const Session& session;  // the learner's
  const Session& par;      // the program's own
  Grade grade;
  std::string learner;

  Debrief(const Session& played, const Session& own, const Rubric& rubric, std::string who)
      : session(played),
        par(own),
        grade(railseep::grade(played, {own.spent(), own.clock()}, rubric)),
        learner(std::move(who)) {}
};

// What is said of one move, and of a whole session.
std::string expectation_words(const Step& step);  // "as expected"; empty: the move costs nothing
std::string remarks(const Step& step);            // what was wrong with it; empty: nothing
std::string hidden_words(const Exercise& exercise);
double wasted(const Session& session);  // [money]

/// The hot crank of this engine as it came, of a sound one, and what the learner read: [s], gauge [Pa].
std::vector<PlotCurve> crank_curves(const Session& session);

/// Three questions that the learner answers himself, of what happened.
std::vector<std::string> questions(const Debrief& debrief);

/// What to practise next, by the mistakes made.
std::string practise_next(const Debrief& debrief);

std::string debrief_text(const Debrief& debrief);

/// One page that needs nothing from elsewhere.
std::string debrief_html(const Debrief& debrief);

/// One row a move.
std::string debrief_csv(const Debrief& debrief);

/// One row a learner and exercise, and under it which faults and which mistakes give trouble.
std::string class_table(const std::vector<Debrief>& debriefs);
std::string class_csv(const std::vector<Debrief>& debriefs);

}  // namespace railseep

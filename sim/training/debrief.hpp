#pragma once

#include <string>
#include <vector>

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

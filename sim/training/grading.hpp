#pragma once

#include <string>
#include <vector>

#include "training/session.hpp"

namespace railseep {

/// What each mistake costs, of 100 points. Data: scenarios/exercises/rubric.json.
struct Rubric {
  std::string source;
  double wrong_part = 0;     // each good part that was renewed
  double wrong_cost = 0;     // for each time the par that wrong parts cost
  double time = 0;           // for each time the par that was used beyond it
  double proof_point = 0;    // all together, by the share of paid moves without an expectation that held
  double illogical = 0;      // each move that does not follow
  double invalid = 0;        // each check in a condition in which it says nothing
  double redundant = 0;      // each that could tell nothing new
  double out_of_bounds = 0;  // each that could not be done so
  double hint = 0;           // each level
};

/// @throws Error with file, place, found, expected
Rubric read_rubric(const std::string& path);

/// Points off, why, and for which move.
struct Deduction {
  double points = 0;
  std::string reason;
  int step = -1;  // index into the session's; -1: the whole of it
};

struct Grade {
  bool solved = false;
  double points = 0;  // 0 to 100
  std::vector<Deduction> deductions;
};

/// Not solved is 0; else 100 less the deductions, and no less than 0. @param par what the program needs
Grade grade(const Session& session, const Cost& par, const Rubric& rubric);

}  // namespace railseep

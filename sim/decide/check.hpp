#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "decide/costs.hpp"
#include "evidence/evidence.hpp"

namespace railseep {

/// Something the technician can do next. What it would show is computed; what it takes and how far it may be off is the
/// file's.
struct Check {
  std::string id;                     // a word of check_ids()
  std::string name;                   // "air test, regulator energised"
  std::string how;                    // in a sentence or two
  double time = 0;                    // [s]
  double money = 0;                   // besides that time
  std::string risk;                   // in words; empty: none
  std::vector<std::string> cautions;  // what they are needed for: "air test", "coil", "crank" ...
  std::vector<std::string> tools;
  double error =
      0;  // one standard deviation of the reading, as a share of it or in the unit that the check's words say
  double slip = 0.02;              // share of results that are simply wrong: wrong place, wrong note [-]
  std::vector<std::string> looks;  // words of inspection_kinds() that are looked at; none: what it shows is computed
  std::vector<std::string>
      outcomes;  // of what is looked at: all good, then something bad, or one for each look that is the first to be bad
};

/// How the engine stands in the shop, besides what is known of its fault.
struct Shop {
  std::vector<std::string> open;  // access groups that stand open: to look behind them costs nothing
  std::vector<Inspection> seen;   // looks that were bad, and what was seen is described
  bool can_warm = true;           // else it does not run, and nothing can be done hot
};

/// All checks that can be computed, in the order of the trade's manuals.
std::span<const std::string_view> check_ids();

struct Checks {
  std::string source;
  std::vector<Check> checks;
};

/// Reads models/checks.json (models/checks.schema.json describes it). @throws Error with file, place, found, expected
Checks read_checks(const std::string& path);

/// Id of the check that tells the same as this look (a word of inspection_kinds()); empty: none does.
std::string_view check_of_look(std::string_view look);

/// Ids of the checks that this evidence holds already: they are not worth offering again.
std::vector<std::string> done_checks(const Evidence& evidence);

/// @throws Error naming the nearest check when there is none of this id
void check_done(const Checks& checks, const std::string& id);

}  // namespace railseep

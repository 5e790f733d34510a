#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "decide/costs.hpp"
#include "evidence/evidence.hpp"

namespace railseep {

/// What several checks need and is set up once for all of them: an adapter, plugs, a hot engine.
struct SetUp {
  std::string name;       // "air adapter"
  std::string meanwhile;  // "while the air adapter is in"
  double time = 0;        // [s]
  double money = 0;       // besides that time
};

inline constexpr std::string_view hot_engine =
    "hot engine";  // the set-up that an engine which does not run cannot have

/// Something the technician can do next. What it would show is computed; what it takes and how far it may be off is the
/// file's.
struct Check {
  std::string id;                     // a word of check_ids()
  std::string name;                   // "air test, regulator energised"
  std::string how;                    // in a sentence or two
  double time = 0;                    // [s], besides its set-ups
  double money = 0;                   // besides that time
  std::vector<std::string> setups;    // names of Checks::setups
  std::string risk;                   // in words; empty: none
  std::vector<std::string> cautions;  // what they are needed for: "air test", "coil", "crank" ...
  std::vector<std::string> tools;
  double error =
      0;  // one standard deviation of the reading, as a share of it or in the unit that the check's words say
  double slip = 0.02;    // share of results that are simply wrong: wrong place, wrong note [-]
  bool running = false;  // it needs an engine that runs
  enum class Where {
    engine,
    cover,
    open_cover
  } where = Where::engine;         // at covers once for each that hides what its
                                   // looks see; open: that stands open
  std::vector<std::string> looks;  // words of inspection_kinds() that are looked at; none: what it shows is computed
  std::vector<std::string>
      outcomes;  // of what is looked at: all good, then something bad, or one for each look that is the first to be bad
};

/// How the engine stands in the shop, besides what is known of its fault.
struct Shop {
  std::vector<std::string> open;    // access groups that stand open: to look behind them costs nothing
  std::vector<Inspection> seen;     // looks that were bad, and what was seen is described
  std::vector<std::string> set_up;  // names of Checks::setups that are ready
  bool can_warm = true;             // it runs, hot or cold; else nothing can be done running or hot
};

/// All checks that can be computed, in the order of the trade's manuals.
std::span<const std::string_view> check_ids();

struct Checks {
  std::string source;
  std::vector<SetUp> setups;
  std::vector<Check> checks;
};

/// Reads models/checks.json (models/checks.schema.json describes it). @throws Error with file, place, found, expected
Checks read_checks(const std::string& path);

/// The set-ups, those free that are ready, or that nobody can have here. @throws Error for one that is not there
std::vector<SetUp> setups_left(const Checks& checks, const Shop& shop);

/// A check with what must be set up for it in its time and money.
Check with_set_up(Check check, const std::vector<SetUp>& setups);

/// What one of several checks of a kind is done at: "left rail" of "one rail: left rail"; empty: it is the only one.
std::string place_of_check(const std::string& id);

/// Id of the check that tells the same as this look (a word of inspection_kinds()), done at this place; empty: none
/// does.
std::string check_of_look(std::string_view look, const std::string& place);

/// Ids of the checks that this evidence holds already: they are not worth offering again.
std::vector<std::string> done_checks(const Evidence& evidence);

/// @throws Error naming the nearest check when there is none of this id
void check_done(const Checks& checks, const std::string& id);

}  // namespace railseep

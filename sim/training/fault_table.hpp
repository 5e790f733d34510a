#pragma once

#include <array>
#include <functional>
#include <string>
#include <vector>

#include "decide/decide.hpp"
#include "decide/forecast.hpp"
#include "words/shown_units.hpp"

namespace railseep {

/// What somebody tells of an engine before it is in the bay.
struct ToldStarts {
  bool hot = false;   // it starts hot
  bool cold = false;  // it starts cold
};

/// Everything that may be wrong with one kind of engine, each at many sizes, and what every check would then show.
///
/// A match searches the sizes that fit what was measured; a class plays many exercises on the same engine, so here all
/// sizes are computed once, before anything is measured. Hypotheses, showings and forecasts are those of `next`.
struct FaultTable {
  Circuit circuit;
  Costs costs;
  Belief belief;                             // before anything is known
  std::vector<Forecast> forecasts;           // of every check this engine can have
  std::vector<std::array<double, 4>> start;  // of each possibility: ln p(no start hot, start hot, no start cold,
                                             // start cold)
  std::vector<double> speed;                 // of each possibility: cranking speed as a share of a healthy one [-]
  double oil_temperature = 0;                // of the hot cranks [K]
  double healthy_speed = 0;                  // [rad/s]
  ShownUnits units;                          // of what is told

  const Forecast* find(const std::string& check) const;
};

inline constexpr double cold_oil = 288.15;  // of a start called cold [K], assumed
inline constexpr double told_crank = 8;     // a driver cranks so long before he gives up [s], assumed

struct FaultTableOptions {
  int threads = 0;  // 0: one a core
  int sizes = 6;    // computed for each hypothesis; between them three more are read off a straight line
  std::function<void(std::size_t done, std::size_t all)> tick{};
  ShownUnits units{};
  std::string kept_in{};  // folder in which what was computed is kept for the next time; empty: it is not
};

FaultTable fault_table(const Circuit& circuit, const Priors& priors, const Costs& costs, const Checks& checks,
                       const FaultTableOptions& options = {});

}  // namespace railseep

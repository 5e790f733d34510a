#pragma once

#include <string>
#include <utility>
#include <vector>

#include "decide/decide.hpp"

namespace railseep {

/// What becomes of the engine if only this is put right.
struct IfRepaired {
  std::vector<std::string> places;                    // that are put right, sites and links of the circuit
  double at_fault = 0;                                // probability that one of them is at fault
  double starts = 0;                                  // probability that it then starts hot, cranked for 10 s
  double starts_now = 0;                              // that it starts so as it is: what the belief says of it
  std::vector<std::pair<std::string, double>> keeps;  // what would keep it from starting, and how probably; most first
};

inline constexpr double if_repaired_crank = 10;  // [s]

/// Will it start if only this is repaired? The belief answers, possibility by possibility: those whose faults all lie
/// where it is put right start as a sound engine does, the others with what is left in them (start_probability). If
/// nothing is wrong on the oil side, the trouble is elsewhere and stays there.
/// @param wanted places, or what hides them: "left rail front end plug", "left valve cover"
/// @throws Error naming the nearest, for what is no place of this engine
IfRepaired if_repaired(const Circuit& circuit, const Decision& decision, const std::vector<std::string>& wanted,
                       int threads = 0);

}  // namespace railseep

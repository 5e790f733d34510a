#pragma once

#include <map>
#include <string>
#include <vector>

#include "training/exercise.hpp"

namespace railseep {

/// What an exercise's words are composed from (scenarios/exercises/stories.json).
struct Stories {
  std::vector<std::string> vehicles;
  std::map<std::string, std::vector<std::string>> complaints;  // by what starts: hot, cold, never, always
  std::map<std::string, std::vector<std::string>> history;     // by the beginning of a suspicion, and "any"
};

/// @throws Error with file, place, found, expected
Stories read_stories(const std::string& path);

/// What a trainer asks for.
struct Order {
  std::string circuit;              // file, as the exercise names it
  std::vector<std::string> faults;  // none: the cause is not on the oil side
  int level = 1;
  std::uint64_t seed = 1;
  std::vector<std::string> withheld;
  std::string lesson;
  double battery = 1;  // [-]
};

/// An exercise with a story to it. Whether the engine starts hot or cold is computed; time and money are three times
/// what the program needs. @throws Error where it starts hot and cold: nobody would complain
Exercise make_exercise(const FaultTable& table, const Order& order, const Stories& stories);

}  // namespace railseep

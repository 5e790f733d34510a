#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "quantity/json_fields.hpp"
#include "training/fault_table.hpp"

namespace railseep {

/// What a learner must not know beforehand.
struct Hidden {
  std::vector<std::string> faults;  // "left rail front end plug: hole 0.6 mm"; none: the cause is not on the oil side
  std::string lesson;               // what it teaches, told in the debrief
};

/// An engine with a hidden fault, a shop, and somebody who complains.
struct Exercise {
  std::string name, about, complaint;
  std::vector<std::string> history;   // what the driver says when he is asked
  int level = 1;                      // of the ladder, 0 to 7
  std::string circuit;                // file, shipped or beside the exercise
  ToldStarts starts;                  // as the complaint says
  double oil_temperature = cold_oil;  // when it comes in [K]
  double battery = 1;                 // rested voltage as a share of the healthy one [-]
  std::uint64_t seed = 1;             // of the engine's own numbers, noise and mishaps
  double clock = 0;                   // shop time there is [s]
  double money = 0;                   // that the customer will pay
  std::vector<std::string> withheld;  // ids of checks whose tools are not at hand
  int hints = 3;                      // levels that may be asked for
  Hidden hidden;
  std::string salt;    // of the seal; empty: the hidden part stands open
  std::string seal;    // commitment() to the hidden part
  std::string folder;  // of the file
};

inline constexpr int highest_level = 7;
std::string_view level_words(int level);

/// Reads an exercise (scenarios/exercises/exercise.schema.json describes it). A sealed one is opened, and refused when
/// its hidden part is not the one that was sealed. @throws Error with file, place, found, expected
Exercise read_exercise(const std::string& path);
Exercise parse_exercise(const std::string& text, const std::string& file);

/// The text of an exercise file: reads back to the same exercise.
std::string exercise_text(const Exercise& exercise);

/// Seals the hidden part. @param salt any text that is not used twice
void seal_exercise(Exercise& exercise, const std::string& salt);

/// The faults, checked against the circuit. @throws Error
std::vector<Fault> hidden_faults(const Exercise& exercise, const Circuit& circuit);

}  // namespace railseep

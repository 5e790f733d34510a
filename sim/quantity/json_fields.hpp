#pragma once

#include <functional>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "quantity/quantity.hpp"
#include "quantity/whole_file.hpp"

namespace railseep {

using Json = nlohmann::ordered_json;

/// Reads a whole JSON file. @throws Error with file, line and column of the first mistake
Json read_json(const std::string& path);
Json parse_json(const std::string& text, const std::string& place);

/// A number in a file may say more of itself: {"value": "7 cm3/rev", "spread": "10 %", "source": "assumed"}.
struct WrittenNumber {
  double value = 0;    // SI
  double spread = 0;   // [-]
  std::string source;  // empty when not given
};

/// One JSON object, read key by key; what nobody asked for is an error that names the nearest known key.
class JsonFields {
 public:
  JsonFields(const Json& object, std::string place) : JsonFields(object, place, place) {}

  /// The object that a whole file is. @param file empty: to be put in front of messages by Error::within()
  static JsonFields top(const Json& object, const std::string& file) {
    return {object, file.empty() ? "top level" : file + ", top level", file.empty() ? "" : file + ", "};
  }

  /// Keys that will be asked for later: where several are alike, none must be taken for a mistyped other.
  void expect(std::initializer_list<const char*> keys) { known_.insert(known_.end(), keys.begin(), keys.end()); }

  bool has(const char* key);
  std::string text(const char* key);
  std::string text(const char* key, const std::string& fallback);
  bool flag(const char* key, bool fallback);
  /// A number that says nothing more of itself. @throws Error also for one with a spread or a source: there is no room
  /// to keep them
  double quantity(const char* key, Quantity quantity, std::optional<double> fallback = std::nullopt);
  WrittenNumber number(const char* key, Quantity quantity);

  /// Calls read(item, place) for each entry of an array; a missing key is an empty array unless required.
  void each(const char* key, const std::function<void(const Json&, const std::string&)>& read, bool required = false);
  /// An object below this one. @throws Error when missing
  JsonFields object(const char* key);
  const Json& raw(const char* key);

  const std::string& place() const { return place_; }
  std::string place_of(const std::string& key) const { return below_ + "/" + key; }

  /// To be called last. @throws Error for the first key that was not asked for
  void finish() const;

 private:
  JsonFields(const Json& object, std::string place, std::string below);
  const Json* find(const char* key);
  const Json& require(const char* key, const char* what);

  const Json* object_;
  std::string place_, below_;  // of the object, and in front of the keys in it
  std::vector<std::string> known_;
};

}  // namespace railseep

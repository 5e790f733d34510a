#pragma once

#include <stdexcept>
#include <string>

namespace railseep {

/// The one thing this library throws. Written for the person who can mend it: where, what was found, what would be
/// right.
///
///     models/v8.json, /links/3/diameter: "0.8" has no unit; write a length such as "0.8 mm".
class Error : public std::runtime_error {
 public:
  Error(std::string place, std::string found, std::string expected)
      : std::runtime_error((place.empty() ? "" : place + ": ") + found + "; " + expected + "."),
        place_(std::move(place)),
        found_(std::move(found)),
        expected_(std::move(expected)) {}

  const std::string& place() const { return place_; }
  const std::string& found() const { return found_; }
  const std::string& expected() const { return expected_; }

  /// The same trouble seen from further out: "file.json" + "/links/3" reads "file.json, /links/3".
  Error within(const std::string& outer) const {
    return {place_.empty() ? outer : outer + ", " + place_, found_, expected_};
  }

 private:
  std::string place_, found_, expected_;
};

}  // namespace railseep

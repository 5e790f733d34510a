#pragma once

#include <algorithm>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "circuit/circuit_file.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

inline std::string models_folder() { return std::string(RAILSEEP_SOURCE_DIR) + "/models/"; }

/// Paths of every circuit in models/. (Beside them stand schemas, priors, costs and checks.)
inline std::vector<std::string> shipped_circuits() {
  std::vector<std::string> paths;
  for (const auto& entry : std::filesystem::directory_iterator(models_folder()))
    if (entry.path().extension() == ".json" && entry.path().stem().extension() != ".schema" &&
        read_json(entry.path().string()).value("railseep", "") == "circuit")
      paths.push_back(entry.path().string());
  std::sort(paths.begin(), paths.end());
  if (paths.empty()) throw Error(models_folder(), "there are no circuits", "ship at least one");
  return paths;
}

inline Circuit valley_v8() { return read_circuit(models_folder() + "valley_v8.json"); }
inline Circuit head_rail_v8() { return read_circuit(models_folder() + "head_rail_v8.json"); }
inline Circuit inline_six() { return read_circuit(models_folder() + "inline_six.json"); }

/// What the Error says that `act` throws; empty when it throws none. Anything else escapes and fails the test.
inline std::string error_of(const std::function<void()>& act) {
  try {
    act();
  } catch (const Error& error) {
    return error.what();
  }
  return "";
}

}  // namespace railseep

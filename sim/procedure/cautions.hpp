#pragma once

#include <span>
#include <string_view>
#include <vector>

namespace railseep {

/// What must be said before somebody does it: the command line, the window and the report show the same text.
struct Caution {
  std::string_view id;    // "eyes and ears"
  std::string_view when;  // "air test", "coil", "crank", "opening", "hot oil", "injector drive", "gauge", "batteries",
                          // or "always"
  std::string_view text;
};

std::span<const Caution> cautions();

/// Those for one procedure, the ones that hold always coming last.
std::vector<Caution> cautions_for(std::string_view procedure);

}  // namespace railseep

#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace railseep {

/// All cautions of one procedure in a breath. In full they are in cautions().
struct CautionDigest {
  std::string_view when;  // as in Caution::when
  std::string_view text;
};

std::span<const CautionDigest> caution_digests();

/// Those for these procedures, one line each in the order of the list; what holds always comes last.
std::vector<std::string> caution_lines(const std::vector<std::string>& procedures);

}  // namespace railseep

#pragma once

namespace railseep {

/// What stands on reports and is told by --version.
inline constexpr const char* program_and_version = "railseep 0.1.0";

}  // namespace railseep

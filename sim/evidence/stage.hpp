#pragma once

namespace railseep {

/// When in the story of the engine something was seen: when it was known to be good, with the trouble, or after the
/// repair.
enum class Stage { good, before, after };

}  // namespace railseep

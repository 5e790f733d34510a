#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "channel/channel_kind.hpp"

namespace railseep {

/// Letters and digits alone, in lower case and without accents: "ICP_des (psi)" -> "icpdespsi". Headers are compared
/// so.
std::string plain_word(std::string_view header);

/// What the words of a header (English, German, French, Spanish; whole or run together) say is measured.
/// A word that is not known makes the whole unknown: "vehicle speed" is not the engine's.
ChannelKind kind_of_words(std::string_view header);

/// The channel a column of times belongs to: "ICP time". nullopt: to none in particular
std::optional<ChannelKind> owner_of_time(std::string_view header);

/// The words of a bracket that belong to the name ("actual", "desired"), without numbers and formats of times
/// ("HH:MM:SS"). nullopt: other words stand in it, which may be meant for a unit
std::optional<std::string> remark_in(std::string_view bracket);

/// Does it say that a pressure is measured from vacuum?
bool says_absolute(std::string_view header);

/// Does the name speak of fuel and of a pressure or a rail? On such engines that may be oil, fuel or nothing.
bool may_be_fuel(std::string_view header);

}  // namespace railseep

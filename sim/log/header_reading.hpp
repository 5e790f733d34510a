#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "channel/channel_kind.hpp"

namespace railseep {

/// What a header says of its column.
struct HeaderReading {
  ChannelKind kind = ChannelKind::unknown;
  std::string unit;                       // as written in the header, or empty
  std::string strange_unit;               // stands where a unit would, and is none that is known: "ICP (counts)"
  bool may_be_fuel = false;               // "fuel rail pressure" may be oil, fuel or nothing on such an engine
  std::optional<ChannelKind> owner = {};  // of a column of times: the channel it belongs to, "ICP time"
};

HeaderReading read_header(std::string_view header);

}  // namespace railseep

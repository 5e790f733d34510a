#include "channel/trace.hpp"

#include <algorithm>

#include "quantity/error.hpp"

namespace railseep {

bool Trace::has(std::string_view name) const {
  return std::any_of(channels.begin(), channels.end(), [&](const TraceChannel& c) { return c.name == name; });
}

const TraceChannel& Trace::find(std::string_view name) const {
  std::vector<std::string> names;
  for (const TraceChannel& channel : channels) {
    if (channel.name == name) return channel;
    names.push_back(channel.name);
  }
  const std::string near = nearest_word(name, names);
  throw Error("trace", "there is no channel \"" + std::string(name) + "\"",
              near.empty() ? "look at the trace's header" : "did you mean \"" + near + "\"");
}

}  // namespace railseep

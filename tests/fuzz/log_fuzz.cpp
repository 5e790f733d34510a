// A log: its samples are finite, their times do not fall, each has a line, flags lie within the channel; and the gate
// to the match keeps this.
#include <cmath>

#include "log/log_reader.hpp"
#include "log/usable.hpp"
#include "oracle.hpp"

using namespace railseep;

namespace {

void check(const Channel& channel) {
  const std::size_t samples = channel.time.size();
  if (channel.value.size() != samples || channel.lines.size() != samples) broken("each sample has a time, value, line");
  for (std::size_t i = 0; i < samples; ++i) {
    if (!std::isfinite(channel.time[i]) || !std::isfinite(channel.value[i])) broken("samples are finite");
    if (i > 0 && channel.time[i] < channel.time[i - 1]) broken("times do not fall");
  }
  for (const Flag& flag : channel.flags) {
    // A cell that could not be read has no sample of its own.
    const bool lies_within = flag.first <= flag.last && (flag.kind == FlagKind::unreadable || flag.last < samples);
    if (!lies_within) broken("flags lie within their channel");
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  const std::string bytes(reinterpret_cast<const char*>(data), size);
  may_refuse([&] {
    const Log log = parse_log(bytes, "log.csv");
    std::vector<std::string> notes;
    for (const Channel& channel : log.channels) {
      check(channel);
      const auto gated = usable(log, channel.kind, notes);
      if (!gated) continue;
      check(*gated);
      for (std::size_t i = 1; i < gated->time.size(); ++i)
        if (gated->time[i] <= gated->time[i - 1]) broken("usable samples have times of their own");
    }
  });
  may_refuse([&] { describe_log(bytes, "log.csv"); });
  return 0;
}

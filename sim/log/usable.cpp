#include "log/usable.hpp"

#include <algorithm>
#include <map>

#include "log/flags.hpp"

namespace railseep {
namespace {

// Of many flags of one kind the first ones are told, and how many there are. A pause takes no sample away: it is told
// of the pressure alone.
void tell_flags(const Channel& channel, std::vector<std::string>& notes) {
  std::map<FlagKind, std::size_t> counts;
  for (const Flag& flag : channel.flags) {
    if (flag.kind == FlagKind::dropout && channel.kind != ChannelKind::rail_pressure) continue;
    if (++counts[flag.kind] > notes_a_kind) continue;
    notes.push_back(channel.header + ", " + sentence({flag.line, flag.text}) +
                    (leaves_out(flag.kind) ? " (left out)" : ""));
  }
  for (const auto& [kind, count] : counts) {
    if (count > notes_a_kind)
      notes.push_back(channel.header + ": " + std::to_string(count) + " such places in all" +
                      (leaves_out(kind) ? ", all left out" : ""));
  }
}

}  // namespace

std::optional<Channel> usable(const Log& log, ChannelKind kind, std::vector<std::string>& notes) {
  const Channel* all = log.find(kind);
  if (all == nullptr || all->value.empty()) return std::nullopt;
  tell_flags(*all, notes);
  Channel channel;
  channel.kind = all->kind, channel.header = all->header, channel.unit = all->unit, channel.quantity = all->quantity;
  channel.resolution = all->resolution, channel.from_volts = all->from_volts;
  const std::vector<bool> out = left_out(*all);
  std::size_t at_one_time = 0;
  int line = 0;
  for (std::size_t i = 0; i < all->value.size(); ++i) {
    if (out[i]) continue;
    if (!channel.time.empty() && all->time[i] <= channel.time.back()) {
      if (at_one_time++ == 0) line = all->lines.at(i);
      continue;
    }
    channel.time.push_back(all->time[i]);
    channel.value.push_back(all->value[i]);
    channel.lines.push(all->lines.at(i));
  }
  if (at_one_time > 0) {
    notes.push_back(channel.header + ", " +
                    sentence({line, std::to_string(at_one_time) +
                                        " samples have the time of the one before them; they are left out"}));
  }
  if (channel.value.empty()) {
    notes.push_back(channel.header + ": nothing in it is a measurement; it is taken as not logged");
    return std::nullopt;
  }
  return channel;
}

}  // namespace railseep

#include "channel/channel_kind.hpp"

#include <algorithm>
#include <vector>

#include "quantity/error.hpp"

namespace railseep {

const ChannelRow& channel_row(ChannelKind kind) {
  return *std::ranges::find(channel_rows, kind, &ChannelRow::kind);  // tests/channel_test.cpp: every kind has its row
}

std::string_view kind_name(ChannelKind kind) { return channel_row(kind).name; }

Quantity kind_quantity(ChannelKind kind) { return channel_row(kind).quantity; }

bool is_measured(ChannelKind kind) { return channel_row(kind).role == ChannelRow::Role::measured; }

bool has_unit(ChannelKind kind) { return channel_row(kind).role != ChannelRow::Role::neither; }

ChannelKind parse_channel_kind(std::string_view name) {
  std::vector<std::string> known;
  for (const ChannelRow& row : channel_rows) {
    if (row.name == name) return row.kind;
    known.emplace_back(row.name);
  }
  const std::string nearest = nearest_word(name, known);
  std::string list;
  for (const std::string& word : known) list += (list.empty() ? "" : ", ") + word;
  throw Error("", "\"" + std::string(name) + "\" is no kind of channel",
              (nearest.empty() ? "" : "did you mean \"" + nearest + "\"? ") + "kinds: " + list);
}

bool unit_fits(ChannelKind kind, Quantity quantity) {
  if (kind == ChannelKind::unknown || kind == ChannelKind::ignored) return false;
  if (kind == ChannelKind::rail_pressure && quantity == Quantity::voltage) return true;
  if (kind == ChannelKind::regulator_duty && quantity == Quantity::current) return true;
  return kind_quantity(kind) == quantity;
}

std::string known_headers() {
  std::string list;
  for (const ChannelRow& row : channel_rows) {
    if (row.header.empty()) continue;
    list += (list.empty() ? "\"" : ", \"") + std::string(row.header) + "\" (" + std::string(row.name) + ")";
  }
  return list;
}

}  // namespace railseep

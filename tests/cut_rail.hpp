#pragma once

#include <string>
#include <string_view>

#include "circuit/circuit.hpp"

namespace railseep {

/// The circuit with one of its volumes cut into so many of equal size in a row, joined by pieces of one bore. What
/// filled the volume enters the first piece, what it fed leaves the last.
inline Circuit with_cut_rail(const Circuit& circuit, std::string_view rail, int pieces, const Passage& bore) {
  Circuit cut = circuit;
  const int whole = cut.find_node(rail);
  cut.nodes[whole].volume /= pieces;
  cut.nodes[whole].drains_through.clear(), cut.nodes[whole].drain_share = 0;
  Passage piece = bore;
  piece.length /= pieces - 1, piece.loss_coefficient /= pieces - 1;
  int last = whole;
  for (int i = 1; i < pieces; ++i) {
    cut.nodes.push_back(cut.nodes[whole]);
    cut.nodes.back().name += ", piece " + std::to_string(i + 1);
    const int next = static_cast<int>(cut.nodes.size()) - 1;
    Link link;
    link.name = "bore " + std::to_string(i), link.from = last, link.to = next, link.element = piece;
    cut.links.push_back(link);
    last = next;
  }
  for (std::size_t i = 0; i < circuit.links.size(); ++i)
    if (cut.links[i].from == whole) cut.links[i].from = last;
  return cut;
}

}  // namespace railseep

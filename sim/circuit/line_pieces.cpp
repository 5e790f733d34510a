#include "circuit/line_pieces.hpp"

#include "quantity/error.hpp"

namespace railseep {

namespace {

/// A line of the same bore. Its minor losses keep the sum that the passage had.
Line line_of(const Link& link) {
  if (const auto* line = std::get_if<Line>(&link.element)) return *line;
  if (const auto* passage = std::get_if<Passage>(&link.element))
    return {passage->diameter, passage->length, 0, passage->loss_coefficient};
  throw Error(link.name, "a " + std::string(kind_of(link.element)) + " cannot be cut into pieces",
              "name a line or a passage");
}

}  // namespace

Circuit cut_line(const Circuit& circuit, std::string_view name, int pieces) {
  if (pieces < 1)
    throw Error(std::string(name), std::to_string(pieces) + " pieces are too few", "cut it into 1 or more");
  Circuit cut = circuit;
  const int at = circuit.find_link(name);
  const Link whole = circuit.links[at];
  Line piece = line_of(whole);
  piece.length /= pieces, piece.loss_coefficient /= pieces;

  int from = whole.from;
  for (int i = 0; i < pieces; ++i) {
    Link link = whole;
    link.element = piece;
    link.from = from;
    if (i > 0) link.name += ", piece " + std::to_string(i + 1);
    if (i + 1 < pieces) {
      Node node;
      node.name = whole.name + ", node " + std::to_string(i + 1);
      node.volume = piece.area() * piece.length;
      node.at = circuit.nodes[whole.from].at;
      node.source = whole.source;
      cut.nodes.push_back(node);
      link.to = static_cast<int>(cut.nodes.size()) - 1;
    }
    from = link.to;
    if (i == 0)
      cut.links[at] = link;
    else
      cut.links.push_back(link);
  }
  return cut;
}

}  // namespace railseep

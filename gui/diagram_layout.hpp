#pragma once

#include <imgui.h>

#include <string>
#include <vector>

#include "circuit/circuit.hpp"

namespace railseep::gui {

/// Where everything of a circuit is drawn, from the coordinates of its nodes. One unit is the pitch of two neighbouring
/// leak sites.
///
/// A node is a bar. Links into a drain hang below it with a tank of their own, as ISO 1219-1 draws returns; sites stand
/// on top of it; links between nodes are pipes with right angles and a symbol on the longest piece. Rows stand only as
/// far apart as what hangs and stands between them needs. The drawing may be stretched sideways: nothing touches that
/// did not before.
struct DiagramLayout {
  struct Bar {
    ImVec2 low, high;
    bool drawn = false;   // not a tank
    bool source = false;  // a tank that oil comes from
    ImVec2 at;            // of a source
  };
  struct Pipe {
    int link;
    std::vector<ImVec2> path;  // from the link's first node to its second; of a drain, to its tank
    ImVec2 symbol;             // middle of its symbol
    ImVec2 along;              // direction of flow there
    bool drain;
  };
  struct Mark {
    int site;
    ImVec2 root, at;  // on the bar, and the middle of the mark
  };
  struct Label {
    int link;
    std::vector<std::string> lines;
    ImVec2 anchor, offset,
        size;  // its middle is offset from the anchor, which is the only part that stretches; its room
    ImVec2 middle() const { return {anchor.x + offset.x, anchor.y + offset.y}; }
  };
  std::vector<Bar> bars;  // by node
  std::vector<Pipe> pipes;
  std::vector<Mark> marks;
  std::vector<Label> labels;  // names of links
  ImVec2 low, high;           // of everything
};

DiagramLayout lay_out(const Circuit& circuit);

}  // namespace railseep::gui

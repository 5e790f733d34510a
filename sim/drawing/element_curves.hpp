#pragma once

#include <string>
#include <vector>

namespace railseep {

/// The picture of one family of elements: name of its file, and its text.
struct ElementPicture {
  std::string file;
  std::string svg;
};

/// One picture for each family of elements, computed by the elements themselves: the pages beside their headers show
/// them.
std::vector<ElementPicture> element_pictures();

}  // namespace railseep

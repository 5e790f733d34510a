#include <stb/stb_image_write.h>

#include "window.hpp"

namespace railseep::gui {

void write_png(const std::filesystem::path& file, const Window::Pixels& pixels) {
  std::filesystem::create_directories(file.parent_path());
  if (!stbi_write_png(file.c_str(), pixels.width, pixels.height, 3, pixels.rgb.data(), 3 * pixels.width))
    throw Error(file.string(), "it can not be written", "choose a folder you may write to");
}

}  // namespace railseep::gui

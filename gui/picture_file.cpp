#include <stb/stb_image_write.h>

#include "window.hpp"

namespace railseep::gui {

void write_png(const std::filesystem::path& file, const Window::Pixels& pixels) {
  std::filesystem::create_directories(file.parent_path());
  // Flat areas and text pack best without a filter.
  stbi_write_force_png_filter = 0, stbi_write_png_compression_level = 32;
  if (!stbi_write_png(file.c_str(), pixels.width, pixels.height, 3, pixels.rgb.data(), 3 * pixels.width))
    throw Error(file.string(), "it cannot be written", "choose a folder you may write to");
}

}  // namespace railseep::gui

#pragma once

#include <zlib.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <fstream>
#include <map>
#include <string>
#include <vector>

#include "window.hpp"

namespace railseep::gui {

/// A picture for the guide: its 256 most frequent colours, the others as the nearest of these, packed as tightly as
/// zlib can.
///
/// Source: Portable Network Graphics (W3C Recommendation, 2003): chunks IHDR (colour type 3), PLTE, IDAT, IEND; filter
/// 0.
class SmallPng {
 public:
  explicit SmallPng(const Window::Pixels& pixels) : pixels_(pixels) { choose_colours(); }

  std::string text() const {
    const auto width = static_cast<std::uint32_t>(pixels_.width), height = static_cast<std::uint32_t>(pixels_.height);
    std::string colours;
    for (const Colour& colour : palette_) colours.append(colour.begin(), colour.end());
    return "\x89PNG\r\n\x1a\n" + chunk("IHDR", number(width) + number(height) + std::string("\x08\x03\0\0\0", 5)) +
           chunk("PLTE", colours) + chunk("IDAT", packed_rows()) + chunk("IEND", "");
  }

 private:
  using Colour = std::array<char, 3>;

  Colour at(std::size_t i) const {
    return {static_cast<char>(pixels_.rgb[3 * i]), static_cast<char>(pixels_.rgb[3 * i + 1]),
            static_cast<char>(pixels_.rgb[3 * i + 2])};
  }
  std::size_t count() const { return pixels_.rgb.size() / 3; }

  static int distance(const Colour& a, const Colour& b) {
    int sum = 0;
    for (int k = 0; k < 3; ++k) {
      const int d = static_cast<unsigned char>(a[k]) - static_cast<unsigned char>(b[k]);
      sum += d * d;
    }
    return sum;
  }

  void choose_colours() {
    std::map<Colour, std::size_t> often;
    for (std::size_t i = 0; i < count(); ++i) ++often[at(i)];
    std::vector<std::pair<std::size_t, Colour>> sorted;
    for (const auto& [colour, times] : often) sorted.emplace_back(times, colour);
    std::sort(sorted.rbegin(), sorted.rend());
    for (std::size_t i = 0; i < std::min<std::size_t>(256, sorted.size()); ++i) palette_.push_back(sorted[i].second);
    for (const auto& [colour, times] : often) {
      const auto nearest = std::min_element(palette_.begin(), palette_.end(), [&](const Colour& a, const Colour& b) {
        return distance(a, colour) < distance(b, colour);
      });
      index_[colour] = static_cast<char>(nearest - palette_.begin());
    }
  }

  std::string packed_rows() const {
    std::string rows;
    for (std::size_t i = 0; i < count(); ++i) {
      if (i % static_cast<std::size_t>(pixels_.width) == 0) rows += '\0';
      rows += index_.at(at(i));
    }
    uLongf size = compressBound(rows.size());
    std::string packed(size, '\0');
    compress2(reinterpret_cast<Bytef*>(packed.data()), &size, reinterpret_cast<const Bytef*>(rows.data()), rows.size(),
              9);
    packed.resize(size);
    return packed;
  }

  static std::string number(std::uint32_t value) {
    std::string text;
    for (int shift = 24; shift >= 0; shift -= 8) text += static_cast<char>(value >> shift & 255);
    return text;
  }

  static std::string chunk(const std::string& kind, const std::string& data) {
    const std::string body = kind + data;
    return number(static_cast<std::uint32_t>(data.size())) + body +
           number(static_cast<std::uint32_t>(
               crc32(0, reinterpret_cast<const Bytef*>(body.data()), static_cast<uInt>(body.size()))));
  }

  const Window::Pixels& pixels_;
  std::vector<Colour> palette_;
  std::map<Colour, char> index_;
};

}  // namespace railseep::gui

#include "log/decode_text.hpp"

#include <algorithm>
#include <cstdint>

#include "quantity/error.hpp"

namespace railseep {
namespace {

// Code points to UTF-8: RFC 3629.
void append_utf8(std::string& out, std::uint32_t c) {
  const auto put = [&out](std::uint32_t byte) { out += static_cast<char>(byte); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0 | c >> 6);
    put(0x80 | (c & 0x3F));
  } else if (c < 0x10000) {
    put(0xE0 | c >> 12);
    put(0x80 | (c >> 6 & 0x3F));
    put(0x80 | (c & 0x3F));
  } else {
    put(0xF0 | c >> 18);
    put(0x80 | (c >> 12 & 0x3F));
    put(0x80 | (c >> 6 & 0x3F));
    put(0x80 | (c & 0x3F));
  }
}

// Surrogate pairs: RFC 2781. A half pair becomes the replacement character.
std::string from_utf16(const std::string& bytes, bool big_endian) {
  const auto unit_at = [&](std::size_t i) {
    const auto a = static_cast<unsigned char>(bytes[i]), b = static_cast<unsigned char>(bytes[i + 1]);
    return static_cast<std::uint32_t>(big_endian ? a << 8 | b : b << 8 | a);
  };
  std::string out;
  for (std::size_t i = 0; i + 1 < bytes.size(); i += 2) {
    std::uint32_t c = unit_at(i);
    if (c == 0xFEFF) continue;
    if (c >= 0xD800 && c < 0xE000) {
      const std::uint32_t low = i + 3 < bytes.size() ? unit_at(i + 2) : 0;
      const bool pair = c < 0xDC00 && low >= 0xDC00 && low < 0xE000;
      c = pair ? 0x10000 + ((c - 0xD800) << 10) + (low - 0xDC00) : 0xFFFD;
      if (pair) i += 2;
    }
    append_utf8(out, c);
  }
  return out;
}

std::string from_latin1(const std::string& bytes) {
  std::string out;
  for (const char c : bytes) append_utf8(out, static_cast<unsigned char>(c));
  return out;
}

bool is_utf8(const std::string& bytes) {
  for (std::size_t i = 0; i < bytes.size();) {
    const auto lead = static_cast<unsigned char>(bytes[i]);
    const std::size_t more = lead < 0x80                   ? 0
                             : lead >= 0xC2 && lead < 0xE0 ? 1
                             : (lead & 0xF0) == 0xE0       ? 2
                             : lead >= 0xF0 && lead < 0xF5 ? 3
                                                           : bytes.size();
    if (i + more >= bytes.size()) return false;
    for (std::size_t k = 1; k <= more; ++k) {
      if ((static_cast<unsigned char>(bytes[i + k]) & 0xC0) != 0x80) return false;
    }
    i += more + 1;
  }
  return true;
}

TextEncoding guess_encoding(const std::string& bytes) {
  if (bytes.starts_with("\xFF\xFE")) return TextEncoding::utf16_le;
  if (bytes.starts_with("\xFE\xFF")) return TextEncoding::utf16_be;

  // Without a mark, digits and separators in UTF-16 have a zero byte on every other place.
  const std::size_t looked = std::min<std::size_t>(bytes.size(), 400);
  std::size_t zeros[2] = {0, 0};
  for (std::size_t i = 0; i < looked; ++i) zeros[i % 2] += bytes[i] == '\0';
  if (zeros[1] * 4 > looked && zeros[0] * 8 < looked) return TextEncoding::utf16_le;
  if (zeros[0] * 4 > looked && zeros[1] * 8 < looked) return TextEncoding::utf16_be;
  return is_utf8(bytes) ? TextEncoding::utf8 : TextEncoding::latin1;
}

// \r\n and \r alone both end a line.
std::string with_newlines(const std::string& text) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\r') {
      out += text[i];
    } else if (i + 1 >= text.size() || text[i + 1] != '\n') {
      out += '\n';
    }
  }
  return out;
}

}  // namespace

DecodedText decode_text(std::string bytes, std::optional<TextEncoding> told) {
  DecodedText result{"", told.value_or(guess_encoding(bytes))};
  const bool wide = result.encoding == TextEncoding::utf16_le || result.encoding == TextEncoding::utf16_be;
  if (wide) bytes = from_utf16(bytes, result.encoding == TextEncoding::utf16_be);
  if (result.encoding == TextEncoding::latin1) bytes = from_latin1(bytes);
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.erase(0, 3);

  const auto last = bytes.find_last_not_of('\0');
  result.padded = last + 1 != bytes.size();
  bytes.erase(last + 1);
  result.text = with_newlines(bytes);
  const auto zero = result.text.find('\0');
  if (zero != std::string::npos) {
    const auto line = 1 + std::count(result.text.begin(), result.text.begin() + static_cast<long>(zero), '\n');
    throw Error("line " + std::to_string(line), "a zero byte stands inside the text",
                "a text file with columns, such as CSV saved by the tool");
  }
  return result;
}

}  // namespace railseep

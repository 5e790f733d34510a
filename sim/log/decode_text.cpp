#include "log/decode_text.hpp"

#include <algorithm>
#include <cctype>
#include <cstdint>
#include <string_view>

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

// Windows code page 1252, 0x80 to 0x9F; 0 where it has no character. Unicode mapping of that code page (from memory).
constexpr std::uint32_t windows[] = {0x20AC, 0,      0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021,
                                     0x02C6, 0x2030, 0x0160, 0x2039, 0x0152, 0,      0x017D, 0,
                                     0,      0x2018, 0x2019, 0x201C, 0x201D, 0x2022, 0x2013, 0x2014,
                                     0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0,      0x017E, 0x0178};

std::string from_latin1(const std::string& bytes) {
  std::string out;
  out.reserve(bytes.size() + bytes.size() / 8);
  for (const char c : bytes) {
    const auto byte = static_cast<unsigned char>(c);
    const std::uint32_t other = byte >= 0x80 && byte < 0xA0 ? windows[byte - 0x80] : 0;
    append_utf8(out, other != 0 ? other : byte);
  }
  return out;
}

// Length of the UTF-8 character at i, 0 where there is none: RFC 3629.
std::size_t character_at(const std::string& bytes, std::size_t i) {
  const auto lead = static_cast<unsigned char>(bytes[i]);
  if (lead < 0x80) return 1;
  const std::size_t length = lead >= 0xC2 && lead < 0xE0   ? 2
                             : (lead & 0xF0) == 0xE0       ? 3
                             : lead >= 0xF0 && lead < 0xF5 ? 4
                                                           : 0;
  if (length == 0 || i + length > bytes.size()) return 0;
  for (std::size_t k = 1; k < length; ++k) {
    if ((static_cast<unsigned char>(bytes[i + k]) & 0xC0) != 0x80) return 0;
  }
  return length;
}

struct Utf8Count {
  std::size_t good = 0, bad = 0;  // characters beyond ASCII, and bytes that are part of none
};

Utf8Count count_utf8(const std::string& bytes) {
  Utf8Count count;
  for (std::size_t i = 0; i < bytes.size();) {
    const std::size_t length = character_at(bytes, i);
    if (length > 1) ++count.good;
    if (length == 0) ++count.bad;
    i += std::max<std::size_t>(length, 1);
  }
  return count;
}

// A damaged byte becomes "?", so that the characters around it stay what they are.
void replace_bad_bytes(std::string& bytes, std::vector<Note>& notes) {
  std::size_t replaced = 0;
  int line = 1, first_line = 0;
  for (std::size_t i = 0; i < bytes.size();) {
    const std::size_t length = character_at(bytes, i);
    if (bytes[i] == '\n') ++line;
    if (length == 0) {
      bytes[i] = '?';
      if (replaced++ == 0) first_line = line;
    }
    i += std::max<std::size_t>(length, 1);
  }
  if (replaced == 0) return;
  notes.push_back({first_line, replaced == 1 ? "a damaged character is read as \"?\""
                                             : std::to_string(replaced) +
                                                   " damaged characters, the first here, are read as \"?\""});
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
  const Utf8Count count = count_utf8(bytes);
  return count.bad == 0 || count.good >= count.bad ? TextEncoding::utf8 : TextEncoding::latin1;
}

bool contains_word(std::string_view text, std::string_view word) {
  return std::search(text.begin(), text.end(), word.begin(), word.end(),
                     [](char a, char b) { return std::tolower(static_cast<unsigned char>(a)) == b; }) != text.end();
}

// Files that are saved under the name of a log and are something else.
void refuse_other_files(std::string_view bytes) {
  const std::string_view start = bytes.substr(0, 4096);
  const std::string csv = "a text file with columns: open this one where it came from and save it as CSV";
  if (start.starts_with("PK\x03\x04")) throw Error("", "the file is a workbook or an archive", csv);
  if (start.starts_with("\xD0\xCF\x11\xE0")) throw Error("", "the file is an old workbook", csv);
  if (start.starts_with("%PDF")) throw Error("", "the file is a printed page (PDF)", csv);
  if (start.starts_with("\x1F\x8B")) throw Error("", "the file is packed (gzip)", "the file unpacked");
  if (contains_word(start, "<html") || contains_word(start, "<!doctype html") || contains_word(start, "<table")) {
    throw Error("", "the file is a web page, not a table of numbers", csv);
  }
}

// \r\n and \r alone both end a line.
void make_newlines(std::string& text) {
  std::size_t to = text.find('\r');
  if (to == std::string::npos) return;
  for (std::size_t from = to; from < text.size(); ++from) {
    if (text[from] != '\r') {
      text[to++] = text[from];
    } else if (from + 1 >= text.size() || text[from + 1] != '\n') {
      text[to++] = '\n';
    }
  }
  text.resize(to);
}

void refuse_zero_bytes(const std::string& text) {
  const auto zero = text.find('\0');
  if (zero == std::string::npos) return;
  const auto line = 1 + std::count(text.begin(), text.begin() + static_cast<long>(zero), '\n');
  throw Error("line " + std::to_string(line), "a zero byte stands inside the text",
              "a text file with columns, such as CSV saved by the tool");
}

}  // namespace

DecodedText decode_text(std::string bytes, std::optional<TextEncoding> told) {
  refuse_other_files(bytes);
  DecodedText result{"", told.value_or(guess_encoding(bytes)), {}};
  const bool wide = result.encoding == TextEncoding::utf16_le || result.encoding == TextEncoding::utf16_be;
  if (wide) {
    if (bytes.size() % 2 != 0) result.notes.push_back({0, "the last byte is half a character: the file is cut off"});
    bytes = from_utf16(bytes, result.encoding == TextEncoding::utf16_be);
    refuse_other_files(bytes);
  }
  if (result.encoding == TextEncoding::latin1) bytes = from_latin1(bytes);
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.erase(0, 3);

  const auto last = bytes.find_last_not_of('\0');
  if (last + 1 != bytes.size()) {
    result.notes.push_back({0, "zero bytes at the end are left out: the tool lost its power?"});
    bytes.erase(last + 1);
  }
  make_newlines(bytes);
  if (result.encoding == TextEncoding::utf8) replace_bad_bytes(bytes, result.notes);
  refuse_zero_bytes(bytes);
  result.text = std::move(bytes);
  return result;
}

}  // namespace railseep

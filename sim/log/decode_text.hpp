#pragma once

#include <optional>
#include <string>
#include <vector>

#include "log/log.hpp"

namespace railseep {

struct DecodedText {
  std::string text;  // UTF-8, lines end in \n, no byte-order mark
  TextEncoding encoding;
  std::vector<Note> notes;  // what had to be left out or replaced
};

/// Bytes of a file to text: by its byte-order mark, by the zero bytes of UTF-16, as UTF-8 where most of what is not
/// ASCII is valid UTF-8 (a damaged byte then becomes "?"), else as Latin-1 with the printing characters that Windows
/// adds.
/// @throws Error when the file is no text (a workbook, a web page, zero bytes inside)
DecodedText decode_text(std::string bytes, std::optional<TextEncoding> told);

}  // namespace railseep

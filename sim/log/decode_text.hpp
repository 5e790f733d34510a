#pragma once

#include <optional>
#include <string>

#include "log/log_layout.hpp"

namespace railseep {

struct DecodedText {
  std::string text;  // UTF-8, lines end in \n, no byte-order mark
  TextEncoding encoding;
  bool padded = false;  // zero bytes at the end, as a tool leaves them when its power fails
};

/// Bytes of a file to text: by its byte-order mark, by the zero bytes of UTF-16, UTF-8 if it is valid, else Latin-1.
/// @throws Error when zero bytes inside say that it is no text
DecodedText decode_text(std::string bytes, std::optional<TextEncoding> told);

}  // namespace railseep

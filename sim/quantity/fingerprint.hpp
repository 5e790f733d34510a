#pragma once

#include <string>

namespace railseep {

/// 64-bit FNV-1a of a text, as 16 hexadecimal digits: tells one version of a file from another.
std::string fingerprint(const std::string& text);

}  // namespace railseep

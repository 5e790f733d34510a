#pragma once

#include <string>

namespace railseep {

/// SHA-256 of a text, as 64 hexadecimal digits. Source: FIPS 180-4 (2015).
std::string sha256(const std::string& text);

/// Text that a learner who opens the file does not read by accident. It is no cryptography: the salt stands beside it,
/// and this program opens it for everybody.
std::string veil(const std::string& text, const std::string& salt);
std::string unveil(const std::string& veiled, const std::string& salt);  // @throws Error for what is not hexadecimal

/// Commits the one who wrote a text to it: nobody can change the text, or find another one, and keep this.
std::string commitment(const std::string& text, const std::string& salt);

}  // namespace railseep

#include "quantity/fingerprint.hpp"

#include <cstdint>
#include <cstdio>

namespace railseep {

std::string fingerprint(const std::string& text) {
  std::uint64_t hash = 14695981039346656037u;
  for (const unsigned char c : text) hash = (hash ^ c) * 1099511628211u;
  char hex[17];
  std::snprintf(hex, sizeof hex, "%016llx", static_cast<unsigned long long>(hash));
  return hex;
}

}  // namespace railseep

#include "training/seal.hpp"

#include <array>
#include <bit>
#include <cstdint>
#include <random>
#include <vector>

#include "quantity/error.hpp"

namespace railseep {

namespace {

// First 32 bits of the fractional parts of the cube roots of the first 64 primes (FIPS 180-4, 4.2.2).
constexpr std::uint32_t round_constants[64] = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

/// One block of 64 bytes (FIPS 180-4, 6.2.2).
void compress(std::array<std::uint32_t, 8>& hash, const unsigned char* block) {
  std::uint32_t w[64];
  for (int i = 0; i < 16; ++i)
    w[i] = std::uint32_t{block[4 * i]} << 24 | std::uint32_t{block[4 * i + 1]} << 16 |
           std::uint32_t{block[4 * i + 2]} << 8 | block[4 * i + 3];
  for (int i = 16; i < 64; ++i) {
    const std::uint32_t s0 = std::rotr(w[i - 15], 7) ^ std::rotr(w[i - 15], 18) ^ (w[i - 15] >> 3);
    const std::uint32_t s1 = std::rotr(w[i - 2], 17) ^ std::rotr(w[i - 2], 19) ^ (w[i - 2] >> 10);
    w[i] = w[i - 16] + s0 + w[i - 7] + s1;
  }
  auto [a, b, c, d, e, f, g, h] = hash;
  for (int i = 0; i < 64; ++i) {
    const std::uint32_t s1 = std::rotr(e, 6) ^ std::rotr(e, 11) ^ std::rotr(e, 25);
    const std::uint32_t t1 = h + s1 + ((e & f) ^ (~e & g)) + round_constants[i] + w[i];
    const std::uint32_t s0 = std::rotr(a, 2) ^ std::rotr(a, 13) ^ std::rotr(a, 22);
    const std::uint32_t t2 = s0 + ((a & b) ^ (a & c) ^ (b & c));
    h = g, g = f, f = e, e = d + t1, d = c, c = b, b = a, a = t1 + t2;
  }
  const std::uint32_t add[8] = {a, b, c, d, e, f, g, h};
  for (std::size_t i = 0; i < 8; ++i) hash[i] += add[i];
}

std::string hexadecimal(const std::string& bytes) {
  constexpr char digits[] = "0123456789abcdef";
  std::string text;
  for (const unsigned char c : bytes) text += digits[c >> 4], text += digits[c & 15];
  return text;
}

/// The text under a stream of bytes that the salt gives.
std::string covered(std::string text, const std::string& salt) {
  std::seed_seq sequence(salt.begin(), salt.end());
  std::mt19937 stream(sequence);
  for (char& c : text) c = static_cast<char>(static_cast<unsigned char>(c) ^ (stream() & 0xff));
  return text;
}

}  // namespace

std::string sha256(const std::string& text) {
  std::string padded = text + '\x80';
  while (padded.size() % 64 != 56) padded += '\0';
  const std::uint64_t bits = 8 * static_cast<std::uint64_t>(text.size());
  for (int shift = 56; shift >= 0; shift -= 8) padded += static_cast<char>(bits >> shift & 0xff);
  std::array<std::uint32_t, 8> hash{0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
                                    0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};
  const std::vector<unsigned char> bytes(padded.begin(), padded.end());
  for (std::size_t at = 0; at < bytes.size(); at += 64) compress(hash, &bytes[at]);
  std::string digest;
  for (const std::uint32_t word : hash)
    for (int shift = 24; shift >= 0; shift -= 8) digest += static_cast<char>(word >> shift & 0xff);
  return hexadecimal(digest);
}

std::string veil(const std::string& text, const std::string& salt) { return hexadecimal(covered(text, salt)); }

std::string unveil(const std::string& veiled, const std::string& salt) {
  std::string bytes;
  const auto digit = [&](char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    throw Error("", "the sealed text holds something that is no hexadecimal digit", "copy the file again, whole");
  };
  if (veiled.size() % 2 != 0)
    throw Error("", "the sealed text has an odd number of digits", "copy the file again, whole");
  for (std::size_t i = 0; i + 1 < veiled.size(); i += 2)
    bytes += static_cast<char>(digit(veiled[i]) * 16 + digit(veiled[i + 1]));
  return covered(bytes, salt);
}

std::string commitment(const std::string& text, const std::string& salt) { return sha256(salt + "\n" + text); }

}  // namespace railseep

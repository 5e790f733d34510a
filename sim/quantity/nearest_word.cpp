#include <algorithm>
#include <cctype>
#include <tuple>
#include <vector>

#include "quantity/quantity.hpp"

namespace railseep {
namespace {

std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return result;
}

// Insertions, deletions, replacements and swaps of neighbours (optimal string alignment) between two words.
std::size_t edit_distance(const std::string& a, const std::string& b) {
  const std::size_t width = b.size() + 1;
  std::vector<std::size_t> d((a.size() + 1) * width);
  for (std::size_t i = 0; i <= a.size(); ++i) {
    for (std::size_t j = 0; j <= b.size(); ++j) {
      std::size_t& here = d[i * width + j];
      if (i == 0 || j == 0) {
        here = i + j;
        continue;
      }
      const std::size_t replace = d[(i - 1) * width + j - 1] + (a[i - 1] != b[j - 1]);
      here = std::min({d[(i - 1) * width + j] + 1, d[i * width + j - 1] + 1, replace});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        here = std::min(here, d[(i - 2) * width + j - 2] + 1);
      }
    }
  }
  return d.back();
}

}  // namespace

std::string nearest_word(std::string_view word, std::span<const std::string> known) {
  constexpr std::size_t longest = 64;  // nobody mistypes a word this long; keeps the table small
  if (word.empty() || word.size() > longest) return "";
  const std::string typed = lower(word);
  const std::size_t near = std::max<std::size_t>(1, typed.size() / 3);

  // Among equally near words the one of the same length, then of the same beginning, is likelier meant.
  std::string best;
  std::tuple<std::size_t, std::size_t, bool> best_rank{near + 1, 0, false};
  for (const std::string& candidate : known) {
    if (candidate.empty() || candidate.size() > longest) continue;
    const std::string other = lower(candidate);
    const std::size_t length_gap = std::max(other.size(), typed.size()) - std::min(other.size(), typed.size());
    const std::tuple rank{edit_distance(typed, other), length_gap, other.front() != typed.front()};
    if (rank >= best_rank) continue;
    best_rank = rank;
    best = candidate;
  }
  return best;
}

}  // namespace railseep

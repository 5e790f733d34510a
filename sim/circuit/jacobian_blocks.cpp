#include "circuit/jacobian_blocks.hpp"

#include <algorithm>

namespace railseep {

JacobianBlocks::JacobianBlocks(int size, const std::vector<Block>& blocks) : pattern_(size, size) {
  // Each entry as one number that sorts them as the matrix keeps them: column by column, rows rising.
  std::vector<std::int64_t> keys;
  for (const Block& block : blocks) {
    for (int r = 0; r < width; ++r)
      for (int c = 0; c < width; ++c) {
        if (!block.depends[r][c] || block.rows[r] < 0 || block.columns[c] < 0) continue;
        entries_.push_back({r * width + c, 0});
        keys.push_back(std::int64_t{block.columns[c]} * size + block.rows[r]);
      }
    begins_.push_back(static_cast<int>(entries_.size()));
  }
  std::vector<std::int64_t> sorted = keys;
  std::sort(sorted.begin(), sorted.end());
  sorted.erase(std::unique(sorted.begin(), sorted.end()), sorted.end());

  pattern_.resizeNonZeros(static_cast<Eigen::Index>(sorted.size()));
  for (std::size_t i = 0; i < sorted.size(); ++i) {
    pattern_.innerIndexPtr()[i] = static_cast<int>(sorted[i] % size);
    ++pattern_.outerIndexPtr()[sorted[i] / size + 1];
  }
  for (int c = 0; c < size; ++c) pattern_.outerIndexPtr()[c + 1] += pattern_.outerIndexPtr()[c];
  pattern_.coeffs().setZero();
  for (std::size_t i = 0; i < keys.size(); ++i)
    entries_[i].to = static_cast<int>(std::lower_bound(sorted.begin(), sorted.end(), keys[i]) - sorted.begin());
}

}  // namespace railseep

#pragma once

#include <Eigen/SparseCore>
#include <array>
#include <vector>

namespace railseep {

/// The Jacobian of a network is a sum of small blocks, one for each link. Which entries it has follows from the circuit
/// alone: they are found once, with the place of each entry of each block among the matrix's values. Work and memory
/// grow with the number of links.
class JacobianBlocks {
 public:
  static constexpr int width = 6;                    // at most so many states around a link, and rates that it changes
  using Values = std::array<double, width * width>;  // a row after the other
  struct Block {
    std::array<int, width> rows, columns;                // of the matrix; -1: none
    std::array<std::array<bool, width>, width> depends;  // row on column
  };

  JacobianBlocks(int size, const std::vector<Block>& blocks);

  /// Gives the matrix this pattern, and every entry the value 0.
  void clear(Eigen::SparseMatrix<double>& jacobian) const { jacobian = pattern_; }

  /// Adds the values of one block, those without dependence left out, to a matrix that clear() has prepared.
  void add(std::size_t block, const Values& values, Eigen::SparseMatrix<double>& jacobian) const {
    double* sum = jacobian.valuePtr();
    for (int e = begins_[block]; e < begins_[block + 1]; ++e) sum[entries_[e].to] += values[entries_[e].from];
  }

 private:
  struct Entry {
    int from, to;  // in the block's values, in the matrix's
  };

  Eigen::SparseMatrix<double> pattern_;
  std::vector<Entry> entries_;
  std::vector<int> begins_{0};  // first entry of each block, and the end of the last
};

}  // namespace railseep

#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace railseep {

/// Which line of the file each of many samples stood on. Samples on lines that follow each other cost nothing.
class LineNumbers {
 public:
  void push(int line) {
    if (runs_.empty() || line != runs_.back().line + static_cast<int>(size_ - runs_.back().first)) {
      runs_.push_back({size_, line});
    }
    ++size_;
  }

  /// Line of a sample; 0, the whole file, where there are none.
  int at(std::size_t sample) const {
    const auto after = std::upper_bound(runs_.begin(), runs_.end(), sample,
                                        [](std::size_t wanted, const Run& run) { return wanted < run.first; });
    if (after == runs_.begin()) return 0;
    return (after - 1)->line + static_cast<int>(sample - (after - 1)->first);
  }

  std::size_t size() const { return size_; }

 private:
  struct Run {
    std::size_t first;  // sample
    int line;           // of that sample; those behind it follow
  };
  std::vector<Run> runs_;
  std::size_t size_ = 0;
};

}  // namespace railseep

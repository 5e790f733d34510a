#pragma once

#include <cstdint>
#include <random>
#include <vector>

namespace railseep {

/// Random numbers of one made-up job: the same for the same seed, job and stream, whatever other jobs or threads do.
class Dice {
 public:
  Dice(std::uint64_t seed, std::uint64_t job, std::uint64_t stream) {
    std::seed_seq sequence{seed, seed >> 32, job, stream};
    engine_.seed(sequence);
  }

  double uniform(double least, double most) {
    return least + (most - least) * std::generate_canonical<double, 53>(engine_);
  }
  double normal() { return gauss_(engine_); }
  bool chance(double share) { return uniform(0, 1) < share; }
  template <class T>
  const T& pick(const std::vector<T>& from) {
    return from[std::min(from.size() - 1, static_cast<std::size_t>(uniform(0, static_cast<double>(from.size()))))];
  }

 private:
  std::mt19937_64 engine_;
  std::normal_distribution<double> gauss_;
};

}  // namespace railseep

#include "decide/side_by_side.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace railseep {

void side_by_side(std::size_t count, int threads, const std::function<void(std::size_t)>& work) {
  std::atomic<std::size_t> next{0};
  std::mutex guard;
  std::exception_ptr trouble;
  const auto run = [&] {
    try {
      for (std::size_t mine; (mine = next++) < count;) work(mine);
    } catch (...) {
      next = count;
      const std::lock_guard lock(guard);
      if (!trouble) trouble = std::current_exception();
    }
  };
  const std::size_t wanted = threads > 0 ? static_cast<std::size_t>(threads) : std::max(1u, std::thread::hardware_concurrency());
  std::vector<std::thread> others;
  for (std::size_t i = 1; i < std::min(wanted, count); ++i) others.emplace_back(run);
  run();
  for (std::thread& other : others) other.join();
  if (trouble) std::rethrow_exception(trouble);
}

}  // namespace railseep

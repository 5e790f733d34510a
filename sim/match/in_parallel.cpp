#include "match/in_parallel.hpp"

#include <algorithm>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace railseep {

void in_parallel(std::size_t count, int threads, const std::function<void(std::size_t)>& work) {
  std::mutex guard;
  std::size_t next = 0;
  std::exception_ptr trouble;
  const auto run = [&] {
    for (;;) {
      std::size_t mine;
      {
        const std::lock_guard lock(guard);
        if (next == count || trouble) return;
        mine = next++;
      }
      try {
        work(mine);
      } catch (...) {
        const std::lock_guard lock(guard);
        if (!trouble) trouble = std::current_exception();
      }
    }
  };
  const std::size_t wanted = threads > 0 ? static_cast<std::size_t>(threads) : std::max(1u, std::thread::hardware_concurrency());
  std::vector<std::thread> others;
  for (std::size_t i = 1; i < std::min(wanted, count); ++i) others.emplace_back(run);
  run();
  for (std::thread& thread : others) thread.join();
  if (trouble) std::rethrow_exception(trouble);
}

}  // namespace railseep

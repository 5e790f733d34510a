#include "fit/in_parallel.hpp"

#include <algorithm>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <system_error>
#include <thread>
#include <utility>
#include <vector>

namespace railseep {

namespace {

struct Loop {
  const std::function<void(std::size_t)>& work;
  std::size_t count;
  std::size_t next = 0, running = 0;
  std::size_t failed = 0;  // which call threw the trouble
  std::exception_ptr trouble = nullptr;

  bool open() const { return next < count; }
  bool done() const { return !open() && running == 0; }
};

/// The threads of one in_parallel(), and all loops that they have begun.
class Crew {
 public:
  /// Each thread of the crew, until the whole is done: what lies furthest out comes first, for there is most to do.
  void help(const Loop& whole) {
    std::unique_lock lock(guard_);
    while (!whole.done()) {
      const auto open = std::ranges::find_if(loops_, &Loop::open);
      if (open != loops_.end())
        step(**open, lock);
      else
        wait(lock);
    }
  }

  void begin(Loop& loop) {
    const std::lock_guard lock(guard_);
    loops_.push_back(&loop);
    if (waiting_ > 0) changed_.notify_all();
  }

  /// Its own thread works on it, while others may.
  void finish(Loop& loop) {
    std::unique_lock lock(guard_);
    while (loop.open()) step(loop, lock);
    while (!loop.done()) wait(lock);
    std::erase(loops_, &loop);
  }

 private:
  void step(Loop& loop, std::unique_lock<std::mutex>& lock) {
    const std::size_t mine = loop.next++;
    ++loop.running;
    lock.unlock();
    std::exception_ptr trouble;
    try {
      loop.work(mine);
    } catch (...) {
      trouble = std::current_exception();
    }
    lock.lock();
    if (trouble && (!loop.trouble || mine < loop.failed)) loop.trouble = trouble, loop.failed = mine;
    if (trouble) loop.next = loop.count;
    --loop.running;
    if (loop.done() && waiting_ > 0) changed_.notify_all();
  }

  void wait(std::unique_lock<std::mutex>& lock) {
    ++waiting_;
    changed_.wait(lock);
    --waiting_;
  }

  std::mutex guard_;
  std::condition_variable changed_;
  std::vector<Loop*> loops_;  // outer ones before those within them
  int waiting_ = 0;
};

thread_local Crew* my_crew = nullptr;

}  // namespace

void in_parallel(std::size_t count, int threads, const std::function<void(std::size_t)>& work) {
  Crew crew;
  Loop whole{work, count};
  crew.begin(whole);
  const auto run = [&crew, &whole] {
    Crew* const before = std::exchange(my_crew, &crew);
    crew.help(whole);
    my_crew = before;
  };
  const int wanted = std::min(
      most_threads, threads > 0 ? threads : std::max(1, static_cast<int>(std::thread::hardware_concurrency())));
  std::vector<std::jthread> others;
  others.reserve(static_cast<std::size_t>(wanted));
  try {
    for (int i = 1; i < wanted && count > 0; ++i) others.emplace_back(run);
  } catch (const std::system_error&) {
    // The system gives no more threads: those that it gave, and this one, do the work.
  }
  run();
  others.clear();  // joins them
  if (whole.trouble) std::rethrow_exception(whole.trouble);
}

void with_idle_threads(std::size_t count, const std::function<void(std::size_t)>& work) {
  if (!my_crew || count < 2) {
    for (std::size_t i = 0; i < count; ++i) work(i);
    return;
  }
  Loop loop{work, count};
  my_crew->begin(loop);
  my_crew->finish(loop);
  if (loop.trouble) std::rethrow_exception(loop.trouble);
}

}  // namespace railseep

#include "fit/in_parallel.hpp"

#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <fstream>
#include <functional>
#include <mutex>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

using namespace railseep;

namespace {

/// Two calls that each wait until the other has begun: in one thread neither would ever see it.
class Meeting {
 public:
  bool meets() {
    std::unique_lock lock(guard_);
    ++here_;
    changed_.notify_all();
    return changed_.wait_for(lock, std::chrono::seconds(20), [this] { return here_ == 2; });
  }

 private:
  std::mutex guard_;
  std::condition_variable changed_;
  int here_ = 0;
};

std::string trouble_of(const std::function<void()>& work) {
  try {
    work();
  } catch (const std::runtime_error& error) {
    return error.what();
  }
  return "";
}

}  // namespace

TEST(InParallel, EveryCallIsMadeOnceByAnyNumberOfThreads) {
  for (const int threads : {0, 1, 2, 7})
    for (const std::size_t count : {0, 1, 5, 100}) {
      std::vector<std::atomic<int>> calls(count);
      in_parallel(count, threads, [&](std::size_t i) { with_idle_threads(3, [&](std::size_t) { ++calls[i]; }); });
      for (std::size_t i = 0; i < count; ++i)
        EXPECT_EQ(calls[i], 3) << threads << " threads, call " << i << " of " << count;
    }
}

TEST(InParallel, AThreadWithNothingLeftToDoHelpsWithinTheLastCall) {
  Meeting meeting;
  std::atomic<int> met = 0;
  in_parallel(2, 2, [&](std::size_t i) {
    if (i == 1) with_idle_threads(2, [&](std::size_t) { met += meeting.meets(); });
  });
  EXPECT_EQ(met, 2);
}

TEST(InParallel, OneCallAloneIsHelpedToo) {
  Meeting meeting;
  std::atomic<int> met = 0;
  in_parallel(1, 2, [&](std::size_t) { with_idle_threads(2, [&](std::size_t) { met += meeting.meets(); }); });
  EXPECT_EQ(met, 2);
}

TEST(InParallel, ElsewhereOneCallComesAfterTheOther) {
  std::vector<std::size_t> order;
  const auto self = std::this_thread::get_id();
  with_idle_threads(4, [&](std::size_t i) {
    EXPECT_EQ(std::this_thread::get_id(), self);
    order.push_back(i);
  });
  EXPECT_EQ(order, (std::vector<std::size_t>{0, 1, 2, 3}));
}

// Of several that fail, chance decides which does so first; what is told must not depend on it.
TEST(InParallel, TellsOfTheFirstOfTheCallsThatFailed) {
  const auto work = [](std::size_t i) {
    if (i == 3) std::this_thread::sleep_for(std::chrono::milliseconds(30));
    if (i >= 3) throw std::runtime_error("call " + std::to_string(i));
  };
  for (const int threads : {1, 4}) {
    EXPECT_EQ(trouble_of([&] { in_parallel(8, threads, work); }), "call 3");
    EXPECT_EQ(trouble_of([&] { in_parallel(1, threads, [&](std::size_t) { with_idle_threads(8, work); }); }), "call 3");
  }
}

TEST(InParallel, AfterTroubleWithinOneCallTheOthersAreLeftAlone) {
  std::atomic<int> begun = 0;
  EXPECT_EQ(trouble_of([&] {
              in_parallel(100, 1, [&](std::size_t i) {
                ++begun;
                with_idle_threads(2, [&](std::size_t k) {
                  if (i == 4 && k == 1) throw std::runtime_error("enough");
                });
              });
            }),
            "enough");
  EXPECT_EQ(begun, 5);
}

TEST(InParallel, AsksForNoMoreThreadsThanAnyMachineHasCores) {
  std::atomic<int> calls = 0;
  in_parallel(3, 1000000, [&](std::size_t) { ++calls; });
  EXPECT_EQ(calls, 3);
}

// Address space for two or three more threads' stacks: the system refuses the next. (Under the address sanitizer there
// is no such limit.)
#ifndef RAILSEEP_SANITIZED
TEST(InParallel, GoesOnWithTheThreadsThatTheSystemGives) {
  const pid_t child = ::fork();
  if (child == 0) {
    long pages = 0;
    std::ifstream("/proc/self/statm") >> pages;
    rlimit stack{};
    ::getrlimit(RLIMIT_STACK, &stack);
    const rlim_t room = stack.rlim_cur == RLIM_INFINITY ? rlim_t{8} << 20 : stack.rlim_cur;
    const rlim_t most = static_cast<rlim_t>(pages) * static_cast<rlim_t>(::sysconf(_SC_PAGESIZE)) + 3 * room;
    const rlimit space{most, most};
    ::setrlimit(RLIMIT_AS, &space);
    bool refused = false;
    try {
      std::vector<std::jthread> threads;
      for (int i = 0; i < 20; ++i)
        threads.emplace_back([] { std::this_thread::sleep_for(std::chrono::milliseconds(50)); });
    } catch (const std::system_error&) {
      refused = true;
    }
    std::atomic<int> calls = 0;
    in_parallel(1000, 20, [&](std::size_t) { ++calls; });
    ::_exit(!refused ? 2 : calls == 1000 ? 0 : 1);
  }
  int status = 0;
  ASSERT_EQ(::waitpid(child, &status, 0), child);
  ASSERT_TRUE(WIFEXITED(status)) << "ended by signal " << WTERMSIG(status);
  EXPECT_NE(WEXITSTATUS(status), 2) << "the system gave 20 threads: this shows nothing";
  EXPECT_EQ(WEXITSTATUS(status), 0);
}
#endif

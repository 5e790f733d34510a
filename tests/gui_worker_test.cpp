// The seam between the frame and long work.
#include <gtest/gtest.h>

#include <atomic>
#include <thread>

#include "worker.hpp"

namespace railseep::gui {
namespace {

TEST(Worker, LatestWinsAndCancelledResultsAreDropped) {
  Worker worker(false);
  int delivered = 0;
  const auto task = [&](int number) {
    return [&delivered, number](const Worker::Cancelled&) -> Worker::Deliver {
      return [&delivered, number] { delivered = number; };
    };
  };
  worker.submit(task(1), {}), worker.submit(task(2), {});
  EXPECT_TRUE(worker.poll());
  EXPECT_EQ(delivered, 2);
  EXPECT_FALSE(worker.poll());
  worker.submit(task(3), {});
  worker.cancel();
  EXPECT_FALSE(worker.poll());
  EXPECT_EQ(delivered, 2);
}

TEST(Worker, ARunningTaskHearsOfItsCancelling) {
  Worker worker(true);
  std::atomic<bool> started = false, heard = false;
  worker.submit(
      [&](const Worker::Cancelled& cancelled) -> Worker::Deliver {
        started = true;
        while (!cancelled()) std::this_thread::yield();
        heard = true;
        return [] { FAIL() << "a cancelled task delivered"; };
      },
      {});
  while (!started) std::this_thread::yield();
  worker.cancel();
  while (worker.busy()) std::this_thread::yield();
  EXPECT_TRUE(heard);
  EXPECT_FALSE(worker.poll());
}

}  // namespace
}  // namespace railseep::gui

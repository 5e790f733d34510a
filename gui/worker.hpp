#pragma once

#include <atomic>
#include <condition_variable>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "quantity/error.hpp"

namespace railseep::gui {

/// The one seam between the frame and long work: the frame submits a task and polls; it never waits.
///
/// A task runs beside the frame and returns what is to be done with its result; poll() does that inside the frame, so
/// results touch the app's state from one thread alone. A newer task replaces the one that waits, and a newer result
/// one that was not fetched (the latest wins); the one that runs is finished and delivered, so that a slider in motion
/// shows curves on the way. Without threads poll() runs the waiting task itself.
class Worker {
 public:
  using Cancelled = std::function<bool()>;
  using Deliver = std::function<void()>;
  using Task = std::function<Deliver(const Cancelled&)>;
  using Failed = std::function<void(const Error&)>;

  explicit Worker(bool threaded);
  ~Worker();
  Worker(const Worker&) = delete;
  Worker& operator=(const Worker&) = delete;

  void submit(Task task, Failed failed);
  bool poll();    // delivers what is ready; true when something was
  void cancel();  // forgets the waiting task, tells the running one to stop and drops its result
  bool busy() const;

  /// Called from the worker when a result is ready, to wake a frame loop that sleeps.
  void on_ready(std::function<void()> wake);

 private:
  struct Order {
    Task task;
    Failed failed;
    std::shared_ptr<std::atomic<bool>> cancelled;
  };
  void run();
  static Deliver carry_out(const Order& order);

  mutable std::mutex mutex_;
  std::condition_variable news_;
  std::optional<Order> waiting_;
  std::shared_ptr<std::atomic<bool>> running_;  // of the order that runs
  Deliver ready_;
  std::function<void()> wake_;
  bool stop_ = false;
  std::thread thread_;
};

}  // namespace railseep::gui

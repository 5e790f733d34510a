#include "worker.hpp"

#include <exception>
#include <utility>

namespace railseep::gui {

Worker::Worker(bool threaded) {
  if (threaded) thread_ = std::thread([this] { run(); });
}

Worker::~Worker() {
  cancel();
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
  }
  news_.notify_all();
  if (thread_.joinable()) thread_.join();
}

void Worker::submit(Task task, Failed failed) {
  {
    const std::lock_guard lock(mutex_);
    waiting_ = Order{std::move(task), std::move(failed), std::make_shared<std::atomic<bool>>(false)};
  }
  news_.notify_all();
}

Worker::Deliver Worker::carry_out(const Order& order) {
  const auto say = [failed = order.failed](const Error& error) { return Deliver([failed, error] { failed(error); }); };
  try {
    return order.task([flag = order.cancelled] { return flag->load(); });
  } catch (const Error& error) {
    return say(error);
  } catch (const std::exception& error) {
    return say(Error("", error.what(), "free some memory or report this"));
  } catch (...) {
    return say(Error("", "something went wrong that has no name", "report this"));
  }
}

void Worker::run() {
  std::unique_lock lock(mutex_);
  while (true) {
    news_.wait(lock, [this] { return stop_ || waiting_; });
    if (stop_) return;
    const Order order = std::move(*waiting_);
    waiting_.reset();
    running_ = order.cancelled;
    lock.unlock();
    Deliver result = carry_out(order);
    lock.lock();
    running_.reset();
    // A result that the frame has not fetched yet is out of date now.
    if (!order.cancelled->load()) ready_ = std::move(result);
    if (wake_) wake_();
  }
}

bool Worker::poll() {
  Deliver deliver;
  {
    const std::lock_guard lock(mutex_);
    deliver = std::exchange(ready_, nullptr);
    if (!thread_.joinable() && !deliver && waiting_) {
      deliver = carry_out(*waiting_);
      waiting_.reset();
    }
  }
  if (deliver) deliver();
  return static_cast<bool>(deliver);
}

void Worker::cancel() {
  const std::lock_guard lock(mutex_);
  waiting_.reset();
  ready_ = nullptr;
  if (running_) running_->store(true);
}

bool Worker::busy() const {
  const std::lock_guard lock(mutex_);
  return waiting_ || running_ || ready_;
}

void Worker::on_ready(std::function<void()> wake) {
  const std::lock_guard lock(mutex_);
  wake_ = std::move(wake);
}

}  // namespace railseep::gui

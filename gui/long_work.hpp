#pragma once

#include <memory>
#include <optional>
#include <utility>

#include "progress.hpp"
#include "quantity/error.hpp"
#include "worker.hpp"

namespace railseep::gui {

/// Work beside the frame that takes seconds: how far it is, why it failed, and how it is stopped.
struct LongWork {
  std::shared_ptr<Progress> progress;  // of the one that runs
  std::optional<Error> trouble;

  bool running() const { return progress != nullptr; }

  /// Starts work; what ran before is given up.
  /// @param work(progress, cancelled) runs beside the frame and may throw Error or Stopped
  /// @param take(result) is called between two frames, unless the work was stopped or failed
  template <class Work, class Take>
  void begin(Worker& worker, Work work, Take take) {
    stop(worker);
    progress = std::make_shared<Progress>();
    trouble.reset();
    worker.submit(
        [this, work = std::move(work), take = std::move(take),
         told = progress](const Worker::Cancelled& cancelled) -> Worker::Deliver {
          try {
            return [this, take, result = work(*told, cancelled)] {
              progress = nullptr;  // what is taken may begin more work
              take(result);
            };
          } catch (const Stopped&) {
            return [] {};
          }
        },
        [this](const Error& error) { trouble = error, progress = nullptr; });
  }

  void stop(Worker& worker) {
    worker.cancel();
    progress = nullptr;
  }
};

}  // namespace railseep::gui

#include "progress.hpp"

#include <utility>

#include "look.hpp"
#include "widgets.hpp"

namespace railseep::gui {

void Progress::tell(std::size_t done_now, std::size_t all_now, std::string words_now,
                    const Worker::Cancelled& cancelled) {
  if (cancelled()) throw Stopped{};
  const std::lock_guard lock(guard);
  done = done_now, all = all_now, words = std::move(words_now);
}

bool draw_progress(Progress& progress, std::string_view id, std::string_view before_words) {
  std::size_t done, all;
  std::string words;
  {
    const std::lock_guard lock(progress.guard);
    done = progress.done, all = progress.all, words = progress.words;
  }
  const float share = all == 0 ? 0 : static_cast<float>(done) / static_cast<float>(all);
  ImGui::ProgressBar(share, {ImGui::GetContentRegionAvail().x - 6 * em(), 0},
                     all == 0 ? "starting" : (std::to_string(done) + " of " + std::to_string(all)).c_str());
  ImGui::SameLine();
  if (button("Stop##" + std::string(id), 5 * em())) return true;
  if (!words.empty()) one_line(std::string(before_words) + words, ImGui::GetContentRegionAvail().x);
  return false;
}

}  // namespace railseep::gui

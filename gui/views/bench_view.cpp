// The bench: the story of the job, the answer, and what to do now, side by side; in a narrow window one at a time.
#include <filesystem>

#include "bench_parts.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

constexpr float all_three = 60;  // from this width on they stand side by side [em]

bool is_there(const std::string& file) {
  std::error_code none;
  return std::filesystem::exists(file, none);
}

std::string folder_of(const std::string& file) {
  return end_of_path(std::filesystem::path(file).parent_path().string(), large_button_room());
}
std::string name_of(const std::string& file) { return std::filesystem::path(file).filename().string(); }

/// What one can begin with.
void draw_greeting(App& app) {
  ImGui::PushFont(large_font());
  say("What is on the bench?");
  ImGui::PopFont();
  const std::vector<std::string> recent = app.settings.recent_jobs;
  if (!recent.empty() && is_there(recent.front()) &&
      large_button("last job", "Go on with " + name_of(recent.front()), folder_of(recent.front()), 0))
    return open_job(app, recent.front());
  if (large_button("new job", "A new job", "Complaint, engine, then what is measured and seen", 0))
    return void(app.bench.greeting = false);
  if (large_button("open job", "Open a job ...", "From a file; logs and jobs can be dropped on this window as well", 0))
    ask_for_job(app);
  bool first = true;
  for (std::size_t i = 1; i < recent.size(); ++i) {
    if (!is_there(recent[i])) continue;
    if (first) heading("Jobs before");
    first = false;
    if (large_button("recent " + std::to_string(i), name_of(recent[i]), folder_of(recent[i]), 0))
      return open_job(app, recent[i]);
  }
}

void draw_right(App& app) { is_repaired(app.document.job) ? draw_proof(app) : draw_next(app); }

}  // namespace

void draw_bench_view(App& app) {
  if (app.bench.greeting) {
    begin_panel("greeting", {0, 0});
    draw_greeting(app);
    return ImGui::EndChild();
  }
  struct Part {
    const char* words;
    void (*draw)(App&);
  };
  const Part parts[] = {{"Story", draw_story},
                        {"Answer", draw_answer},
                        {is_repaired(app.document.job) ? "Proof" : "Do this now", draw_right}};
  const ImVec2 room = ImGui::GetContentRegionAvail();
  if (room.x < all_three * em()) {
    int& tab = app.bench.tab;
    std::vector<std::string> words;
    for (const Part& part : parts) words.emplace_back(part.words);
    choice("bench part", words, tab);
    begin_panel(parts[tab].words, {0, 0});
    parts[tab].draw(app);
    return ImGui::EndChild();
  }
  const float gap = 0.5f * em();
  for (const Part& part : parts) {
    const bool last = &part == &parts[2];
    begin_panel(part.words, {last ? 0 : (room.x - 2 * gap) / 3, 0});
    part.draw(app);
    ImGui::EndChild();
    if (!last) ImGui::SameLine(0, gap);
  }
}

}  // namespace railseep::gui

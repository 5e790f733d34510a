#include "file_browser.hpp"

#include <algorithm>

#include "look.hpp"
#include "widgets.hpp"

namespace railseep::gui {

namespace fs = std::filesystem;

std::vector<FileBrowser::Entry> list_folder(const fs::path& folder, const std::string& ending) {
  std::vector<FileBrowser::Entry> entries;
  std::error_code none;
  for (auto at = fs::directory_iterator(folder, fs::directory_options::skip_permission_denied, none); at != fs::directory_iterator(); at.increment(none)) {
    const std::string name = at->path().filename().string();
    if (name.starts_with(".")) continue;
    const bool is_folder = at->is_directory(none);
    if (is_folder || ending.empty() || at->path().extension() == ending) entries.push_back({name, is_folder});
  }
  std::sort(entries.begin(), entries.end(), [](const auto& a, const auto& b) { return a.folder != b.folder ? a.folder : a.name < b.name; });
  return entries;
}

void FileBrowser::open(std::string words, std::string file_ending, fs::path start, bool to_save, std::function<void(const std::string&)> then) {
  title = std::move(words), ending = std::move(file_ending), saving = to_save, done = std::move(then), wanted = true;
  std::error_code none;
  if (start.empty() || !fs::is_directory(start, none)) start = fs::current_path(none);
  enter(start);
}

void FileBrowser::enter(const fs::path& where) {
  std::error_code none;
  folder = fs::absolute(where, none).lexically_normal();
  entries = list_folder(folder, ending);
  trouble.clear();
  if (!saving) name.clear();
}

namespace {

void draw_entries(FileBrowser& browser, bool& chosen) {
  begin_panel("entries", {0, -2.4f * ImGui::GetFrameHeightWithSpacing()});
  std::string go;
  if (ImGui::Selectable("..  (folder above)", false, 0, {0, 1.3f * em()})) go = "..";
  note_widget("browser/..");
  for (const FileBrowser::Entry& entry : browser.entries) {
    const std::string words = entry.folder ? entry.name + "/" : entry.name;
    if (ImGui::Selectable(words.c_str(), entry.name == browser.name, ImGuiSelectableFlags_AllowDoubleClick, {0, 1.3f * em()})) {
      if (entry.folder) go = entry.name;
      else browser.name = entry.name, chosen |= ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left);
    }
    note_widget("browser/" + entry.name);
  }
  if (browser.entries.empty()) say_quietly(browser.ending.empty() ? "Nothing is here." : "No folders and no files ending in " + browser.ending + " are here.");
  ImGui::EndChild();
  if (!go.empty()) browser.enter(browser.folder / go);
}

void finish(FileBrowser& browser) {
  fs::path path = browser.folder / browser.name;
  if (browser.saving && path.extension() != browser.ending) path += browser.ending;
  if (!browser.saving && !fs::exists(path)) {
    browser.trouble = path.string() + " is not there.";
    return;
  }
  ImGui::CloseCurrentPopup();
  browser.done(path.string());
}

}  // namespace

void draw_file_browser(FileBrowser& browser) {
  if (browser.wanted) ImGui::OpenPopup("files"), browser.wanted = false;
  const ImVec2 screen = ImGui::GetIO().DisplaySize;
  ImGui::SetNextWindowSize({std::min(0.9f * screen.x, 44 * em()), std::min(0.9f * screen.y, 32 * em())});
  ImGui::SetNextWindowPos({screen.x / 2, screen.y / 2}, ImGuiCond_Always, {0.5f, 0.5f});
  if (!ImGui::BeginPopupModal("files", nullptr, ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove)) return;
  heading(browser.title);
  one_line(browser.folder.string(), ImGui::GetContentRegionAvail().x);
  bool chosen = false;
  draw_entries(browser, chosen);
  edit_text("##name", browser.name);
  const fs::path target = browser.folder / browser.name;
  const bool replaces = browser.saving && !browser.name.empty() && (fs::exists(target) || fs::exists(fs::path(target) += browser.ending));
  chosen |= button(browser.saving ? (replaces ? "Replace##file" : "Save here##file") : "Open##file", 0, !browser.name.empty());
  ImGui::SameLine();
  if (button("Cancel##file") || ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape))) ImGui::CloseCurrentPopup();
  if (!browser.trouble.empty()) ImGui::SameLine(), one_line(browser.trouble, ImGui::GetContentRegionAvail().x);
  if (chosen && !browser.name.empty()) finish(browser);
  ImGui::EndPopup();
}

}  // namespace railseep::gui

#include "file_browser.hpp"

#include <algorithm>
#include <cctype>
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <optional>
#include <utility>

#include "look.hpp"
#include "widgets.hpp"

namespace railseep::gui {

namespace fs = std::filesystem;

namespace {

/// Asked of the file system without an exception: a folder one may not enter holds nothing one could use.
bool is_there(const fs::path& path) {
  std::error_code none;
  return fs::exists(path, none);
}

std::string lower(std::string text) {
  for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return text;
}

std::string listed(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : " or ") + word;
  return text;
}

/// "2026-11-29 03:06, 12 kB"
std::string about_file(const fs::directory_entry& entry) {
  std::error_code none;
  const auto changed = entry.last_write_time(none);
  if (none) return "";
  const std::time_t time = std::chrono::system_clock::to_time_t(
      std::chrono::file_clock::to_sys(std::chrono::time_point_cast<std::chrono::file_clock::duration>(changed)));
  std::tm local{};
  localtime_r(&time, &local);
  char text[64];
  const std::size_t end = std::strftime(text, sizeof text, "%Y-%m-%d %H:%M", &local);
  const auto size = entry.file_size(none);
  if (none) return std::string(text, end);
  return std::string(text, end) + ", " +
         (size < 1000000 ? std::to_string(size / 1000 + 1) + " kB" : std::to_string(size / 1000000) + " MB");
}

}  // namespace

std::vector<fs::path> usual_places() {
  std::vector<fs::path> places;
  std::error_code none;
  if (const char* home = std::getenv("HOME"); home && fs::is_directory(home, none)) places.emplace_back(home);
  const char* user = std::getenv("USER");
  for (const fs::path& top : {fs::path("/media"), fs::path("/run/media")}) {
    const fs::path sticks = user ? top / user : top;
    for (auto at = fs::directory_iterator(sticks, none); at != fs::directory_iterator(); at.increment(none))
      if (at->is_directory(none)) places.push_back(at->path());
  }
  return places;
}

bool has_ending(const std::string& name, const std::vector<std::string>& endings) {
  return endings.empty() || std::ranges::any_of(endings, [name = lower(name)](const std::string& ending) {
           return name.ends_with(ending);
         });
}

std::vector<FileBrowser::Entry> list_folder(const fs::path& folder, const std::vector<std::string>& endings) {
  std::vector<FileBrowser::Entry> entries;
  std::error_code none;
  for (auto at = fs::directory_iterator(folder, fs::directory_options::skip_permission_denied, none);
       at != fs::directory_iterator(); at.increment(none)) {
    const std::string name = at->path().filename().string();
    if (name.starts_with(".")) continue;
    const bool is_folder = at->is_directory(none);
    if (is_folder || has_ending(name, endings)) entries.push_back({name, is_folder, is_folder ? "" : about_file(*at)});
  }
  std::sort(entries.begin(), entries.end(),
            [](const auto& a, const auto& b) { return a.folder != b.folder ? a.folder : a.name < b.name; });
  return entries;
}

void FileBrowser::open(std::string words, std::vector<std::string> file_endings, fs::path start, bool to_save,
                       std::function<void(const std::string&)> then) {
  title = std::move(words), endings = std::move(file_endings), saving = to_save, done = std::move(then), wanted = true;
  recent.clear(), new_folder.clear();
  places = usual_places();
  std::error_code none;
  if (start.empty() || !fs::is_directory(start, none)) start = fs::current_path(none);
  enter(start);
}

void FileBrowser::enter(const fs::path& where) {
  std::error_code none;
  folder = fs::absolute(where, none).lexically_normal();
  entries = list_folder(folder, endings);
  trouble.clear();
  fs::directory_iterator(folder, none);
  if (none) trouble = "This folder cannot be opened: " + none.message();
  if (!saving) name.clear();
}

namespace {

void draw_recent(FileBrowser& browser, bool& chosen) {
  if (!browser.recent.empty()) say_quietly("Used lately");
  for (const std::string& file : browser.recent) {
    if (!is_there(file)) continue;
    const bool pressed = ImGui::Selectable(
        (fs::path(file).filename().string() + "   " + fs::path(file).parent_path().string() + "##recent").c_str(),
        false, 0, {0, 1.3f * em()});
    note_widget("recent/" + file);
    if (pressed)
      browser.folder = fs::path(file).parent_path(), browser.name = fs::path(file).filename().string(), chosen = true;
  }
  if (!browser.recent.empty()) ImGui::Separator(), say_quietly("In this folder");
}

void draw_entries(FileBrowser& browser, bool& chosen) {
  begin_panel("entries", {0, -2.4f * ImGui::GetFrameHeightWithSpacing()});
  draw_recent(browser, chosen);
  std::string go;
  if (ImGui::Selectable("..  (folder above)", false, 0, {0, 1.3f * em()})) go = "..";
  note_widget("browser/..");
  for (const FileBrowser::Entry& entry : browser.entries) {
    const std::string words =
        entry.folder ? entry.name + "/" : entry.name + (entry.about.empty() ? "" : "     " + entry.about);
    if (ImGui::Selectable(words.c_str(), entry.name == browser.name, ImGuiSelectableFlags_AllowDoubleClick,
                          {0, 1.3f * em()})) {
      if (entry.folder)
        go = entry.name;
      else
        browser.name = entry.name, chosen |= ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left);
    }
    note_widget("browser/" + entry.name);
  }
  if (browser.entries.empty())
    say_quietly(browser.endings.empty()
                    ? "Nothing is here."
                    : "No folders and no files ending in " + listed(browser.endings) + " are here.");
  ImGui::EndChild();
  if (!go.empty()) browser.enter(browser.folder / go);
}

/// Home, sticks, and a new folder here.
void draw_places(FileBrowser& browser) {
  std::optional<fs::path> go;
  for (const fs::path& place : browser.places) {
    const bool home = place == browser.places.front();
    if (button((home ? std::string("Home") : place.filename().string()) + "##" + place.string())) go = place;
    ImGui::SameLine(0, 0.3f * em());
  }
  if (button("New folder##file")) ImGui::OpenPopup("new folder");
  if (ImGui::BeginPopup("new folder")) {
    say("Its name");
    if (ImGui::IsWindowAppearing()) ImGui::SetKeyboardFocusHere();
    ImGui::Dummy({14 * em(), 0});
    const bool done = edit_line("##new folder", browser.new_folder);
    if ((button("Make it##folder", 0, !browser.new_folder.empty()) || done) && !browser.new_folder.empty()) {
      std::error_code none;
      const fs::path made = browser.folder / browser.new_folder;
      fs::create_directory(made, none);
      if (none)
        browser.trouble = made.string() + " cannot be made: " + none.message();
      else
        go = made;
      browser.new_folder.clear();
      ImGui::CloseCurrentPopup();
    }
    ImGui::EndPopup();
  }
  if (go) browser.enter(*go);
}

/// Where it is saved, with the ending that such files have.
fs::path target_of(const FileBrowser& browser) {
  fs::path path = browser.folder / browser.name;
  if (browser.saving && !has_ending(browser.name, browser.endings)) path += browser.endings.front();
  return path;
}

void finish(FileBrowser& browser) {
  const fs::path path = target_of(browser);
  if (!browser.saving && !is_there(path)) {
    browser.trouble = path.string() + " is not there.";
    return;
  }
  ImGui::CloseCurrentPopup();
  browser.done(path.string());
}

}  // namespace

void draw_file_browser(FileBrowser& browser) {
  const bool opened = std::exchange(browser.wanted, false);
  if (opened) ImGui::OpenPopup("files");
  const ImVec2 screen = ImGui::GetIO().DisplaySize;
  ImGui::SetNextWindowSize({std::min(0.9f * screen.x, 44 * em()), std::min(0.9f * screen.y, 32 * em())});
  ImGui::SetNextWindowPos({screen.x / 2, screen.y / 2}, ImGuiCond_Always, {0.5f, 0.5f});
  browser.shown = ImGui::BeginPopupModal("files", nullptr, ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove);
  if (!browser.shown) return;
  heading(browser.title);
  one_line(browser.folder.string(), ImGui::GetContentRegionAvail().x);
  draw_places(browser);
  bool chosen = false;
  draw_entries(browser, chosen);
  if (opened && browser.saving) ImGui::SetKeyboardFocusHere();
  chosen |= edit_line("##name", browser.name);
  const bool replaces = browser.saving && !browser.name.empty() && is_there(target_of(browser));
  chosen |= button(browser.saving ? (replaces ? "Replace##file" : "Save here##file") : "Open##file", 0,
                   !browser.name.empty());
  ImGui::SameLine();
  if (button("Cancel##file") || ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape))) ImGui::CloseCurrentPopup();
  if (!browser.trouble.empty()) ImGui::SameLine(), one_line(browser.trouble, ImGui::GetContentRegionAvail().x);
  if (chosen && !browser.name.empty()) finish(browser);
  ImGui::EndPopup();
}

}  // namespace railseep::gui

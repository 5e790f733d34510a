#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace railseep::gui {

/// A file dialog of our own: the same on every system, and tests can use it.
struct FileBrowser {
  struct Entry {
    std::string name;
    bool folder;
  };
  bool wanted = false;  // to be opened in this frame
  bool saving = false;
  std::string title;
  std::string ending;   // ".json": others are not listed; empty: all
  std::filesystem::path folder;
  std::string name;     // chosen or typed
  std::vector<Entry> entries;
  std::string trouble;
  std::function<void(const std::string& path)> done;

  void open(std::string words, std::string file_ending, std::filesystem::path start, bool to_save, std::function<void(const std::string&)> then);
  void enter(const std::filesystem::path& where);
};

/// Folders first, then files with the ending, each by name. Unreadable folders are empty.
std::vector<FileBrowser::Entry> list_folder(const std::filesystem::path& folder, const std::string& ending);

void draw_file_browser(FileBrowser& browser);

}  // namespace railseep::gui

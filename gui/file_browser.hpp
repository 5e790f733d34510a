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
    bool folder = false;
    std::string about = {};  // of a file: when it was changed, and its size
  };
  bool wanted = false;  // to be opened in this frame
  bool shown = false;
  bool saving = false;
  std::string title;
  std::vector<std::string> endings;  // ".json": others are not listed; empty: all
  std::filesystem::path folder;
  std::string name;  // chosen or typed
  std::vector<Entry> entries;
  std::vector<std::string> recent;  // files used lately, offered above the folder
  std::vector<std::filesystem::path> places;
  std::string new_folder;  // name of one to be made, while it is typed
  std::string trouble;
  std::function<void(const std::string& path)> done;

  void open(std::string words, std::vector<std::string> file_endings, std::filesystem::path start, bool to_save,
            std::function<void(const std::string&)> then);
  void enter(const std::filesystem::path& where);
};

/// Tables saved as text.
inline const std::vector<std::string> log_endings{".csv", ".txt"};

/// Whether a name ends so, in capitals or not.
bool has_ending(const std::string& name, const std::vector<std::string>& endings);

/// Folders first, then files with one of the endings, each by name. Unreadable folders are empty.
std::vector<FileBrowser::Entry> list_folder(const std::filesystem::path& folder,
                                            const std::vector<std::string>& endings);

/// Folders to begin from: home, and what is plugged in.
std::vector<std::filesystem::path> usual_places();

void draw_file_browser(FileBrowser& browser);

}  // namespace railseep::gui

#include "quantity/whole_file.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <random>
#include <string_view>
#include <system_error>
#include <utility>

#include "quantity/error.hpp"
#include "quantity/fingerprint.hpp"

namespace railseep {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view prefix = ".railseep-", suffix = ".unfinished";
constexpr const char* room = "check that the folder exists, may be written and has room";

std::string reason() { return std::generic_category().message(errno); }

/// A path as a message shows it.
std::string shown(const std::string& path) { return path.size() > 300 ? path.substr(0, 60) + "..." : path; }

/// An open file that is closed when it goes out of sight.
class Open {
 public:
  Open(const std::string& path, int flags, mode_t mode = 0)
      : file_(::open(path.c_str(), flags | O_CLOEXEC | O_NOCTTY, mode)) {}
  Open(const Open&) = delete;
  Open& operator=(const Open&) = delete;
  ~Open() {
    if (file_ >= 0) ::close(file_);
  }

  explicit operator bool() const { return file_ >= 0; }
  int number() const { return file_; }
  bool stat(struct stat& facts) const { return ::fstat(file_, &facts) == 0; }
  bool close() { return ::close(std::exchange(file_, -1)) == 0; }

  bool write(std::string_view text) const {
    while (!text.empty()) {
      const ssize_t written = ::write(file_, text.data(), text.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) return false;
      text.remove_prefix(static_cast<std::size_t>(written));
    }
    return true;
  }

 private:
  int file_;
};

Error unwritable(const std::string& path) {
  return {shown(path), "the file cannot be written (" + reason() + ")", room};
}

Error too_long(const std::string& path, std::size_t most) {
  return {shown(path), "the file is longer than " + std::to_string(most >> 20) + " MB",
          "check that it is the right one; such files are much shorter"};
}

Error exists_already(const std::string& path) {
  return {shown(path), "the file exists already", "give another name, or say that it may be overwritten"};
}

/// Where a path leads through symbolic links, the last of which may lead to nothing yet.
std::string behind_links(std::string path) {
  for (int links = 0; links < 40; ++links) {
    std::error_code trouble;
    const fs::path next = fs::read_symlink(path, trouble);
    if (trouble) return path;
    path = (next.is_absolute() ? next : fs::path(path).parent_path() / next).string();
  }
  throw Error(shown(path), "symbolic links lead in a circle", "name a file");
}

bool is_own_name(std::string_view name) {
  if (name.size() != prefix.size() + 16 + suffix.size() || !name.starts_with(prefix) || !name.ends_with(suffix))
    return false;
  return name.substr(prefix.size(), 16).find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

/// Removes what writers that were killed have left in a folder. A living writer holds a lock on its file.
void remove_leftovers(const fs::path& folder) {
  std::error_code trouble;
  for (fs::directory_iterator entry(folder, trouble), end; !trouble && entry != end; entry.increment(trouble)) {
    if (!is_own_name(entry->path().filename().string())) continue;
    const Open file(entry->path().string(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK);
    struct stat facts;
    if (file && file.stat(facts) && S_ISREG(facts.st_mode) && ::flock(file.number(), LOCK_EX | LOCK_NB) == 0)
      ::unlink(entry->path().c_str());
  }
}

/// A new file of a random name in a folder, locked; it is removed again unless it is put in place.
class Unfinished {
 public:
  /// @param path what the user calls the file; @param old what it replaces, if anything
  Unfinished(const fs::path& folder, const std::string& path, const struct stat* old) : path_(path) {
    // Whoever cleans the folder up may see the file before it is locked, and remove it: then another one.
    struct stat facts;
    do {
      name_ = random_name(folder);
      file_.emplace(name_, O_WRONLY | O_CREAT | O_EXCL, old ? 0600 : 0666);
      if (!*file_) throw unwritable(path_);
      ::flock(file_->number(), LOCK_EX);
    } while (file_->stat(facts) && facts.st_nlink == 0);
    if (old) take_over(*old);
  }
  Unfinished(const Unfinished&) = delete;
  Unfinished& operator=(const Unfinished&) = delete;
  ~Unfinished() {
    if (!in_place_) ::unlink(name_.c_str());
  }

  void write(const std::string& text) const {
    if (!file_->write(text) || ::fsync(file_->number()) != 0) throw unwritable(path_);
  }

  void put_at(const std::string& target, bool overwrite) {
    const bool done = overwrite ? ::rename(name_.c_str(), target.c_str()) == 0 : rename_to_new(target);
    if (!done && errno == EEXIST) throw exists_already(path_);
    if (!done) throw Error(shown(path_), "the file cannot be put in place (" + reason() + ")", "check the folder");
    in_place_ = true;
    if (!file_->close()) throw unwritable(path_);
  }

 private:
  static std::string random_name(const fs::path& folder) {
    std::random_device dice;
    char hex[17];
    std::snprintf(hex, sizeof hex, "%08x%08x", dice(), dice());
    return (folder / (std::string(prefix) + hex + std::string(suffix))).string();
  }

  /// Owner and mode of the file that it replaces. Where another group gets it, that group may do what all may.
  void take_over(const struct stat& old) const {
    mode_t mode = old.st_mode & 0777;
    const uid_t same_owner = static_cast<uid_t>(-1);
    const bool same_group = ::fchown(file_->number(), old.st_uid, old.st_gid) == 0 ||
                            ::fchown(file_->number(), same_owner, old.st_gid) == 0;
    if (!same_group) mode = (mode & 0707) | ((mode & 07) << 3);
    if (::fchmod(file_->number(), mode) != 0) throw unwritable(path_);
  }

  /// Never in place of another file. Some file systems (network shares) cannot rename so; there the path was free a
  /// moment ago.
  bool rename_to_new(const std::string& target) const {
    if (::renameat2(AT_FDCWD, name_.c_str(), AT_FDCWD, target.c_str(), RENAME_NOREPLACE) == 0) return true;
    return errno == EINVAL && ::rename(name_.c_str(), target.c_str()) == 0;
  }

  const std::string& path_;
  std::string name_;
  std::optional<Open> file_;
  bool in_place_ = false;
};

void write_through(const std::string& path, const std::string& text) {
  Open file(path, O_WRONLY | O_NONBLOCK);
  if (!file && errno == ENXIO)
    throw Error(shown(path), "nobody reads from this pipe", "start the reader first, or name a file");
  if (!file || ::fcntl(file.number(), F_SETFL, 0) != 0 || !file.write(text) || !file.close()) throw unwritable(path);
}

bool is_own_output(const struct stat& facts) {
  return std::ranges::any_of(std::array{STDOUT_FILENO, STDERR_FILENO}, [&](int output) {
    struct stat own;
    return ::fstat(output, &own) == 0 && own.st_dev == facts.st_dev && own.st_ino == facts.st_ino;
  });
}

/// To its end, wherever that is by now. @param expected so long it is thought to be [bytes]
std::string read_to_end(int file, const std::string& path, std::size_t expected, std::size_t most) {
  std::string bytes(expected + 1, '\0');
  std::size_t got = 0;
  for (;;) {
    const ssize_t more = ::read(file, bytes.data() + got, bytes.size() - got);
    if (more < 0 && errno == EINTR) continue;
    if (more < 0) throw Error(shown(path), "the file cannot be read to its end (" + reason() + ")", "check the disk");
    if (more == 0) break;
    got += static_cast<std::size_t>(more);
    if (got > most) throw too_long(path, most);
    if (got == bytes.size()) bytes.resize(std::min(2 * bytes.size(), most) + 1);
  }
  bytes.resize(got);
  return bytes;
}

}  // namespace

std::string read_bytes(const std::string& path, std::size_t most) {
  if (path == "-") {
    static const std::string input = read_to_end(STDIN_FILENO, "standard input", 0, most_log_bytes);
    if (input.size() > most) throw too_long("standard input", most);
    return input;
  }
  const Open file(path, O_RDONLY | O_NONBLOCK);
  struct stat facts;
  if (!file || !file.stat(facts))
    throw Error(shown(path), "the file cannot be read (" + reason() + ")", "check the name and that you may read it");
  if (S_ISDIR(facts.st_mode)) throw Error(shown(path), "it is a folder", "name a file");
  if (!S_ISREG(facts.st_mode)) throw Error(shown(path), "it is a pipe or a device", "name a file");
  if (static_cast<std::size_t>(facts.st_size) > most) throw too_long(path, most);
  return read_to_end(file.number(), path, static_cast<std::size_t>(facts.st_size), most);
}

std::string read_text(const std::string& path) { return read_bytes(path, most_text_bytes); }

std::string file_fingerprint(const std::string& path) {
  struct stat facts;
  if (path != "-" && ::stat(path.c_str(), &facts) != 0 && errno == ENOENT) return "";
  return fingerprint(read_bytes(path, most_log_bytes));
}

void make_folder(const std::string& path) {
  std::error_code trouble;
  fs::create_directories(path, trouble);
  if (trouble)
    throw Error(shown(path), "the folder cannot be made (" + trouble.message() + ")",
                "check what stands there and that you may write there");
}

void write_text(const std::string& path, const std::string& text, bool overwrite,
                const std::optional<std::string>& known) {
  struct stat old;
  const bool exists = ::stat(path.c_str(), &old) == 0;
  if (exists && (S_ISFIFO(old.st_mode) || S_ISCHR(old.st_mode))) return write_through(path, text);
  if (exists && S_ISDIR(old.st_mode)) throw Error(shown(path), "it is a folder", "name a file");
  if (exists && !S_ISREG(old.st_mode)) throw Error(shown(path), "it is a disk or a socket", "name a file");
  if (exists && is_own_output(old))
    throw Error(shown(path), "it is where the program's own output goes", "name another file");

  struct stat there;
  if (!overwrite && ::lstat(path.c_str(), &there) == 0) throw exists_already(path);
  const std::string target = behind_links(path);
  const fs::path folder = fs::path(target).has_parent_path() ? fs::path(target).parent_path() : fs::path(".");
  remove_leftovers(folder);
  Unfinished file(folder, path, exists ? &old : nullptr);
  file.write(text);
  if (known && file_fingerprint(path) != *known)
    throw Error(shown(path), "the file was changed by another program since it was read",
                "read it again, or write to another name");
  file.put_at(target, overwrite);
  // The new name is on the disk too. Not every file system can do this for a folder; the file is whole in any case.
  if (const Open place(folder.string(), O_RDONLY | O_DIRECTORY); place) ::fsync(place.number());
}

}  // namespace railseep

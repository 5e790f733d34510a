#pragma once

#include <cstddef>
#include <optional>
#include <string>

namespace railseep {

// Longest files that are read [bytes]. Of JSON files, jobs are the longest: one of a thousand entries has 1 MB.
inline constexpr std::size_t most_text_bytes = 64 << 20;
inline constexpr std::size_t most_log_bytes = 1 << 30;

/// All bytes of a regular file, or of standard input ("-", read once). A pipe or a device may never end: it is refused.
/// @throws Error when it is none, cannot be read or is longer than that [bytes]
std::string read_bytes(const std::string& path, std::size_t most);

/// Whole text of a file of up to most_text_bytes.
std::string read_text(const std::string& path);

/// fingerprint() of what a file of any length up to most_log_bytes holds now; empty when there is no such file. @throws
/// Error when it cannot be read
std::string file_fingerprint(const std::string& path);

/// A folder, with those that it lies in; it may be there already. @throws Error
void make_folder(const std::string& path);

/// Writes a file whole: at any time, and after a power cut, the path holds the old text or the new one.
///
/// The text goes to a new file of a random name beside it, is on the disk before it takes the old one's place, and
/// leaves nothing behind when that fails. What a killed process leaves in a folder (.railseep-*.unfinished) the next
/// write to that folder removes. The old file's mode is kept, its owner where that is allowed; through a symbolic link
/// its target is written. Other hard links keep the old text. A pipe or a character device is written to as it stands.
/// A folder, a disk, and the file that the program's own output goes to are refused.
/// @param overwrite false: an existing file is an Error
/// @param known     file_fingerprint() of the file when it was read: one that holds something else by now is an Error
void write_text(const std::string& path, const std::string& text, bool overwrite,
                const std::optional<std::string>& known = std::nullopt);

}  // namespace railseep

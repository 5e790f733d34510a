#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

// A page of ours in a real browser: what it looks like in windows of several widths. There need be no browser: then
// the tests that ask for one are skipped.

namespace railseep {

/// A browser without a window of its own, on the PATH; empty: there is none.
inline std::string browser() {
  const char* path = std::getenv("PATH");
  std::istringstream folders(path ? path : "");
  for (std::string folder; std::getline(folders, folder, ':');)
    for (const char* name : {"chromium", "chromium-browser", "google-chrome"})
      if (std::error_code none; std::filesystem::exists(std::filesystem::path(folder) / name, none)) return name;
  return "";
}

/// What of a page is to be seen in a window.
struct SeenPage {
  double room = 0, needed = 0;  // widths [CSS pixels]
  int headings = 0, curves = 0;
};

/// Opens the page in frames of these widths, side by side in one start of the browser, and measures it there. A curve
/// counts that takes a tenth of the width.
inline std::vector<SeenPage> in_browser(const std::string& page, const std::vector<int>& widths,
                                        const std::filesystem::path& folder) {
  std::string quoted;
  for (const char c : page) quoted += c == '&' ? "&amp;" : c == '"' ? "&quot;" : std::string(1, c);
  std::ofstream frames(folder / "frames.html");
  frames << "<!DOCTYPE html><meta charset=\"utf-8\"><body>\n";
  for (const int width : widths)
    frames << "<iframe width=\"" << width << "\" height=\"900\" srcdoc=\"" << quoted << "\"></iframe>\n";
  frames << R"(<pre></pre><script>
addEventListener("load", () => {
  for (const frame of document.querySelectorAll("iframe")) {
    const page = frame.contentDocument, room = page.documentElement.clientWidth;
    const seen = (what, least) => [...page.querySelectorAll(what)].filter(part => {
      const box = part.getBoundingClientRect();
      return box.width > least && box.height > 0;
    }).length;
    document.querySelector("pre").textContent += ["SEEN", room, page.documentElement.scrollWidth, seen("h1,h2,h3", 0),
                                                  seen("svg polyline,svg path", 0.1 * room)].join(" ") + "\n";
  }
});
</script></body>)";
  frames.close();
  const std::string command = "timeout 120 " + browser() + " --headless --no-sandbox --disable-gpu --user-data-dir='" +
                              (folder / "browser").string() + "' --dump-dom 'file://" +
                              (folder / "frames.html").string() + "' 2>/dev/null";
  std::vector<SeenPage> all;
  FILE* pipe = popen(command.c_str(), "r");
  if (!pipe) return all;
  std::string text;
  char part[4096];
  for (std::size_t read; (read = fread(part, 1, sizeof part, pipe)) > 0;) text.append(part, read);
  pclose(pipe);
  std::istringstream lines(text.substr(std::min(text.find("SEEN "), text.size())));
  for (std::string word; lines >> word && word == "SEEN";) {
    SeenPage seen;
    lines >> seen.room >> seen.needed >> seen.headings >> seen.curves;
    all.push_back(seen);
  }
  return all;
}

/// On a telephone, a tablet and a desk nothing sticks out sideways, and all headings and so many curves are there.
inline void expect_fits_every_screen(const std::string& page, int curves, const std::filesystem::path& folder) {
  int headings = 0;
  for (const char* tag : {"<h1", "<h2", "<h3"})
    for (std::size_t at = 0; (at = page.find(tag, at)) != std::string::npos; ++at) ++headings;
  const std::vector<int> widths{390, 768, 1280};
  const std::vector<SeenPage> seen = in_browser(page, widths, folder);
  ASSERT_EQ(seen.size(), widths.size()) << "the browser measured nothing";
  for (std::size_t i = 0; i < widths.size(); ++i) {
    EXPECT_GT(seen[i].room, widths[i] - 30) << "but for a scroll bar the frame is as wide as was asked";
    EXPECT_LE(seen[i].needed, seen[i].room) << "at " << widths[i];
    EXPECT_EQ(seen[i].headings, headings) << "at " << widths[i];
    EXPECT_GE(seen[i].curves, curves) << "at " << widths[i];
  }
}

}  // namespace railseep

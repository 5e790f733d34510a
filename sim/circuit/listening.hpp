#pragma once

#include <string>
#include <vector>

namespace railseep {

/// Where one puts an ear during the shop-air test: fill opening, a valve cover, the valley, the breather.
struct ListeningPoint {
  std::string name;
  double room_noise = 50;  // there, A-weighted, in a quiet shop [dB re 20 uPa]
  std::string source;
};

/// How the sound of leaks gets to a listening point.
struct SoundPath {
  std::string from;  // a site, a link, or a group under "access": all that must be opened with it. A single name comes
                     // before a group
  std::string to;    // a listening point
  double loss = 0;   // through walls and covers, up to 500 Hz [dB]
  double muffling = 0;    // more of it for each octave above 500 Hz [dB]
  double distance = 0.3;  // [m]
  std::string source;
};

/// What of a circuit hearing needs. Where no path leads, nothing is heard.
struct Listening {
  std::vector<ListeningPoint> points;
  std::vector<SoundPath> paths;

  /// The path of a site or link to a point: its own before that of its access group; null where none leads.
  const SoundPath* find_path(const std::string& place, const std::string& access, const std::string& point) const {
    const SoundPath* by_group = nullptr;
    for (const SoundPath& path : paths) {
      if (path.to != point) continue;
      if (path.from == place) return &path;
      if (!access.empty() && path.from == access) by_group = &path;
    }
    return by_group;
  }
};

}  // namespace railseep

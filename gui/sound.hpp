#pragma once

#include <memory>
#include <vector>

namespace railseep::gui {

/// The loudspeaker: one sound at a time, round and round until it is stopped. Where there is no sound device every call
/// is allowed and nothing is heard.
class Sound {
 public:
  Sound();
  ~Sound();
  Sound(const Sound&) = delete;
  Sound& operator=(const Sound&) = delete;

  /// Looks for a device; may take a while, so it is for a worker. Afterwards, and not before, the other calls do
  /// something.
  void open();
  bool opened() const;  // looked for
  bool there() const;   // found

  /// @param samples 1 at full scale. @param rate [1/s]
  void play(const std::vector<float>& samples, double rate);
  void stop();
  bool playing() const;
  void set_volume(double share);  // 0 to 1

 private:
  struct Device;
  std::unique_ptr<Device> device_;
};

}  // namespace railseep::gui

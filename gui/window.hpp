#pragma once

#include <imgui.h>

#include <deque>
#include <filesystem>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "app.hpp"

struct GLFWwindow;

namespace railseep::gui {

/// The platform loop's window: GLFW and OpenGL 3.3, and nothing else. Everything that is shown is in frame().
class Window {
 public:
  /// @throws Error without a display, or without OpenGL 3.3
  Window(App& app, int width, int height);
  ~Window();
  Window(const Window&) = delete;
  Window& operator=(const Window&) = delete;

  bool open() const;
  void wait();  // for the next event, or until something moves again: nothing is drawn while nothing happens
  void step();  // one frame; while the curve of a moved slider is about to come it is not drawn yet, so that the two
                // come on screen together
  void resize(int width, int height);

  /// The graphics device was lost: a new window with everything on it anew; the app's state does not lie on the device.
  /// step() does it by itself. A driver that is still coming back is waited for.
  /// @throws Error when that cannot be done
  void create_again();

  /// Asks another than the driver whether the device was lost: 0, or a reset status of OpenGL (ARB_robustness). For
  /// tests, since no driver at hand loses one.
  void ask_instead_of_driver(std::function<unsigned()> status) { reset_status_instead_ = std::move(status); }

  /// The pixels of the last frame, row by row from the top, red, green and blue. @param area left, top, right, bottom
  struct Pixels {
    int width = 0, height = 0;
    std::vector<unsigned char> rgb;
  };
  Pixels pixels(ImVec4 area) const;
  Pixels pixels() const;

  GLFWwindow* handle() const { return window_; }

  /// A key or a letter as it came. A press and its release may come between two frames; each is felt in a frame of its
  /// own.
  struct Typed {
    int key = 0, scancode = 0, action = 0, mods = 0;
    unsigned letter = 0;  // 0: a key
  };
  void take(const Typed& typed) { typed_.push_back(typed); }
  App& app() { return app_; }

  /// What the last step took [s], for those who measure.
  struct Times {
    double frame = 0;    // the frame function, with ImGui's own work
    double drawing = 0;  // the graphics driver's part; 0: it was not drawn
  };
  Times times() const { return times_; }

 private:
  void set_up(int width, int height);
  void tear_down();
  bool device_lost() const;
  void follow_looks();
  void follow_full_screen();
  void feed_typed();
  void sleep_for(double seconds);
  bool curve_comes_soon(bool came);
  void draw();

  App& app_;
  GLFWwindow* window_ = nullptr;
  double began_ = 0;  // the last frame [s]
  float font_size_ = 0;
  bool dark_ = false;
  bool full_screen_ = false;
  struct {
    int x = 0, y = 0, width = 1280, height = 720;
  } before_;               // the window before it filled the screen
  bool software_ = false;  // the processor does the drawing
  std::function<unsigned()> reset_status_instead_;
  unsigned (*reset_status_)() = nullptr;  // asks whether the device was lost, where the driver can tell
  double held_since_ = 0;                 // a frame is not drawn yet, for its curve comes soon; 0: none [s]
  Times times_;
  std::deque<Typed> typed_;  // not felt yet
  int awake_ = 3;            // frames to draw after something happened: widgets settle in two
};

/// @throws Error when it cannot be written
void write_png(const std::filesystem::path& file, const Window::Pixels& pixels);

}  // namespace railseep::gui

#include "window.hpp"

#include <GLFW/glfw3.h>
#include <backends/imgui_impl_glfw.h>
#include <backends/imgui_impl_opengl3.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstring>
#include <thread>
#include <utility>

#include "data_files.hpp"
#include "frame.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

/// So long a frame is kept back for the curve of a slider that was moved [s]: a crank takes half of it, and a screen
/// shows 60 pictures a second.
constexpr double patience = 0.012;
constexpr double longest_sleep = 1e6;  // [s]: beyond it nothing is waited for but events

Window& window_of(GLFWwindow* window) { return *static_cast<Window*>(glfwGetWindowUserPointer(window)); }

std::optional<Go> arrow(int key) {
  switch (key) {
    case GLFW_KEY_LEFT:
      return Go::left;
    case GLFW_KEY_RIGHT:
      return Go::right;
    case GLFW_KEY_UP:
      return Go::up;
    case GLFW_KEY_DOWN:
      return Go::down;
    default:
      return std::nullopt;
  }
}

/// Arrows with Shift move pictures, with Ctrl they move the line that reads values; without they lead through the
/// controls.
/// @return whether the press is all ours: ImGui would go to another control as well
bool on_arrow(std::vector<KeyPress>& keys, Go way, int mods) {
  using What = KeyPress::What;
  const bool sideways = way == Go::left || way == Go::right;
  if ((mods & (GLFW_MOD_SHIFT | GLFW_MOD_CONTROL)) == 0)
    keys.push_back({What::go, static_cast<int>(way)});
  else if (keys_are_taken())
    return false;  // marking text, tweaking a slider
  else if (mods & GLFW_MOD_SHIFT)
    keys.push_back({What::move, static_cast<int>(way)});
  else if (sideways)
    keys.push_back({What::read, way == Go::right ? 1 : -1});
  return (mods & (GLFW_MOD_SHIFT | GLFW_MOD_CONTROL)) != 0;
}

/// Keys without Ctrl: they lead through the controls, and through the drawing.
void on_plain_key(std::vector<KeyPress>& keys, int key, int mods) {
  using What = KeyPress::What;
  const auto go = [&](Go where) { keys.push_back({What::go, static_cast<int>(where)}); };
  switch (key) {
    case GLFW_KEY_TAB:
      return go(mods & GLFW_MOD_SHIFT ? Go::previous : Go::next);
    case GLFW_KEY_PAGE_DOWN:
      return keys.push_back({What::place, 1});
    case GLFW_KEY_PAGE_UP:
      return keys.push_back({What::place, -1});
    case GLFW_KEY_EQUAL:
    case GLFW_KEY_KP_ADD:
      return keys.push_back({What::zoom, 1});
    case GLFW_KEY_MINUS:
    case GLFW_KEY_KP_SUBTRACT:
      return keys.push_back({What::zoom, -1});
    case GLFW_KEY_HOME:
      return keys.push_back({What::whole});
    default:
      return;
  }
}

void feel_key(GLFWwindow* window, int key, int scancode, int action, int mods) {
  std::vector<KeyPress>& keys = window_of(window).app().keys;
  const std::optional<Go> way = arrow(key);
  if (way && action != GLFW_RELEASE && on_arrow(keys, *way, mods)) return;
  ImGui_ImplGlfw_KeyCallback(window, key, scancode, action, mods);
  if (way || action == GLFW_RELEASE) return;
  using What = KeyPress::What;
  const bool control = mods & GLFW_MOD_CONTROL;
  if (key == GLFW_KEY_F11)
    keys.push_back({What::full_screen});
  else if (key >= GLFW_KEY_F1 && key <= GLFW_KEY_F12)
    keys.push_back({What::view, key - GLFW_KEY_F1});
  else if (control && key == GLFW_KEY_S)
    keys.push_back({What::save});
  else if (control && key == GLFW_KEY_O)
    keys.push_back({What::open});
  else if (control && key == GLFW_KEY_N)
    keys.push_back({What::begin});
  else if (control && key == GLFW_KEY_Z)
    keys.push_back({mods & GLFW_MOD_SHIFT ? What::redo : What::undo});
  else if (control && key == GLFW_KEY_Y)
    keys.push_back({What::redo});
  else if (control && (key == GLFW_KEY_EQUAL || key == GLFW_KEY_KP_ADD))
    keys.push_back({What::larger});
  else if (control && (key == GLFW_KEY_MINUS || key == GLFW_KEY_KP_SUBTRACT))
    keys.push_back({What::smaller});
  else if (control && key == GLFW_KEY_0)
    keys.push_back({What::usual_size});
  else if (control && key == GLFW_KEY_SPACE)
    keys.push_back({What::play});
  else if (!control)
    on_plain_key(keys, key, mods);
}

void on_key(GLFWwindow* window, int key, int scancode, int action, int mods) {
  window_of(window).take({key, scancode, action, mods, 0});
}

void on_letter(GLFWwindow* window, unsigned letter) { window_of(window).take({0, 0, 0, 0, letter}); }

void on_drop(GLFWwindow* window, int count, const char** files) {
  for (int i = 0; i < count; ++i) window_of(window).app().dropped.emplace_back(files[i]);
}

GLFWwindow* try_to_create(int width, int height, int robustness) {
  glfwDefaultWindowHints();
  glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, 3), glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, 3);
  glfwWindowHint(GLFW_OPENGL_PROFILE, GLFW_OPENGL_CORE_PROFILE), glfwWindowHint(GLFW_OPENGL_FORWARD_COMPAT, GLFW_TRUE);
  glfwWindowHint(GLFW_CONTEXT_ROBUSTNESS, robustness);
  glfwWindowHint(GLFW_AUTO_ICONIFY, GLFW_FALSE);  // the class goes on looking while its trainer uses another screen
  return glfwCreateWindow(width, height, "railseep", nullptr, nullptr);
}

/// A driver that tells when the device was lost is wanted, any other will do.
GLFWwindow* create(int width, int height) {
  if (!glfwInit())
    throw Error("display", "there is none to open a window on", "start it on a desktop, or use the program railseep");
  for (const int robustness : {GLFW_LOSE_CONTEXT_ON_RESET, GLFW_NO_ROBUSTNESS})
    if (GLFWwindow* window = try_to_create(width, height, robustness)) return window;
  glfwTerminate();
  throw Error("graphics driver", "it offers no OpenGL 3.3",
              "install a newer one or Mesa's software one (libgl1-mesa-dri), or use the program railseep");
}

/// The screen that the middle of the window is on; else the first one. May be null.
GLFWmonitor* screen_of(GLFWwindow* window) {
  int x = 0, y = 0, width = 0, height = 0, count = 0;
  glfwGetWindowPos(window, &x, &y), glfwGetWindowSize(window, &width, &height);
  GLFWmonitor** screens = glfwGetMonitors(&count);
  for (int i = 0; i < count; ++i) {
    int left = 0, top = 0;
    glfwGetMonitorPos(screens[i], &left, &top);
    const GLFWvidmode& mode = *glfwGetVideoMode(screens[i]);
    const int to_right = x + width / 2 - left, down = y + height / 2 - top;
    if (to_right >= 0 && to_right < mode.width && down >= 0 && down < mode.height) return screens[i];
  }
  return glfwGetPrimaryMonitor();
}

bool draws_by_software() {
  const auto* name = reinterpret_cast<const char*>(glGetString(GL_RENDERER));
  return name && (std::strstr(name, "llvmpipe") || std::strstr(name, "softpipe") || std::strstr(name, "Software"));
}

}  // namespace

Window::Window(App& app, int width, int height) : app_(app) { set_up(width, height); }

Window::~Window() {
  tear_down();
  glfwTerminate();
}

void Window::set_up(int width, int height) {
  window_ = create(width, height);
  glfwMakeContextCurrent(window_);
  glfwSwapInterval(1);
  software_ = draws_by_software();
  reset_status_ = nullptr;
  if (glfwGetWindowAttrib(window_, GLFW_CONTEXT_ROBUSTNESS) != GLFW_NO_ROBUSTNESS)
    for (const char* name : {"glGetGraphicsResetStatus", "glGetGraphicsResetStatusARB"})
      if (!reset_status_) reset_status_ = reinterpret_cast<unsigned (*)()>(glfwGetProcAddress(name));
  glfwSetWindowUserPointer(window_, this);
  glfwSetWindowSizeLimits(window_, 320, 240, GLFW_DONT_CARE, GLFW_DONT_CARE);
  ImGui::CreateContext();
  ImGuiIO& io = ImGui::GetIO();
  io.IniFilename = nullptr;
  io.ConfigInputTextCursorBlink = false;  // a blinking cursor draws a frame twice a second for ever
  io.UserData = &app_.stage;
  io.ConfigFlags |= ImGuiConfigFlags_NavEnableKeyboard;
  ImGui_ImplGlfw_InitForOpenGL(window_, true);
  ImGui_ImplOpenGL3_Init("#version 330 core");
  io.KeyMap[ImGuiKey_Tab] = -1;  // ours goes to every control, not to text fields alone
  glfwSetKeyCallback(window_, on_key);
  glfwSetCharCallback(window_, on_letter);
  glfwSetDropCallback(window_, on_drop);
  for (Worker* worker : app_.workers()) worker->on_ready(glfwPostEmptyEvent);
  font_size_ = 0, full_screen_ = false;
}

void Window::tear_down() {
  for (Worker* worker : app_.workers()) worker->on_ready(nullptr);
  if (!window_) return;
  ImGui_ImplOpenGL3_Shutdown();
  ImGui_ImplGlfw_Shutdown();
  ImGui::DestroyContext();
  glfwDestroyWindow(window_);
  window_ = nullptr;
}

bool Window::device_lost() const {
  if (reset_status_instead_) return reset_status_instead_() != GL_NO_ERROR;
  return reset_status_ && reset_status_() != GL_NO_ERROR;
}

void Window::create_again() {
  int width = 0, height = 0;
  glfwGetWindowSize(window_, &width, &height);
  tear_down();
  // A driver that resets its device offers nothing for a while.
  for (int tries = 10;; --tries) {
    try {
      return set_up(std::max(width, 320), std::max(height, 240));
    } catch (const Error&) {
      if (tries == 0) throw;
      std::this_thread::sleep_for(std::chrono::milliseconds(300));
    }
  }
}

bool Window::open() const { return !app_.quit; }

void Window::wait() {
  if (const double rest = held_since_ + patience - glfwGetTime(); held_since_ > 0 && rest > 0)
    return glfwWaitEventsTimeout(rest);
  // The frame's own time counts: where swapping waits for the screen, another wait would lose every second picture.
  // What only moves for the eye leaves the processor to the curves where it draws the pictures too; a press, a drag or
  // a new curve wakes this at once.
  const double rest = began_ + (software_ ? 1.0 / 15 : 1.0 / 60) - glfwGetTime();
  if (app_.stage.moving)
    awake_ = 3, rest > 1e-3 ? glfwWaitEventsTimeout(rest) : glfwPollEvents();
  else if (awake_ > 0 || !typed_.empty())
    glfwPollEvents(), --awake_;
  else if (app_.stage.wake < longest_sleep)
    sleep_for(std::max(app_.stage.wake, 1e-3));
  else
    glfwWaitEvents(), awake_ = 3;
}

/// What was to come of itself after this time takes one frame; an event before it more.
void Window::sleep_for(double seconds) {
  const double end = glfwGetTime() + seconds;
  glfwWaitEventsTimeout(seconds);
  awake_ = glfwGetTime() < end ? 3 : 0;
}

namespace {

/// Keys that only make letters: for these the letter tells all.
bool only_types(const Window::Typed& typed) {
  if (typed.mods & (GLFW_MOD_CONTROL | GLFW_MOD_ALT | GLFW_MOD_SUPER)) return false;
  if (typed.key == GLFW_KEY_LEFT_SHIFT || typed.key == GLFW_KEY_RIGHT_SHIFT) return true;
  return typed.key >= GLFW_KEY_SPACE && typed.key <= GLFW_KEY_WORLD_2 &&
         (typed.key != GLFW_KEY_SPACE || ImGui::GetIO().WantTextInput);
}

}  // namespace

/// ImGui sees only how keys stand when a frame begins, and takes letters before keys: a key pressed in this frame is
/// released in a later one, and so comes a letter after it or a key after a letter. What only types comes all at once.
void Window::feed_typed() {
  std::vector<int> pressed;
  for (bool letters = false; !typed_.empty(); typed_.pop_front()) {
    const Typed next = typed_.front();
    const bool again = std::ranges::find(pressed, next.key) != pressed.end(), types = only_types(next);
    if (next.letter != 0) {
      if (!pressed.empty()) return;
      ImGui_ImplGlfw_CharCallback(window_, next.letter), letters = true;
      continue;
    }
    if (again || (letters && !types && next.action != GLFW_RELEASE)) return;
    feel_key(window_, next.key, next.scancode, next.action, next.mods);
    if (!types && next.action != GLFW_RELEASE) pressed.push_back(next.key);
  }
}

/// A new size of text or new colours: between two frames, never within one.
void Window::follow_looks() {
  int width = 0, height = 0;
  float scale = 1;
  glfwGetWindowSize(window_, &width, &height);
  glfwGetWindowContentScale(window_, &scale, nullptr);
  const float size =
      font_size_for(app_.settings, {static_cast<float>(width), static_cast<float>(height)}, scale, is_for_class(app_));
  if (size != font_size_) {
    const bool had = app_.font_found;
    app_.font_found = load_fonts(*ImGui::GetIO().Fonts, size);
    if (had && !app_.font_found && !app_.message)
      app_.message = Message{"fonts", "No font file was found, so a plain one is used that lacks some signs",
                             "Install one (Debian: fonts-dejavu-core), or name one in RAILSEEP_FONT"};
    ImGui_ImplOpenGL3_DestroyFontsTexture();
    ImGui_ImplOpenGL3_CreateFontsTexture();
  }
  if (size != font_size_ || app_.settings.dark != dark_) apply_look(app_.settings, size);
  font_size_ = size, dark_ = app_.settings.dark;
}

void Window::follow_full_screen() {
  if (app_.full_screen == full_screen_) return;
  full_screen_ = app_.full_screen;
  if (!full_screen_)
    return glfwSetWindowMonitor(window_, nullptr, before_.x, before_.y, before_.width, before_.height, GLFW_DONT_CARE);
  GLFWmonitor* screen = screen_of(window_);
  if (!screen) return;
  glfwGetWindowPos(window_, &before_.x, &before_.y), glfwGetWindowSize(window_, &before_.width, &before_.height);
  const GLFWvidmode& mode = *glfwGetVideoMode(screen);
  glfwSetWindowMonitor(window_, screen, 0, 0, mode.width, mode.height, mode.refreshRate);
}

bool Window::curve_comes_soon(bool came) {
  const double now = glfwGetTime();
  const bool hold = !came && app_.live.busy() && (held_since_ == 0 || now < held_since_ + patience);
  held_since_ = !hold ? 0 : held_since_ == 0 ? now : held_since_;
  return hold;
}

void Window::step() {
  began_ = glfwGetTime();
  follow_full_screen();
  follow_looks();
  feed_typed();
  ImGui_ImplOpenGL3_NewFrame();
  ImGui_ImplGlfw_NewFrame();
  ImGui::NewFrame();
  const std::shared_ptr<const Curve> before = app_.what_if.now;
  frame(app_);
  ImGui::Render();
  times_ = {glfwGetTime() - began_, 0};
  if (!curve_comes_soon(app_.what_if.now != before)) draw();
  if (glfwWindowShouldClose(window_)) app_.leaving = true, glfwSetWindowShouldClose(window_, GLFW_FALSE);
}

void Window::draw() {
  const double began = glfwGetTime();
  int width = 0, height = 0;
  glfwGetFramebufferSize(window_, &width, &height);
  glViewport(0, 0, width, height);
  const ImVec4 ground = ImGui::ColorConvertU32ToFloat4(palette().ground);
  glClearColor(ground.x, ground.y, ground.z, 1), glClear(GL_COLOR_BUFFER_BIT);  // what all else is drawn on
  ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
  if (app_.stage.wanted_picture) {
    const Stage::WantedPicture wanted = *std::exchange(app_.stage.wanted_picture, std::nullopt);
    attempt(app_, [&] { write_png(free_name(picture_folder() / (wanted.name + ".png")), pixels(wanted.area)); });
  }
  glfwSwapBuffers(window_);
  times_.drawing = glfwGetTime() - began;
  if (device_lost()) create_again();
}

void Window::resize(int width, int height) { glfwSetWindowSize(window_, width, height); }

Window::Pixels Window::pixels(ImVec4 area) const {
  int width = 0, height = 0, window_width = 1;
  glfwGetFramebufferSize(window_, &width, &height);
  glfwGetWindowSize(window_, &window_width, nullptr);
  const float scale = static_cast<float>(width) / static_cast<float>(std::max(1, window_width));
  const auto inside = [&](float v, int most) { return std::clamp(static_cast<int>(std::lround(v * scale)), 0, most); };
  const int left = inside(area.x, width), top = inside(area.y, height), right = inside(area.z, width),
            bottom = inside(area.w, height);
  Pixels pixels{right - left, bottom - top, {}};
  pixels.rgb.resize(3 * static_cast<std::size_t>(pixels.width) * pixels.height);
  std::vector<unsigned char> upside_down(pixels.rgb.size());
  glPixelStorei(GL_PACK_ALIGNMENT, 1);
  glReadPixels(left, height - bottom, pixels.width, pixels.height, GL_RGB, GL_UNSIGNED_BYTE, upside_down.data());
  const std::size_t row = 3 * static_cast<std::size_t>(pixels.width);
  for (int y = 0; y < pixels.height; ++y)
    std::copy_n(upside_down.begin() + row * (pixels.height - 1 - y), row, pixels.rgb.begin() + row * y);
  return pixels;
}

Window::Pixels Window::pixels() const { return pixels({0, 0, 1e6f, 1e6f}); }

}  // namespace railseep::gui

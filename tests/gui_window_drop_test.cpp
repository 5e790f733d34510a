// Files dropped on the real window by another X client, as the XDND protocol (version 5, freedesktop.org) has it.
#include <GLFW/glfw3.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <thread>

#include "gui_window_scene.hpp"

// Last: it defines words such as KeyPress as macros.
#include <X11/Xatom.h>
#include <X11/Xlib.h>

namespace railseep::gui {
namespace {

/// A file manager as small as can be: it drags one list of files onto the window of this title, and drops it.
class FileManager {
 public:
  explicit FileManager(std::string files) : files_(std::move(files)), display_(XOpenDisplay(nullptr)) {
    if (!display_) return;
    own_ = XCreateSimpleWindow(display_, DefaultRootWindow(display_), 0, 0, 10, 10, 0, 0, 0);
    target_ = window_titled(DefaultRootWindow(display_), "railseep");
  }
  ~FileManager() {
    if (display_) XCloseDisplay(display_);
  }
  FileManager(const FileManager&) = delete;
  FileManager& operator=(const FileManager&) = delete;

  bool sees_window() const { return display_ && target_ != 0; }

  /// Whether the window says that it takes drops, by which version.
  int version() {
    Atom type;
    int format;
    unsigned long count = 0, more;
    unsigned char* data = nullptr;
    XGetWindowProperty(display_, target_, atom("XdndAware"), 0, 1, False, XA_ATOM, &type, &format, &count, &more,
                       &data);
    const int version = count == 1 ? static_cast<int>(*reinterpret_cast<Atom*>(data)) : 0;
    if (data) XFree(data);
    return version;
  }

  void enter() {
    XSetSelectionOwner(display_, atom("XdndSelection"), own_, CurrentTime);
    send("XdndEnter", {static_cast<long>(own_), 5L << 24, static_cast<long>(atom("text/uri-list")), 0, 0});
  }
  void hover() {
    send("XdndPosition",
         {static_cast<long>(own_), 0, 100L << 16 | 100, CurrentTime, static_cast<long>(atom("XdndActionCopy"))});
  }
  void drop() { send("XdndDrop", {static_cast<long>(own_), 0, CurrentTime, 0, 0}); }

  /// Answers what the window asks. @return whether it said that it is done with the drop
  bool answer() {
    bool finished = false;
    while (XPending(display_) > 0) {
      XEvent event;
      XNextEvent(display_, &event);
      if (event.type == SelectionRequest) hand_over(event.xselectionrequest);
      if (event.type == ClientMessage && event.xclient.message_type == atom("XdndStatus"))
        accepted_ = (event.xclient.data.l[1] & 1) != 0;
      if (event.type == ClientMessage && event.xclient.message_type == atom("XdndFinished")) finished = true;
    }
    return finished;
  }
  bool accepted() const { return accepted_; }

 private:
  Atom atom(const char* name) { return XInternAtom(display_, name, False); }

  void send(const char* what, std::initializer_list<long> words) {
    XEvent event{};
    event.xclient.type = ClientMessage;
    event.xclient.window = target_;
    event.xclient.message_type = atom(what);
    event.xclient.format = 32;
    std::ranges::copy(words, event.xclient.data.l);
    XSendEvent(display_, target_, False, NoEventMask, &event);
    XFlush(display_);
  }

  void hand_over(const XSelectionRequestEvent& asked) {
    XChangeProperty(display_, asked.requestor, asked.property, asked.target, 8, PropModeReplace,
                    reinterpret_cast<const unsigned char*>(files_.data()), static_cast<int>(files_.size()));
    XEvent event{};
    event.xselection.type = SelectionNotify;
    event.xselection.requestor = asked.requestor;
    event.xselection.selection = asked.selection;
    event.xselection.target = asked.target;
    event.xselection.property = asked.property;
    event.xselection.time = asked.time;
    XSendEvent(display_, asked.requestor, False, NoEventMask, &event);
    XFlush(display_);
  }

  ::Window window_titled(::Window from, const std::string& title) {
    char* name = nullptr;
    const bool here = XFetchName(display_, from, &name) != 0 && name && std::string(name).starts_with(title);
    if (name) XFree(name);
    if (here) return from;
    ::Window root, parent, *children = nullptr, found = 0;
    unsigned count = 0;
    XQueryTree(display_, from, &root, &parent, &children, &count);
    for (unsigned i = 0; i < count && found == 0; ++i) found = window_titled(children[i], title);
    if (children) XFree(children);
    return found;
  }

  std::string files_;
  Display* display_;
  ::Window own_ = 0, target_ = 0;
  bool accepted_ = false;
};

TEST(GuiWindow, ALogDroppedByAnotherProgramJoinsTheJobAndADroppedJobIsOpened) {
  App app(true);
  start(app, "");
  app.settings.answers = false;
  Window window(app, 1280, 720);
  settle(app, window);
  const auto drop = [&](const std::string& file) {
    FileManager manager("file://" + file + "\r\n");
    ASSERT_TRUE(manager.sees_window());
    EXPECT_GE(manager.version(), 3);
    manager.enter();
    manager.hover();
    bool finished = false;
    const auto answer_each_other = [&](const std::function<bool()>& done) {
      for (int i = 0; i < 100 && !done(); ++i) {
        glfwPollEvents();
        window.step();
        finished |= manager.answer();
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
      }
      return done();
    };
    EXPECT_TRUE(answer_each_other([&] { return manager.accepted(); }));
    manager.drop();
    EXPECT_TRUE(answer_each_other([&] { return finished; }));
    settle(app, window);
  };
  drop(RAILSEEP_SOURCE_DIR "/scenarios/gravel-truck/hot_crank.csv");
  ASSERT_EQ(app.document.job.logs.size(), 1u);
  EXPECT_TRUE(app.document.job.logs.front().file.ends_with("hot_crank.csv"));
  EXPECT_FALSE(app.message) << app.message->found;
  app.document.saved = app.document.text();  // nothing to be asked for
  drop(RAILSEEP_SOURCE_DIR "/scenarios/harbour-work-boat/job.json");
  EXPECT_EQ(app.document.job.name, "Harbour work boat");
  // A name with a space and a letter that is no ASCII, as file managers escape it.
  const std::filesystem::path folder = std::filesystem::path(testing::TempDir()) / "railseep dröp";
  std::filesystem::create_directories(folder);
  std::filesystem::copy_file(RAILSEEP_SOURCE_DIR "/scenarios/gravel-truck/hot_crank.csv", folder / "hot crank.csv",
                             std::filesystem::copy_options::overwrite_existing);
  const std::size_t before = app.document.job.logs.size();
  drop((std::filesystem::path(testing::TempDir()) / "railseep%20dr%C3%B6p/hot%20crank.csv").string());
  EXPECT_EQ(app.document.job.logs.size(), before + 1);
}

}  // namespace
}  // namespace railseep::gui

#include <GLFW/glfw3.h>
#include <pthread.h>
#include <signal.h>
#include <unistd.h>

#include <atomic>
#include <cstdio>
#include <string>
#include <thread>

#include "rescue.hpp"
#include "window.hpp"

namespace railseep::gui {

namespace {

std::atomic<bool> told_to_end = false;

/// Log-out, shutdown and kill ask the process to end: a thread of its own hears it and wakes the window, which keeps
/// what is not saved. Asked once more, or when the window does not answer, it ends there and then.
void listen_for_the_end() {
  sigset_t asking;
  sigemptyset(&asking);
  for (const int one : {SIGTERM, SIGINT, SIGHUP}) sigaddset(&asking, one);
  pthread_sigmask(SIG_BLOCK, &asking, nullptr);  // before other threads begin, so that none of them is interrupted
  std::thread([asking] {
    int heard = 0;
    sigwait(&asking, &heard);
    told_to_end = true;
    glfwPostEmptyEvent();
    const timespec patience{10, 0};
    sigtimedwait(&asking, nullptr, &patience);
    _exit(128 + heard);
  }).detach();
}

int run(int argc, char** argv) {
  listen_for_the_end();
  App app(true);
  app.settings_path = settings_file();
  attempt(app, [&] { app.settings = read_settings(app.settings_path); });
  app.settings_kept = app.settings;
  start(app, argc > 1 ? argv[1] : "");
  app.bench.greeting = argc == 1;
  Window window(app, app.settings.width, app.settings.height);
  offer_rescued_jobs(app);
  const Rescue rescue(app);
  try {
    while (window.open() && !told_to_end) window.wait(), window.step();
  } catch (const std::exception& error) {
    if (!rescue_job(app)) throw;
    throw Error("window", std::string(error.what()) + "; the job is kept in " + app.rescue.file.string(),
                "start again to go on with it");
  } catch (...) {
    rescue_job(app);
    throw;
  }
  if (told_to_end)
    rescue_job(app);
  else
    drop_rescue_copy(app);
  if (!(app.settings == app.settings_kept)) attempt(app, [&] { write_settings(app.settings_path, app.settings); });
  return 0;
}

}  // namespace

}  // namespace railseep::gui

int main(int argc, char** argv) {
  if (argc > 2 || (argc == 2 && argv[1][0] == '-')) {
    std::puts("railseep-gui [job]\nOpens the window, with a job file if one is given.");
    return argc == 2 && (std::string(argv[1]) == "--help" || std::string(argv[1]) == "-h") ? 0 : 1;
  }
  try {
    return railseep::gui::run(argc, argv);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "railseep-gui: %s\n", error.what());
    return 2;
  } catch (...) {
    std::fprintf(stderr, "railseep-gui: ended by something that has no name\n");
    return 2;
  }
}

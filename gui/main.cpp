#include <cstdio>
#include <string>

#include "rescue.hpp"
#include "window.hpp"

namespace railseep::gui {

namespace {

int run(int argc, char** argv) {
  App app(true);
  app.settings_path = settings_file();
  attempt(app, [&] { app.settings = read_settings(app.settings_path); });
  start(app, argc > 1 ? argv[1] : "");
  Window window(app, app.settings.width, app.settings.height);
  if (!app.message) tell_of_rescued_job(app);
  const Rescue rescue(app);
  try {
    while (window.open()) window.wait(), window.step();
  } catch (const Error& error) {
    if (!rescue_job(app)) throw;
    throw Error(error.place(), error.found() + "; the job is kept in " + rescue_file(app).parent_path().string(), error.expected());
  }
  attempt(app, [&] { write_settings(app.settings_path, app.settings); });
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
  }
}

#pragma once

#include <fcntl.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <string>

/// An X server without a screen (Xvfb) of our own, on a display number it chooses itself; DISPLAY names it while it
/// lives.
class HiddenDisplay {
 public:
  HiddenDisplay() {
    int ends[2];
    if (pipe(ends) != 0) return;
    child_ = fork();
    if (child_ == 0) {
      const std::string number = std::to_string(ends[1]);
      const int nowhere = open("/dev/null", O_WRONLY);
      dup2(nowhere, 1), dup2(nowhere, 2);
      prctl(PR_SET_PDEATHSIG, SIGTERM);  // it goes with us, also when a test ends us
      execlp("Xvfb", "Xvfb", "-displayfd", number.c_str(), "-screen", "0", "2560x1440x24", "-nolisten", "tcp",
             "-noreset", nullptr);
      _exit(127);
    }
    close(ends[1]);
    char byte;
    while (read(ends[0], &byte, 1) == 1 && byte != '\n') number_ += byte;
    close(ends[0]);
    if (!number_.empty()) setenv("DISPLAY", (":" + number_).c_str(), 1), setenv("LIBGL_ALWAYS_SOFTWARE", "1", 1);
  }
  ~HiddenDisplay() {
    if (child_ > 0) kill(child_, SIGTERM), waitpid(child_, nullptr, 0);
  }
  HiddenDisplay(const HiddenDisplay&) = delete;
  HiddenDisplay& operator=(const HiddenDisplay&) = delete;

  bool there() const { return !number_.empty(); }

 private:
  pid_t child_ = -1;
  std::string number_;
};

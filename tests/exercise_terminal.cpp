// Three exercises played on a pseudo-terminal, as somebody at a keyboard plays them: every prompt is waited for and
// answered, and a program that is killed goes on where it was.
#include <gtest/gtest.h>
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <sstream>
#include <string>
#include <vector>

namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

const std::string program = RAILSEEP_PROGRAM, source = RAILSEEP_SOURCE_DIR;

/// The program on a terminal of 100 columns.
class Terminal {
 public:
  explicit Terminal(const std::vector<std::string>& arguments) {
    winsize size{};
    size.ws_col = 100;
    size.ws_row = 40;
    child_ = forkpty(&terminal_, nullptr, nullptr, &size);
    if (child_ != 0) return;
    std::vector<char*> words;
    for (const std::string& argument : arguments) words.push_back(const_cast<char*>(argument.c_str()));
    words.push_back(nullptr);
    execv(words[0], words.data());
    _exit(127);
  }
  ~Terminal() {
    if (child_ > 0) kill(child_, SIGKILL);
    end();
    close(terminal_);
  }
  Terminal(const Terminal&) = delete;
  Terminal& operator=(const Terminal&) = delete;

  /// Reads until the screen ends with one of these texts. @return which; -1: it ended, or took too long
  int wait_for(const std::vector<std::string>& texts) {
    const auto limit = Clock::now() + std::chrono::seconds(120);
    while (Clock::now() < limit) {
      for (std::size_t i = 0; i < texts.size(); ++i)
        if (since_typed_.ends_with(texts[i])) return static_cast<int>(i);
      if (!read_more()) return -1;
    }
    return -1;
  }

  /// Reads what comes until the program ends.
  void read_to_end() {
    while (read_more()) continue;
  }

  void type(const std::string& line) {
    since_typed_.clear();
    const std::string keys = line + "\n";
    ASSERT_EQ(write(terminal_, keys.data(), keys.size()), static_cast<ssize_t>(keys.size()));
  }

  void kill_it() { kill(child_, SIGKILL); }

  /// @return exit code; -1: it was killed
  int end() {
    if (child_ <= 0) return code_;
    int status = 0;
    waitpid(child_, &status, 0);
    child_ = 0;
    code_ = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    return code_;
  }

  const std::string& screen() const { return screen_; }

 private:
  bool read_more() {
    pollfd ready{terminal_, POLLIN, 0};
    if (poll(&ready, 1, 120000) <= 0) return false;
    char text[4096];
    const ssize_t count = read(terminal_, text, sizeof text);
    if (count <= 0) return false;
    screen_.append(text, static_cast<std::size_t>(count));
    since_typed_.append(text, static_cast<std::size_t>(count));
    return true;
  }

  int terminal_ = -1, code_ = -1;
  pid_t child_ = -1;
  std::string screen_, since_typed_;
};

/// A move as the program's own way has it, taken apart.
struct Typed {
  std::string move, suspect, expect;
};

std::string after(const std::string& line, const std::string& word) {
  const std::size_t at = line.find(word);
  if (at == std::string::npos) return "";
  const std::size_t from = at + word.size();
  return line.substr(from, line.find("; expect ", from) - from);
}

/// The moves of `railseep exercise solve`, which prints each behind "> ".
std::vector<Typed> own_way(const std::string& file) {
  Terminal solve({program, "exercise", "solve", file});
  solve.read_to_end();
  EXPECT_EQ(solve.end(), 0) << solve.screen();
  std::vector<Typed> moves;
  std::istringstream lines(solve.screen());
  for (std::string line; std::getline(lines, line);) {
    while (line.ends_with('\r')) line.pop_back();
    if (line.starts_with("> "))
      moves.push_back(
          {line.substr(2, line.find("; suspect") - 2), after(line, "; suspect "), after(line, "; expect ")});
  }
  return moves;
}

/// Makes a move and answers what is asked first. @return whether the next prompt came, or the end
bool make(Terminal& terminal, const Typed& typed) {
  const std::vector<std::string> prompts{"\n> ", "What do you suspect most? ", "What do you expect? "};
  terminal.type(typed.move);
  while (true) {
    const int prompt = terminal.wait_for(prompts);
    if (prompt == 1)
      terminal.type(typed.suspect);
    else if (prompt == 2)
      terminal.type(typed.expect);
    else
      return prompt == 0 || terminal.screen().find("The debrief:") != std::string::npos;
  }
}

std::string run(const std::vector<std::string>& arguments) {
  Terminal terminal(arguments);
  terminal.read_to_end();
  EXPECT_EQ(terminal.end(), 0) << terminal.screen();
  return terminal.screen();
}

/// What was computed is kept here, not in the home folder of whoever runs the tests.
void keep_computed_in(const fs::path& folder) { setenv("XDG_CACHE_HOME", folder.c_str(), 1); }

class ExerciseOnATerminal : public testing::TestWithParam<const char*> {
 protected:
  ExerciseOnATerminal() {
    folder_ = fs::path(testing::TempDir()) / (std::string("railseep_terminal_") + GetParam());
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    keep_computed_in(fs::path(testing::TempDir()) / "railseep_terminal_cache");
  }
  std::string file_ = source + "/scenarios/exercises/" + GetParam() + ".json";
  fs::path folder_;
};

// What is typed is the program's own way, so it must end in a proved repair; in the midst of it the program is killed.
TEST_P(ExerciseOnATerminal, IsPlayedToAProvedRepairThoughItIsKilledInTheMidst) {
  const std::vector<Typed> moves = own_way(file_);
  ASSERT_GE(moves.size(), 4u);
  const std::string session = folder_ / "mine.session";
  const std::vector<std::string> play{program, "exercise", "play", file_, "--session", session, "--learner", "7"};
  const std::size_t half = moves.size() / 2;
  {
    Terminal terminal(play);
    ASSERT_EQ(terminal.wait_for({"\n> "}), 0) << terminal.screen();
    EXPECT_NE(terminal.screen().find("Complaint: "), std::string::npos);
    for (std::size_t i = 0; i < half; ++i) ASSERT_TRUE(make(terminal, moves[i])) << terminal.screen();
    terminal.kill_it();
    EXPECT_EQ(terminal.end(), -1);
  }
  Terminal terminal(play);
  ASSERT_EQ(terminal.wait_for({"\n> "}), 0) << terminal.screen();
  EXPECT_NE(terminal.screen().find("is saved in " + session), std::string::npos) << terminal.screen();
  EXPECT_NE(terminal.screen().find("Goes on from there, " + std::to_string(half) + " moves:"), std::string::npos)
      << terminal.screen();
  for (std::size_t i = half; i < moves.size(); ++i) ASSERT_TRUE(make(terminal, moves[i])) << terminal.screen();
  terminal.read_to_end();
  EXPECT_EQ(terminal.end(), 0);
  EXPECT_NE(terminal.screen().find("solved. The repair is proved, hot and cold."), std::string::npos)
      << terminal.screen();
  EXPECT_EQ(terminal.screen().find("terminate called"), std::string::npos);

  if (std::string(GetParam()) != "manifold-plug") return;  // of one: it is played by the program once more
  const std::string page = folder_ / "debrief.html";
  const std::string debrief = run({program, "exercise", "debrief", session, "--html", page});
  EXPECT_NE(debrief.find("solved, "), std::string::npos) << debrief;
  EXPECT_NE(debrief.find("Learner: 7"), std::string::npos);
  EXPECT_TRUE(fs::exists(page));
}

INSTANTIATE_TEST_SUITE_P(Three, ExerciseOnATerminal, testing::Values("manifold-plug", "pump-or-leak-six", "worn-seat"),
                         [](const auto& tested) {
                           std::string name = tested.param;
                           std::erase(name, '-');
                           return name;
                         });

// Nobody plays by the book: what is mistyped is told with what would be right, and costs nothing; Ctrl+D ends.
TEST(Terminal, MistypedMovesAreToldAndCostNothing) {
  const fs::path folder = fs::path(testing::TempDir()) / "railseep_terminal_mistyped";
  fs::remove_all(folder);
  fs::create_directories(folder);
  keep_computed_in(folder / "cache");
  const std::vector<std::string> play{program,     "exercise",
                                      "play",      source + "/scenarios/exercises/manifold-plug.json",
                                      "--session", folder / "mine.session"};
  Terminal terminal(play);
  ASSERT_EQ(terminal.wait_for({"\n> "}), 0) << terminal.screen();
  EXPECT_NE(terminal.screen().find("computing what each fault would show"), std::string::npos);
  terminal.type("chek hot crank");
  ASSERT_EQ(terminal.wait_for({"\n> "}), 0) << terminal.screen();
  EXPECT_NE(terminal.screen().find("did you mean \"check\""), std::string::npos) << terminal.screen();
  terminal.type("status");
  ASSERT_EQ(terminal.wait_for({"\n> "}), 0);
  EXPECT_NE(terminal.screen().find("0 min and 0 local money used"), std::string::npos) << terminal.screen();
  EXPECT_FALSE(fs::exists(folder / "mine.session"));
  terminal.type("\x04");
  terminal.read_to_end();
  EXPECT_EQ(terminal.end(), 0);

  Terminal again(play);
  ASSERT_EQ(again.wait_for({"\n> "}), 0) << again.screen();
  EXPECT_EQ(again.screen().find("computing what each fault would show"), std::string::npos) << "it was kept";
  again.type("\x04");
  again.read_to_end();
  EXPECT_EQ(again.end(), 0);
}

}  // namespace

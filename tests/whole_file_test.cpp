// Files are written whole or not at all, whatever stands at their path and whenever the writer dies; what is no file is
// not read.

#include "quantity/whole_file.hpp"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <random>
#include <set>
#include <thread>

#include "job/job.hpp"
#include "quantity/error.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

namespace fs = std::filesystem;

/// A folder of its own for each test, removed afterwards.
class WholeFile : public testing::Test {
 protected:
  WholeFile() : folder_(fs::path(testing::TempDir()) / ("railseep_whole_file_" + std::to_string(::getpid()))) {
    fs::create_directories(folder_);
  }
  ~WholeFile() override { fs::remove_all(folder_); }

  std::string at(const std::string& name) const { return (folder_ / name).string(); }

  std::set<std::string> names() const {
    std::set<std::string> all;
    for (const auto& entry : fs::directory_iterator(folder_)) all.insert(entry.path().filename().string());
    return all;
  }

  static mode_t mode_of(const std::string& path) {
    struct stat facts {};
    EXPECT_EQ(::lstat(path.c_str(), &facts), 0);
    return facts.st_mode;
  }

  fs::path folder_;
};

TEST_F(WholeFile, ReadsBackEveryByteItWrites) {
  const std::string text("a\0b\r\n\xff", 6);
  write_text(at("new"), text, false);
  write_text(at("empty"), "", false);
  EXPECT_EQ(read_text(at("new")), text);
  EXPECT_EQ(read_text(at("empty")), "");
  EXPECT_EQ(names(), (std::set<std::string>{"new", "empty"}));
}

TEST_F(WholeFile, GivesANewFileTheModeThatTheUserAsksFor) {
  const mode_t before = ::umask(027);
  write_text(at("new"), "x", false);
  ::umask(before);
  EXPECT_EQ(mode_of(at("new")) & 0777, 0640u);
}

// A job holds a customer's data: what only its owner may read stays so.
TEST_F(WholeFile, KeepsTheModeOfTheFileItReplaces) {
  for (const mode_t mode : {0600u, 0640u, 0666u}) {
    write_text(at("job"), "old", true);
    ASSERT_EQ(::chmod(at("job").c_str(), mode), 0);
    write_text(at("job"), "new", true);
    EXPECT_EQ(mode_of(at("job")) & 0777, mode);
    EXPECT_EQ(read_text(at("job")), "new");
  }
}

TEST_F(WholeFile, WritesWhatASymbolicLinkLeadsTo) {
  fs::create_directory(at("deep"));
  write_text(at("deep/target"), "old", false);
  fs::create_symlink("deep/target", at("link"));
  fs::create_symlink("link", at("link to link"));
  write_text(at("link to link"), "new", true);
  EXPECT_EQ(read_text(at("deep/target")), "new");
  EXPECT_TRUE(fs::is_symlink(at("link")) && fs::is_symlink(at("link to link")));

  fs::create_symlink("deep/not yet", at("dangling"));
  EXPECT_NE(error_of([&] { write_text(at("dangling"), "x", false); }).find("exists already"), std::string::npos);
  write_text(at("dangling"), "x", true);
  EXPECT_EQ(read_text(at("deep/not yet")), "x");
  EXPECT_TRUE(fs::is_symlink(at("dangling")));

  fs::create_symlink("circle", at("circle"));
  EXPECT_NE(error_of([&] { write_text(at("circle"), "x", true); }).find("circle"), std::string::npos);
}

TEST_F(WholeFile, NeverReplacesAFileUnlessToldTo) {
  write_text(at("kept"), "old", false);
  EXPECT_EQ(error_of([&] { write_text(at("kept"), "new", false); }),
            at("kept") + ": the file exists already; give another name, or say that it may be overwritten.");
  EXPECT_EQ(read_text(at("kept")), "old");
}

TEST_F(WholeFile, WritesIntoAPipeAndLeavesItAPipe) {
  ASSERT_EQ(::mkfifo(at("pipe").c_str(), 0600), 0);
  EXPECT_NE(error_of([&] { write_text(at("pipe"), "x", true); }).find("nobody reads"), std::string::npos);
  const std::string text(200000, 'x');  // more than a pipe holds
  const int reader = ::open(at("pipe").c_str(), O_RDONLY | O_NONBLOCK);
  std::thread writer([&] { write_text(at("pipe"), text, false); });
  std::string got;
  char some[4096];
  while (got.size() < text.size())
    if (const ssize_t n = ::read(reader, some, sizeof some); n > 0) got.append(some, static_cast<std::size_t>(n));
  writer.join();
  ::close(reader);
  EXPECT_EQ(got, text);
  EXPECT_TRUE(S_ISFIFO(mode_of(at("pipe"))));
  EXPECT_EQ(names(), std::set<std::string>{"pipe"});
}

// A terminal's other end is a device that no user loses if this goes wrong.
TEST_F(WholeFile, WritesIntoADeviceAndLeavesItADevice) {
  const int terminal = ::posix_openpt(O_RDWR | O_NOCTTY);
  ASSERT_TRUE(terminal >= 0 && ::grantpt(terminal) == 0 && ::unlockpt(terminal) == 0);
  const std::string device = ::ptsname(terminal);
  const int held = ::open(device.c_str(), O_RDWR | O_NOCTTY);
  write_text(device, "seen", true);
  char some[16] = {};
  EXPECT_EQ(::read(terminal, some, sizeof some), 4);
  EXPECT_STREQ(some, "seen");
  EXPECT_TRUE(S_ISCHR(mode_of(device)));
  ::close(held), ::close(terminal);
}

TEST_F(WholeFile, RefusesAFolder) {
  fs::create_directory(at("folder"));
  EXPECT_EQ(error_of([&] { write_text(at("folder"), "x", true); }), at("folder") + ": it is a folder; name a file.");
  EXPECT_EQ(names(), std::set<std::string>{"folder"});
}

/// What happens in another process; its answer is the exit code.
template <class Work>
int in_child(Work work) {
  const pid_t child = ::fork();
  if (child == 0) ::_exit(work());
  int status = 0;
  EXPECT_EQ(::waitpid(child, &status, 0), child);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status);
}

// A file size limit stands for the full disk: both make write() fail half way.
TEST_F(WholeFile, LeavesTheOldFileAndNothingElseWhenItFails) {
  write_text(at("job"), "old", false);
  const int answer = in_child([&] {
    ::signal(SIGXFSZ, SIG_IGN);
    const rlimit small{1000, 1000};
    ::setrlimit(RLIMIT_FSIZE, &small);
    const std::string text(5000, 'x');
    return error_of([&] { write_text(at("job"), text, true); }).find("cannot be written (File too large)") !=
                   std::string::npos
               ? 0
               : 1;
  });
  EXPECT_EQ(answer, 0);
  EXPECT_EQ(read_text(at("job")), "old");
  EXPECT_EQ(names(), std::set<std::string>{"job"});
  EXPECT_NE(error_of([&] { write_text(at("no folder/job"), "x", true); }).find("No such file or directory"),
            std::string::npos);
}

// In a folder that others write to as well, a name that can be guessed leads to whatever they linked it to.
TEST_F(WholeFile, TakesNoNameThatCanBeGuessed) {
  write_text(at("victim"), "secret", false);
  fs::create_symlink("victim", at("job.unfinished"));
  write_text(at("mine.unfinished"), "my own", false);
  write_text(at("job"), "x", true);
  write_text(at("mine"), "x", true);
  EXPECT_EQ(read_text(at("victim")), "secret");
  EXPECT_EQ(read_text(at("mine.unfinished")), "my own");
}

TEST_F(WholeFile, TwoWritersOfOnePathDoNotDisturbEachOther) {
  const std::string a(100000, 'a'), b(100000, 'b');
  const auto write_often = [&](const std::string& text) {
    for (int i = 0; i < 200; ++i) write_text(at("job"), text, true);
  };
  EXPECT_NO_THROW({
    std::thread other([&] { write_often(a); });
    write_often(b);
    other.join();
  });
  EXPECT_TRUE(read_text(at("job")) == a || read_text(at("job")) == b);
  EXPECT_EQ(names(), std::set<std::string>{"job"});
}

TEST_F(WholeFile, RemovesWhatKilledWritersLeftAndNothingOfTheLivingOnes) {
  const std::string dead = at(".railseep-0123456789abcdef.unfinished"),
                    alive = at(".railseep-fedcba9876543210.unfinished"), mine = at(".railseep-notes.unfinished");
  for (const std::string& path : {dead, alive, mine}) std::ofstream(path) << "half";
  const int writer = ::open(alive.c_str(), O_WRONLY);
  ASSERT_EQ(::flock(writer, LOCK_EX), 0);
  write_text(at("job"), "x", true);
  EXPECT_FALSE(fs::exists(dead));
  EXPECT_TRUE(fs::exists(alive) && fs::exists(mine));
  ::close(writer);
}

/// Kills so many writers, each after a random time, and looks at what stands there. RAILSEEP_KILLS asks for more.
int kills() {
  const char* asked = std::getenv("RAILSEEP_KILLS");
  return asked ? std::atoi(asked) : 60;
}

TEST_F(WholeFile, AWriterThatIsKilledLeavesTheOldOrTheNewFileAndTheNextOneCleansUp) {
  Job job = read_job(models_folder() + "../scenarios/school-bus/job.json");
  job.about.assign(300000, 'a');
  const std::string first = job_text(job);
  Job other = job;
  other.about.assign(400000, 'b');
  const std::string second = job_text(other);
  write_job(at("job.json"), job);
  write_text(at("settings.json"), first, false);

  std::mt19937 random(7);
  int left_behind = 0, changed = 0;
  for (int i = 0; i < kills(); ++i) {
    int begun[2];
    ASSERT_EQ(::pipe(begun), 0);
    const pid_t child = ::fork();
    if (child == 0)
      for (bool turn = false;; turn = !turn) {
        if (i % 2 == 0) write_job(at("job.json"), turn ? job : other);  // else nothing but writing
        write_text(at("settings.json"), turn ? first : second, true);
        if (::write(begun[1], "x", 1) != 1) ::_exit(1);
      }
    char written = 0;
    ASSERT_EQ(::read(begun[0], &written, 1), 1);
    ::usleep(std::uniform_int_distribution<useconds_t>(0, 20000)(random));
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    ::close(begun[0]), ::close(begun[1]);
    for (const char* name : {"job.json", "settings.json"}) {
      const std::string text = read_text(at(name));
      ASSERT_TRUE(text == first || text == second)
          << name << " is torn after kill " << i << ": " << text.size() << " bytes";
      changed += text == second;
    }
    left_behind += names().size() > 2;
    write_text(at("settings.json"), first, true);
    ASSERT_EQ(names(), (std::set<std::string>{"job.json", "settings.json"})) << "after kill " << i;
  }
  // The kills came in the midst of writing: otherwise this shows nothing.
  EXPECT_GT(left_behind, kills() / 10);
  EXPECT_GT(changed, 0);
  RecordProperty("left_behind_until_the_next_write", left_behind);
  std::printf("%d kills: nothing torn; %d left a half file until the next write\n", kills(), left_behind);
}

TEST_F(WholeFile, DoesNotWriteOverWhatAnotherProgramHasChanged) {
  write_text(at("job"), "as read", false);
  const std::string known = file_fingerprint(at("job"));
  write_text(at("job"), "my change", true, known);
  EXPECT_EQ(read_text(at("job")), "my change");
  EXPECT_EQ(
      error_of([&] { write_text(at("job"), "my next", true, known); }),
      at("job") +
          ": the file was changed by another program since it was read; read it again, or write to another name.");
  EXPECT_EQ(read_text(at("job")), "my change");
  fs::remove(at("job"));
  EXPECT_NE(error_of([&] { write_text(at("job"), "my next", true, known); }), "");
  EXPECT_EQ(file_fingerprint(at("job")), "");
  EXPECT_TRUE(names().empty());
}

TEST_F(WholeFile, ReadsNothingThatMayNeverEnd) {
  ASSERT_EQ(::mkfifo(at("pipe").c_str(), 0600), 0);
  EXPECT_EQ(error_of([&] { read_text(at("pipe")); }), at("pipe") + ": it is a pipe or a device; name a file.");
  EXPECT_EQ(error_of([&] { read_text("/dev/zero"); }), "/dev/zero: it is a pipe or a device; name a file.");
  EXPECT_EQ(error_of([&] { read_text(folder_.string()); }), folder_.string() + ": it is a folder; name a file.");
  EXPECT_NE(error_of([&] { read_text(at("missing")); }).find("No such file or directory"), std::string::npos);
}

TEST_F(WholeFile, ReadsUpToItsLimitAndNotBeyond) {
  std::ofstream(at("sparse")) << "x";
  fs::resize_file(at("sparse"), 1000);
  EXPECT_EQ(read_bytes(at("sparse"), 1000).size(), 1000u);
  EXPECT_NE(error_of([&] { read_bytes(at("sparse"), 999); }), "");
  fs::resize_file(at("sparse"), std::uintmax_t{1} << 40);
  EXPECT_EQ(
      error_of([&] { read_text(at("sparse")); }),
      at("sparse") + ": the file is longer than 64 MB; check that it is the right one; such files are much shorter.");
  // A file whose length is not known before it is read.
  EXPECT_GT(read_bytes("/proc/self/status", 1 << 20).size(), 100u);
  EXPECT_NE(error_of([&] { read_bytes("/proc/self/status", 100); }), "");
}

TEST_F(WholeFile, NamesNoPathAtFullLengthThatNobodyWouldRead) {
  const std::string name(5000, 'n');
  const std::string message = error_of([&] { read_text(name); });
  EXPECT_LT(message.size(), 300u);
  EXPECT_NE(message.find("File name too long"), std::string::npos);
}

}  // namespace
}  // namespace railseep

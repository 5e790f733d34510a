// The report page: what is previewed is what is saved and printed, in the shop's name.
#include <gtest/gtest.h>
#include <stdlib.h>

#include <fstream>

#include "full_match.hpp"
#include "gui_scene.hpp"
#include "in_browser.hpp"
#include "quantity/whole_file.hpp"

#ifdef RAILSEEP_SANITIZED
// The font library keeps lists of fonts until the program ends, for the drawing library never gives its fonts back.
extern "C" const char* __lsan_default_suppressions();
extern "C" const char* __lsan_default_suppressions() { return "leak:libfontconfig\n"; }
#endif

namespace railseep::gui {
namespace {

constexpr float all_of_it = 3600;  // so high that nothing must be scrolled

/// PATH with this folder alone, as long as it lives.
class OnlyPath {
 public:
  explicit OnlyPath(const std::filesystem::path& folder) : before_(getenv("PATH")) {
    setenv("PATH", folder.c_str(), 1);
  }
  ~OnlyPath() { setenv("PATH", before_.c_str(), 1); }
  OnlyPath(const OnlyPath&) = delete;
  OnlyPath& operator=(const OnlyPath&) = delete;

 private:
  std::string before_;
};

void write_viewer(const std::filesystem::path& folder, const std::string& does) {
  const std::filesystem::path file = folder / "xdg-open";
  std::ofstream(file) << "#!/bin/sh\n" << does << "\n";
  std::filesystem::permissions(file, std::filesystem::perms::owner_all);
}

void open_report(App& app, const std::filesystem::path& folder) {
  app.settings_path = folder / "settings.json";
  app.settings.last_folder = folder.string();
  start(app, "");
  app.document.job.name = "ferry";
  app.document.job.complaint = "No start since noon.";
  app.view = view_named("Report");
}

/// Types a letterhead, saves page and sheets there, and looks into them.
void save_as_shop(const std::filesystem::path& folder) {
  App app(true);
  open_report(app, folder);
  Driver driver(app, 1400, all_of_it);
  driver.settle();
  EXPECT_TRUE(driver.says("No start since noon."));
  EXPECT_TRUE(driver.says("Nothing has been measured yet"));
  driver.click("Shop##letterhead");
  driver.type("Quay <Seven> & Sons");
  driver.click("Mark: a few letters##letterhead");
  driver.type("Q7");
  driver.click(ImVec2(5, all_of_it - 5));
  driver.settle();
  EXPECT_EQ(read_shop(folder / "shop.json").name, "Quay <Seven> & Sons");
  EXPECT_EQ(read_shop(folder / "shop.json").mark, "Q7");
  driver.click("Save as a web page ...");
  driver.frames(2);
  driver.click("Save here##file");
  const std::string page = read_text((folder / "report.html").string());
  EXPECT_NE(page.find("Quay &lt;Seven&gt; &amp; Sons"), std::string::npos);
  EXPECT_NE(page.find("No start since noon."), std::string::npos);
  ASSERT_TRUE(app.reporting.report);
  for (const ReportPart& part : app.reporting.report->parts) EXPECT_TRUE(driver.says(part.title)) << part.title;
  driver.click("Save as a PDF ...");
  driver.frames(2);
  driver.click("Save here##file");
  EXPECT_EQ(read_bytes((folder / "report.pdf").string(), 1 << 24).substr(0, 5), "%PDF-");
}

TEST(ReportPage, SavesWhatItPreviewsInTheShopsName) {
  const std::filesystem::path folder = scratch("report saved");
  save_as_shop(folder);
  // The next window has the letterhead again.
  App next(true);
  open_report(next, folder);
  Driver later(next, 1400, all_of_it);
  later.settle();
  EXPECT_EQ(next.reporting.letterhead.name, "Quay <Seven> & Sons");
}

TEST(ReportPage, FollowsTheJob) {
  App app(true);
  open_report(app, scratch("report follows"));
  Driver driver(app, 1400, all_of_it);
  driver.settle();
  app.document.job.complaint = "It starts again after lunch.";
  driver.settle();
  EXPECT_TRUE(driver.says("It starts again after lunch."));
  EXPECT_FALSE(driver.says("No start since noon."));
}

TEST(ReportPage, PrintsThroughTheSystemsViewer) {
  const std::filesystem::path folder = scratch("report printed");
  App app(true);
  open_report(app, folder);
  Driver driver(app, 1400, all_of_it);
  driver.settle();
  write_viewer(folder, "echo \"$1\" > '" + (folder / "asked").string() + "'");
  {
    const OnlyPath path(folder);
    driver.click("Print ...");
    driver.settle();
  }
  EXPECT_FALSE(app.reporting.viewing.trouble);
  std::string file = read_text((folder / "asked").string());
  file.pop_back();  // the end of the line
  EXPECT_EQ(read_bytes(file, 1 << 24).substr(0, 5), "%PDF-");
  EXPECT_TRUE(driver.says(file));
}

TEST(ReportPage, SaysWhereTheSheetsAreWhenNothingOpensThem) {
  for (const bool there : {true, false}) {
    const std::filesystem::path folder = scratch("report not printed");
    App app(true);
    open_report(app, folder);
    Driver driver(app, 1400, all_of_it);
    driver.settle();
    if (there) write_viewer(folder, "exit 3");
    const OnlyPath path(folder);
    driver.click("Print ...");
    driver.settle();
    ASSERT_TRUE(app.reporting.viewing.trouble) << there;
    const std::string file = app.reporting.viewing.trouble->place();
    EXPECT_EQ(read_bytes(file, 1 << 24).substr(0, 5), "%PDF-");
    EXPECT_TRUE(driver.says("by hand"));
  }
}

// The curves on it: pressure and duty of two logs.
TEST(ReportPage, TellsTheAnswerOnceItIsThereAndFitsPhoneTabletAndDeskInARealBrowser) {
  FULL_MATCH;
  App app(true);
  start(app, boat);
  app.view = view_named("Report");
  Driver driver(app, 1400, all_of_it);
  driver.settle();
  EXPECT_TRUE(driver.says("The answer is not there yet"));
  app.settings.answers = true;
  driver.wait(answer_after);
  driver.settle();
  driver.settle();
  ASSERT_TRUE(app.matching.result);
  ASSERT_TRUE(app.reporting.report);
  EXPECT_FALSE(driver.says("The answer is not there yet"));
  const std::string page = report_html(*app.reporting.report);
  EXPECT_NE(page.find("Candidates"), std::string::npos);
  EXPECT_TRUE(driver.says("Candidates"));
  if (browser().empty()) GTEST_SKIP() << "there is no browser to open its page in (Debian: chromium)";
  expect_fits_every_screen(page, 4, scratch("report in browser"));
}

}  // namespace
}  // namespace railseep::gui

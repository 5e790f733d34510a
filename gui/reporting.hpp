#pragma once

#include <filesystem>
#include <memory>
#include <string>

#include "long_work.hpp"
#include "report/report.hpp"

namespace railseep::gui {

struct App;

/// What is handed to the customer, and whose letterhead stands on it.
struct Reporting : LongWork {
  std::shared_ptr<const Report> report;
  std::string of;               // what it was made from
  Letterhead letterhead, kept;  // as it is, and as it stands in shop.json
  bool letterhead_read = false;
  std::string date;
  bool date_told = false;
  LongWork viewing;  // the system's viewer is being started
  std::string said;  // what was done last
  int tab = 0;       // of a narrow window
};

/// The shop's file, which `railseep report` reads as well. Empty where there are no settings.
std::filesystem::path shop_file(const App& app);

/// Reads the letterhead once, and keeps it when it was changed; makes the report anew when what it is made from has
/// changed. To be called once a frame while the page is shown.
void follow_report(App& app);

/// Whether there is an answer that the report can tell: match and decision, of the evidence that the job holds now.
bool report_has_answer(const App& app);

void save_report_page(App& app);   // asks where
void save_report_sheet(App& app);  // asks where

/// Writes the sheets to a folder of their own and opens them in the system's viewer, which prints.
void view_report(App& app);

}  // namespace railseep::gui

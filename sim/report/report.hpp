#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "decide/decide.hpp"
#include "drawing/svg_plot.hpp"
#include "job/job.hpp"
#include "words/letterhead.hpp"

namespace railseep {

struct ReportPlot {
  std::string title, x_label, y_label;
  std::vector<PlotCurve> curves;
};

/// A piece of a page.
struct ReportBlock {
  enum class Kind { heading, paragraph, quiet, bullet, table, plot };
  Kind kind = Kind::paragraph;
  std::string text;
  std::vector<std::vector<std::string>> rows;  // of a table, the first being its head
  std::optional<ReportPlot> plot = {};
};

/// A part that begins on a sheet of its own: the customer's page, then the pages for the file.
struct ReportPart {
  std::string title;
  std::vector<ReportBlock> blocks;
};

/// What is handed over, without saying how it looks.
struct Report {
  std::string title;
  Letterhead letterhead;
  std::string date;  // as it is told; may be empty
  std::vector<ReportPart> parts;
};

/// All that a report is made from. What is not there yet is nullptr: a job with a complaint alone says what is known.
/// Evidence, result and decision are there together or not at all.
struct ReportFacts {
  const Job* job = nullptr;
  const Circuit* circuit = nullptr;
  const Evidence* evidence = nullptr;
  const MatchResult* result = nullptr;
  const Decision* decision = nullptr;
  Letterhead letterhead;
  ShownUnits units;
  std::string date, program;                                      // "railseep 0.1.0"
  std::vector<std::pair<std::string, std::string>> fingerprints;  // name of a file, fingerprint of what it holds
};

/// The same facts give the same report.
Report job_report(const ReportFacts& facts);

/// One HTML page that needs nothing from elsewhere, for screens of any width and for printing.
std::string report_html(const Report& report);

/// The same as sheets of A4, PDF. @throws Error when it cannot be drawn
std::string report_pdf(const Report& report);

}  // namespace railseep

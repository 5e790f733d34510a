#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "job/job.hpp"
#include "log/log.hpp"
#include "quantity/error.hpp"
#include "worker.hpp"

namespace railseep::gui {

/// A log of the job as it was read, or why it could not be.
struct LogPreview {
  std::string file;
  std::shared_ptr<const Log> log;
  LogLayout layout;  // what the columns were taken for, also where the log could not be read
  std::optional<Error> trouble;
};

/// The job being worked on: its file, its undo steps, and its logs as read.
struct Document {
  Job job;
  std::string path;  // empty: never saved
  std::string saved;  // text as it stands in the file
  std::vector<Job> past, future;
  std::vector<LogPreview> logs;  // one for each log of the job, once read
  std::string logs_read;         // what of the job they were read for

  bool unsaved() const { return text() != saved; }
  std::string text() const { return job_text(job); }
};

Document new_document(const std::string& circuit);
Document open_document(const std::string& path);  // @throws Error
/// @param path may lie in another folder: the logs keep being found
void save_document(Document& document, const std::string& path);  // @throws Error; the document is then as it was

/// To be called once a frame: makes an undo step of what changed since the last one, once no widget is held any more.
void note_change(Document& document, bool held);
void undo(Document& document);
void redo(Document& document);

/// A log file joins the job. Its place in the list.
std::size_t add_log(Document& document, const std::string& file);

/// What is told about a column; made when it is told the first time.
ColumnOptions& told_column(JobLog& log, const ColumnLayout& column);

/// Reads the logs beside the frame when the job names others than before, or tells other things of their columns.
void read_logs(Document& document, Worker& worker);
std::vector<LogPreview> read_previews(const Job& job);

/// Without the document's data folder: where a job's file really is. @throws Error
std::string found_file(const Job& job, const std::string& file);

}  // namespace railseep::gui

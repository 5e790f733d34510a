#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "job/job.hpp"
#include "log/log_layout.hpp"
#include "quantity/error.hpp"
#include "worker.hpp"

namespace railseep::gui {

/// A channel of a log, as fine as it is drawn: of long ones the first, least, most and last of each piece.
struct PreviewChannel {
  ChannelKind kind = ChannelKind::unknown;
  Quantity quantity = Quantity::ratio;
  std::vector<double> time, value;  // [s], SI
};

/// What of a log of the job is shown, or why it could not be read. The samples themselves are not kept.
struct LogPreview {
  std::string file;
  std::string told;  // where it is and how it was told to be read
  bool readable = false;
  std::vector<PreviewChannel> channels;
  std::vector<std::string> remarks;  // what is doubtful about it
  LogLayout layout;                  // what the columns were taken for, also where the log could not be read
  std::optional<Error> trouble;

  const PreviewChannel* find(ChannelKind kind) const;  // the first of its kind, or nullptr
};

inline constexpr int preview_pieces = 5000;  // of a channel of a log: more than a screen has columns

/// The job being worked on: its file, its undo steps, and its logs as read.
struct Document {
  Job job;
  std::string path;             // empty: never saved
  std::string saved;            // text as it stands in the file
  std::string on_disk;          // fingerprint of the file as it was read or written last; empty: there was none
  bool circuit_chosen = false;  // by somebody, or by the file
  std::vector<Job> past, future;
  std::vector<LogPreview> logs;  // one for each log of the job, once read
  std::string logs_read;         // what of the job they were read for

  bool unsaved() const { return text() != saved; }
  std::string text() const { return job_text(job); }
};

Document new_document(const std::string& circuit);
Document open_document(const std::string& path);  // @throws Error
/// @param path may lie in another folder: the logs keep being found
/// @param replace the document's own file is written even if somebody else has changed it
/// @throws Error; the document is then as it was
void save_document(Document& document, const std::string& path, bool replace = false);

/// Whether somebody else wrote the document's file since it was read or saved here.
bool changed_on_disk(const Document& document);

/// A part of the job that one step changed.
struct Change {
  enum class Part { nothing, complaint, engine, readings, logs, starts, findings, air, proof } part = Part::nothing;
  std::string words;      // "the complaint", "the reading \"hot crank\""
  std::size_t index = 0;  // of the first entry of a list that differs
};
Change change_between(const Job& before, const Job& after);

/// To be called once a frame: makes an undo step of what changed since the last one, once no widget is held any more.
void note_change(Document& document, bool held);
/// @return what was brought back, or done again
Change undo(Document& document);
Change redo(Document& document);

/// A file as a job names it: relative where it lies beside the job or below.
std::string file_in_job(const Job& job, const std::string& file);

/// A log file joins the job; after a repair it is one from after it. Its place in the list.
std::size_t add_log(Document& document, const std::string& file);

/// What is told about a column; made when it is told the first time.
ColumnOptions& told_column(JobLog& log, const ColumnLayout& column);

/// Reads the logs beside the frame when the job names others than before, or tells other things of their columns.
void read_logs(Document& document, const std::shared_ptr<const Circuit>& circuit, Worker& worker);
/// @param known previews read before: those of the same files, told the same, are not read again
/// @param engine what its circuit says that helps to read them
std::vector<LogPreview> read_previews(const Job& job, const std::vector<LogPreview>& known = {},
                                      const EngineHints& engine = {});

/// Without the document's data folder: where a job's file really is. @throws Error
std::string found_file(const Job& job, const std::string& file);

}  // namespace railseep::gui

#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "after/repair.hpp"
#include "circuit/circuit.hpp"
#include "evidence/evidence.hpp"
#include "log/log_options.hpp"

namespace railseep {

/// What was done to the engine when something was read.
enum class Moment { unsaid, key_on, cranking, highest_cranking, idle, key_off };
std::string_view word(Moment moment);
std::string_view word(Stage stage);

/// A log that belongs to a job: the file, how to read it, and what was written down beside it.
struct JobLog {
  std::string file;  // as in the job file, relative to it
  LogOptions options;
  LogCondition condition;
  std::optional<bool> started = {};  // did the engine run up in it?
  Stage stage =
      Stage::before;  // only a log may be of the good engine: a reading of it would tell no fault from another
};

/// A value read off a gauge or a tool, with no log behind it. Without a moment it is kept and shown, and the match does
/// not use it.
struct JobReading {
  std::string when;  // "hot idle", in any words
  ChannelKind kind = ChannelKind::rail_pressure;
  double value = 0;  // SI
  Moment moment = Moment::unsaid;
  std::optional<double> at_least = {},
                        at_most = {};    // told as a range: any value in it, open where one is not told. SI
  std::optional<double> tolerance = {};  // "about", SI
  std::optional<double> later = {};      // after key-off [s]
  std::optional<double> cranked = {};    // [s]
  LogCondition condition = {};           // of this reading; its name is not used
  Stage stage = Stage::before;
  std::string check = {};  // id of the check whose outcome it is; empty: of none
};

/// Why the match does not use a reading, in a few words; empty: it does.
std::string why_unused(const JobReading& reading);

/// Did it start?
struct JobStart {
  bool started = false;
  std::optional<double> cranked = {};  // [s]
  LogCondition condition = {};
  Stage stage = Stage::before;
};

/// What a check showed: in the words of the one who did it, and, of a check that is known, good or bad.
struct JobFinding {
  std::string check;  // "air test, left valve cover", or a word of inspection_kinds()
  std::string text;
  std::optional<bool> bad = {};
  std::string place = {};                 // where, of a check that is done at one place
  std::optional<double> resistance = {};  // of the regulator's coil [ohm]
  std::string done = {};                  // id of the check that was done with it, whatever it showed; empty: of none

  /// Words alone: kept and shown, no evidence.
  bool in_words() const { return !bad && !resistance; }
  /// Bad, and told in words of one's own. The outcome of a check that was pressed is in the catalogue's words.
  bool described() const { return bad.value_or(false) && !text.empty() && done.empty(); }
};

/// What logs from before and after a repair said, as far as a job keeps it.
struct KeptProof {
  RepairProof::Verdict verdict = RepairProof::Verdict::not_proved;
  std::string why, fault;                       // in a sentence; which fault it was
  double gone = 0, unchanged = 0, changed = 0;  // probability of each
  std::string of;                               // fingerprint of the evidence it was computed from

  bool operator==(const KeptProof&) const = default;
};

/// Complaint, circuit and evidence for one engine.
struct Job {
  std::string name, about, complaint;
  std::string circuit;  // file, relative to the job file or shipped
  std::vector<JobReading> readings;
  std::vector<JobLog> logs;  // may be empty while the job is being written down
  std::vector<JobStart> starts;
  std::vector<JobFinding> findings;
  std::vector<AirFindings> air_tests;
  std::vector<std::string> open;    // access groups of the circuit that stand open
  std::vector<std::string> set_up;  // for checks: names of set-ups of models/checks.json that are ready
  std::optional<KeptProof> proof;   // of the repair
  std::string folder;               // of the job file
};

/// Reads a job file (scenarios/job.schema.json describes it). @throws Error with file, place, found, expected
Job read_job(const std::string& path);

/// The job as the text of a job file: reads back to the same job.
std::string job_text(const Job& job);

/// Writes a job file in its old self's place, so that a power cut leaves one of the two whole. @throws Error
/// @param known file_fingerprint() of the file when the job was read: one that another program has changed since is not
/// written over
void write_job(const std::string& path, const Job& job, const std::optional<std::string>& known = std::nullopt);

/// The job as it must be written in another folder: it names the same files.
Job moved_to(const Job& job, const std::string& folder);

/// Path of a file that a job names: beside the job, else as find_data gives it.
std::string job_path(const Job& job, const std::string& file);

/// All that a job knows of its engine at one stage, as the match takes it, and its logs of the good engine beside. Of
/// those only the curves count. A log whose pressure is substituted has no pressures to fit: only what it says beside
/// them is evidence. @param find where a file that the job names is. @throws Error from reading the logs, naming the
/// file
using FindFile = std::function<std::string(const std::string& file)>;
/// @param engine what is known of it from its circuit: it helps to read the logs. @throws Error also where something
/// must be told before a log can be believed
Evidence evidence_of(const Job& job, const FindFile& find, Stage stage = Stage::before, const EngineHints& engine = {});

/// What a circuit says that helps to read a log.
EngineHints engine_hints(const Circuit& circuit);

}  // namespace railseep

#pragma once

#include <array>
#include <deque>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "air_bench.hpp"
#include "bench.hpp"
#include "circuit/circuit.hpp"
#include "deciding.hpp"
#include "diagram.hpp"
#include "document.hpp"
#include "file_browser.hpp"
#include "keyboard.hpp"
#include "matching.hpp"
#include "only_this.hpp"
#include "proving.hpp"
#include "quantity/error.hpp"
#include "reporting.hpp"
#include "settings.hpp"
#include "sound.hpp"
#include "training.hpp"
#include "what_if.hpp"
#include "widgets.hpp"
#include "worker.hpp"

namespace railseep::gui {

/// Keys that mean something in every view. The platform loop translates its own key codes into these.
struct KeyPress {
  enum class What {
    view,
    full_screen,
    save,
    open,
    begin,
    undo,
    redo,
    larger,
    smaller,
    usual_size,
    play,
    place,
    zoom,
    whole,
    move,
    read,
    go
  } what;
  int number = 0;  // of a view; 1 or -1: the next or the last place, nearer or further, later or earlier; a Go
};

/// Something the user should read: place, found, expected.
struct Message {
  std::string place, found, expected;
};

/// Something the user is asked before it is done. The last answer is the careful one: Escape gives it.
struct Asked {
  struct Answer {
    std::string words;
    std::function<void()> then;
  };
  std::string words;
  std::vector<Answer> answers;
};

/// What one does with the model.
enum class ModelTool { oil, air };

/// A circuit that comes with the program.
struct ShippedCircuit {
  std::string file, name;
};

/// How the log that is looked at in the job is drawn.
struct LogLook {
  std::string told;  // of which preview: another one is shown whole
  TimeAxis axis;
  PlotState pressure_plot, duty_plot;
};

/// The copy of unsaved work on the disk.
struct RescueCopy {
  std::filesystem::path file;  // of this window; empty: none yet
  int lock = -1;               // held while this window lives: then its copy is no other's business
  std::string copied;          // text of the job as it stands in the copy
  std::string seen;            // text of the job in the last frame
  double since = 0;            // when it first differed from the copy [s of ImGui::GetTime]
  bool refused = false;        // it could not be written: told once
};

/// All of the window's state: plain data. The frame function draws it and changes it; nothing else does, but what
/// workers deliver.
struct App {
  explicit App(bool threads)
      : live(threads),
        slow(threads),
        reading(threads),
        airing(threads),
        sounding(threads),
        thinking(threads),
        answering_one(threads),
        comparing(threads),
        playing(threads),
        writing(threads),
        showing(threads) {}

  Stage stage;
  Settings settings;
  Settings settings_kept;     // as they stand in the file
  double settings_since = 0;  // when they first differed [s of ImGui::GetTime]
  std::filesystem::path settings_path;
  std::optional<Message> message;
  std::string said;  // what an undo did, until said_until [s of ImGui::GetTime]
  double said_until = 0;
  std::deque<Asked> asked;             // the first is on the screen
  std::function<void()> after_saving;  // what waits for the job to be saved
  RescueCopy rescue;
  std::vector<KeyPress> keys;  // pressed since the last frame
  int view = 0;                // index into views()
  bool quit = false;
  bool font_found = true;
  struct Going {
    Go where;
    unsigned from;  // the control
    int frames = 0;
  };
  std::optional<Going> going;        // an arrow key was pressed and may turn out to lead nowhere
  std::vector<std::string> dropped;  // files dropped on the window since the last frame

  Document document;
  FileBrowser browser;
  std::vector<ShippedCircuit> shipped_circuits;  // to choose from
  Bench bench;
  Answering answering;
  ModelTool tool = ModelTool::oil;
  int shop_tab = 0;          // of a narrow window
  bool full_screen = false;  // the model for the class: drawing and curves, nothing around them
  LogLook log_look;
  bool leaving = false;  // the window was asked to close

  std::string circuit_file;  // as the job names it
  std::shared_ptr<const Circuit> circuit;
  Matching matching;
  Deciding deciding;
  OnlyThis only_this;
  Proving proving;
  AirBench air;
  Sound sound;
  std::set<std::string> acknowledged;  // cautions read in this session, by procedure
  std::string asking;                  // the procedure whose cautions are to be read now
  WhatIf what_if;
  DiagramState diagram;
  Training training;
  Reporting reporting;

  // Last, so that they are stopped before what they deliver into is gone.
  Worker live;           // curves of sliders
  Worker slow;           // the match
  Worker reading;        // logs
  Worker airing;         // the air test
  Worker sounding;       // what it sounds like
  Worker thinking;       // what to do next
  Worker answering_one;  // whether one repair will do
  Worker comparing;      // before and after a repair
  Worker playing;        // exercises and lessons
  Worker writing;        // the report
  Worker showing;        // the report in the system's viewer

  std::array<Worker*, 11> workers() {
    return {&live,          &slow,      &reading, &airing,  &sounding, &thinking,
            &answering_one, &comparing, &playing, &writing, &showing};
  }
};

/// Does something that may throw Error; a failure becomes the message, and what was there before stays.
template <class Do>
bool attempt(App& app, Do&& what) {
  try {
    what();
    return true;
  } catch (const Error& error) {
    app.message = Message{error.place(), error.found(), error.expected()};
  } catch (const std::exception& error) {
    app.message = Message{"", error.what(), "The job is as it was. Save it under another name if this comes again"};
  } catch (...) {
    app.message = Message{"", "Something went wrong that has no name",
                          "The job is as it was. Save it under another name if this comes again"};
  }
  return false;
}

/// The window's first state: a job file, or an empty job with a shipped circuit when none is named.
void start(App& app, const std::string& job);

/// The one gate before whatever replaces the job or ends the window: does it at once where nothing is unsaved, else
/// asks to save, throw away or stay.
void unless_unsaved(App& app, std::function<void()> then);

/// Another document in place of the one there was. Its circuit may be one that cannot be read: then there is none, and
/// the message says why.
void take_document(App& app, Document document);

/// What the user can ask for from every view. Failures become the message; what was there stays.
void open_job(App& app, const std::string& path);  // at once: unless_unsaved stands before it
void new_job(App& app);
void save_job(App& app);  // asks for a name the first time, and before another's changes of the file are overwritten
void ask_for_job(App& app);
void ask_for_log(App& app);
void ask_for_log_file(App& app, JobLog& log);  // in place of the one that a log of the job names
void ask_for_name(App& app);                   // save as
void take_dropped(App& app);                   // logs join the job, a job is opened
void undo_step(App& app);                      // says what it brought back, and shows its page
void redo_step(App& app);

/// Reads the circuit that the job names; a bad one leaves the circuit there was.
bool load_circuit(App& app, const std::string& file);

}  // namespace railseep::gui

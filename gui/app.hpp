#pragma once

#include <array>
#include <filesystem>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "air_bench.hpp"
#include "circuit/circuit.hpp"
#include "deciding.hpp"
#include "diagram.hpp"
#include "document.hpp"
#include "file_browser.hpp"
#include "keyboard.hpp"
#include "matching.hpp"
#include "proving.hpp"
#include "quantity/error.hpp"
#include "settings.hpp"
#include "sound.hpp"
#include "what_if.hpp"
#include "widgets.hpp"
#include "worker.hpp"

namespace railseep::gui {

/// Keys that mean something in every view. The platform loop translates its own key codes into these.
struct KeyPress {
  enum class What { view, save, open, undo, redo, larger, smaller, usual_size, play, place, zoom, whole, move, read, go } what;
  int number = 0;  // of a view; 1 or -1: the next or the last place, nearer or further, later or earlier; a Go
};

/// Something the user should read: place, found, expected.
struct Message {
  std::string place, found, expected;
};

/// All of the window's state: plain data. The frame function draws it and changes it; nothing else does, but what workers deliver.
struct App {
  explicit App(bool threads) : live(threads), slow(threads), reading(threads), airing(threads), sounding(threads), thinking(threads), comparing(threads) {}

  Stage stage;
  Settings settings;
  std::filesystem::path settings_path;
  std::optional<Message> message;
  std::vector<KeyPress> keys;  // pressed since the last frame
  int view = 0;                // index into views()
  bool quit = false;
  bool font_found = true;
  struct Going {
    Go where;
    unsigned from;    // the control
    int frames = 0;
  };
  std::optional<Going> going;  // an arrow key was pressed and may turn out to lead nowhere
  std::vector<std::string> dropped;  // files dropped on the window since the last frame

  Document document;
  FileBrowser browser;
  int step = 0;  // of the job view
  int log = 0;   // looked at in the job view
  bool leaving = false;  // the window was asked to close

  std::string circuit_file;  // as the job names it
  std::shared_ptr<const Circuit> circuit;
  Matching matching;
  Deciding deciding;
  Proving proving;
  AirBench air;
  Sound sound;
  std::set<std::string> acknowledged;  // cautions read in this session, by procedure
  std::string asking;                  // the procedure whose cautions are to be read now
  WhatIf what_if;
  DiagramState diagram;

  // Last, so that they are stopped before what they deliver into is gone.
  Worker live;  // curves of sliders
  Worker slow;  // the match
  Worker reading;  // logs
  Worker airing;   // the air test
  Worker sounding;  // what it sounds like
  Worker thinking;  // what to do next
  Worker comparing;  // before and after a repair

  std::array<Worker*, 7> workers() { return {&live, &slow, &reading, &airing, &sounding, &thinking, &comparing}; }
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
    app.message = Message{"", error.what(), ""};
  }
  return false;
}

/// The window's first state: a job file, or an empty job with a shipped circuit when none is named.
void start(App& app, const std::string& job);

/// What the user can ask for from every view. Failures become the message; what was there stays.
void open_job(App& app, const std::string& path);
void save_job(App& app);  // asks for a name the first time
void ask_for_job(App& app);
void ask_for_log(App& app);
void ask_for_name(App& app);  // save as
void take_dropped(App& app);  // logs join the job, a job is opened

inline constexpr int logs_step = 3, findings_step = 5;  // of the job view

/// Reads the circuit that the job names; a bad one leaves the circuit there was.
bool load_circuit(App& app, const std::string& file);

}  // namespace railseep::gui

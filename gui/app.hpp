#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.hpp"
#include "diagram.hpp"
#include "quantity/error.hpp"
#include "settings.hpp"
#include "what_if.hpp"
#include "widgets.hpp"
#include "worker.hpp"

namespace railseep::gui {

/// Keys that mean something in every view. The platform loop translates its own key codes into these.
struct KeyPress {
  enum class What { view, save, open, undo, redo, larger, smaller, usual_size, play, help } what;
  int number = 0;  // of a view
};

/// Something the user should read: place, found, expected.
struct Message {
  std::string place, found, expected;
};

/// All of the window's state: plain data. The frame function draws it and changes it; nothing else does, but what workers deliver.
struct App {
  explicit App(bool threads) : live(threads), slow(threads) {}

  Stage stage;
  Settings settings;
  std::filesystem::path settings_path;
  std::optional<Message> message;
  std::vector<KeyPress> keys;  // pressed since the last frame
  int view = 0;                // index into views()
  bool quit = false, help = false;
  bool font_found = true;
  std::vector<std::string> dropped;  // files dropped on the window since the last frame

  std::string circuit_file;
  std::shared_ptr<const Circuit> circuit;
  WhatIf what_if;
  DiagramState diagram;

  // Last, so that they are stopped before what they deliver into is gone.
  Worker live;  // curves of sliders
  Worker slow;  // the match
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

/// The window's first state: a job file, or a shipped circuit when none is named.
void start(App& app, const std::string& job);

/// Reads a circuit file; a bad one leaves the circuit there was.
bool load_circuit(App& app, const std::string& file);

}  // namespace railseep::gui

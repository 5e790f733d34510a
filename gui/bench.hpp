#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "deciding.hpp"
#include "job/job.hpp"
#include "match/match.hpp"
#include "settings.hpp"

namespace railseep::gui {

struct App;

/// One piece of a job's story: the entry of the job that it stands for.
struct Card {
  enum class What { complaint, engine, reading, start, log, finding, air, repair } what = What::complaint;
  std::size_t index = 0;  // in its list of the job

  std::string id() const;  // "log 0"
  bool operator==(const Card&) const = default;
};

/// What a finding in words is called that says what was repaired.
inline constexpr std::string_view repair_word = "repair";

/// All of a job in the order in which it happened: complaint and engine, what was found before the repair, the repair,
/// what was found after it. Within each in the order of the trade, and as it was told.
std::vector<Card> story_of(const Job& job);

/// Whether something was repaired already: it is told, or something is from after it.
bool is_repaired(const Job& job);

/// Adds an entry of this kind, which after a repair is from after it. @return its card
Card add_card(Job& job, Card::What what);
/// Removes the entry; of a check's outcome all that was told of it.
void remove_card(Job& job, const Card& card);

/// How the bench is looked at.
struct Bench {
  std::string open = "complaint";  // id of the card that stands unfolded; empty: none
  std::string shown;               // id of a card to be brought into sight; empty: none
  int tab = 0;                     // of a narrow window: the story, the answer, what to do
  bool cautions = false;           // those of the check at hand stand unfolded
  bool details = false;            // curves of the chosen candidate
  bool greeting = false;           // nothing was begun or opened yet
};

/// What the answer was computed for, so that nothing is computed twice over, nor again after it failed or was stopped.
struct Answering {
  std::string seen;                            // the evidence in the last frame
  double since = 0;                            // when it became so [s of ImGui::GetTime]
  std::string matched;                         // evidence that the match was begun for
  std::string proved;                          // evidence that the proof was begun for
  std::shared_ptr<const MatchResult> decided;  // match that the decision was begun for
  DecisionBasis decided_on;                    // and on what
};

/// So long after the last change of the evidence the answer is computed anew [s].
inline constexpr double answer_after = 0.5;

/// Keeps the answer up to date: the match, then what to do next, and the proof where there are logs from after a
/// repair. To be called once a frame.
void follow_evidence(App& app);

/// Whether the answer shown is of other evidence than the job holds now.
bool answer_is_old(const App& app);

/// Computes the answer though it was stopped or failed.
void answer_again(App& app);

}  // namespace railseep::gui

#pragma once

#include <memory>
#include <string>

#include "decide/if_repaired.hpp"
#include "long_work.hpp"

namespace railseep::gui {

/// Will the engine start if only what stands behind one cover is put right? Asked of one cover at a time.
struct OnlyThis : LongWork {
  std::string group;  // that was asked about last
  std::shared_ptr<const IfRepaired> answer;
  std::shared_ptr<const Decision> of;  // what the answer was made from

  bool answers(const std::shared_ptr<const Decision>& decision, const std::string& asked) const {
    return answer && of == decision && group == asked;
  }
};

/// Is there a place of this engine behind a cover of that name?
bool is_access(const Circuit& circuit, const std::string& name);

/// Asks beside the frame. @param group an access group of the circuit
void ask_if_only(OnlyThis& only, const std::shared_ptr<const Circuit>& circuit,
                 const std::shared_ptr<const Decision>& decision, const std::string& group, Worker& worker);

/// "Starts hot within 10 s: 63 % (as it is now: 19 %). Most likely in the way then: ... (12 %)."
std::string answer_words(const IfRepaired& answer);

}  // namespace railseep::gui

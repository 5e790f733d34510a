#include "only_this.hpp"

#include <algorithm>

#include "circuit/faults.hpp"
#include "words/shown_units.hpp"

namespace railseep::gui {

bool is_access(const Circuit& circuit, const std::string& name) {
  return std::ranges::any_of(possible_faults(circuit),
                             [&](const PossibleFault& fault) { return fault.access == name; });
}

void ask_if_only(OnlyThis& only, const std::shared_ptr<const Circuit>& circuit,
                 const std::shared_ptr<const Decision>& decision, const std::string& group, Worker& worker) {
  only.group = group;
  only.answer = nullptr;
  only.begin(
      worker,
      [circuit, decision, group](Progress&, const Worker::Cancelled&) {
        return std::make_shared<const IfRepaired>(if_repaired(*circuit, *decision, {group}, 1));
      },
      [&only, decision](const std::shared_ptr<const IfRepaired>& answer) { only.answer = answer, only.of = decision; });
}

std::string answer_words(const IfRepaired& answer) {
  constexpr double worth_a_word = 0.01;
  std::string text = "It then starts hot within " + plain_number(if_repaired_crank, 2) +
                     " s: " + percent(answer.starts) + " (as it is now: " + percent(answer.starts_now) + ").";
  if (!answer.keeps.empty() && answer.keeps.front().second >= worth_a_word)
    text += " Most likely in its way then: " + answer.keeps.front().first + " (" +
            percent(answer.keeps.front().second) + ").";
  return text;
}

}  // namespace railseep::gui

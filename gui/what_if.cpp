#include "what_if.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>

namespace railseep::gui {

namespace {

bool same(const Fault& a, const Fault& b) { return a.place == b.place && a.kind == b.kind && a.severity == b.severity; }

double now() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }

}  // namespace

bool operator==(const Question& a, const Question& b) {
  return a.oil == b.oil && a.oil_temperature == b.oil_temperature && a.speed == b.speed && a.battery == b.battery &&
         a.rest_air == b.rest_air && a.rest_time == b.rest_time && a.duration == b.duration &&
         std::equal(a.faults.begin(), a.faults.end(), b.faults.begin(), b.faults.end(), same);
}

CrankOptions screen_options(double duration) {
  CrankOptions options;
  options.duration = duration;
  options.output_interval = duration / 300;
  options.tolerance = 1e-4;
  return options;
}

Curve answer(const Circuit& circuit, const Question& question) {
  Condition condition;
  condition.oil = question.oil;
  condition.oil_temperature = question.oil_temperature;
  condition.speed = Profile(question.speed);
  condition.battery = Profile(question.battery);
  condition.rest_air = question.rest_air;
  condition.rest_time = question.rest_time;
  const Circuit faulty = with_faults(circuit, question.faults);
  Curve curve{question, crank(faulty, condition, screen_options(question.duration)).trace, {}, {}};
  curve.summary = summarise(faulty, curve.trace);
  curve.balance = balance(faulty, curve.trace);
  return curve;
}

void ask(WhatIf& what_if, const std::shared_ptr<const Circuit>& circuit, Worker& worker, bool held) {
  if (what_if.asked && *what_if.asked == what_if.question) {
    if (!held) what_if.in_motion = false;
    return;
  }
  // The ghost is the curve from before the whole drag, not from one pixel ago.
  if (!what_if.in_motion) what_if.before = what_if.now;
  what_if.in_motion = held;
  what_if.asked = what_if.question;
  worker.submit(
      [&what_if, circuit, question = what_if.question, began = now()](const Worker::Cancelled&) -> Worker::Deliver {
        auto curve = std::make_shared<Curve>(answer(*circuit, question));
        curve->wait = now() - began;
        return [&what_if, curve] {
          what_if.now = curve;
          what_if.trouble.clear();
          what_if.axis.cover(0, curve->question.duration);
          if (!what_if.playing) what_if.time = std::min(what_if.time, curve->question.duration);
        };
      },
      [&what_if](const Error& error) { what_if.trouble = error.what(); });
}

void note_question(WhatIf& what_if, bool held) {
  constexpr std::size_t most_steps = 200;
  if (held || (!what_if.past.empty() && what_if.past.back() == what_if.question)) return;
  what_if.past.push_back(what_if.question);
  what_if.future.clear();
  if (what_if.past.size() > most_steps) what_if.past.erase(what_if.past.begin());
}

bool undo(WhatIf& what_if) {
  if (what_if.past.size() < 2) return false;
  what_if.future.push_back(what_if.past.back());
  what_if.past.pop_back();
  what_if.question = what_if.past.back();
  return true;
}

bool redo(WhatIf& what_if) {
  if (what_if.future.empty()) return false;
  what_if.question = what_if.future.back();
  what_if.past.push_back(what_if.question);
  what_if.future.pop_back();
  return true;
}

Question healthy(const Circuit& circuit) {
  Question question;
  question.oil = circuit.oil;
  return question;
}

bool open_leak(WhatIf& what_if, const Circuit& circuit, const std::string& place) {
  if (find_fault(what_if.question, place)) return false;
  for (const PossibleFault& possible : possible_faults(circuit)) {
    if (possible.place != place || !possible.kind->applies_to.starts_with("site")) continue;
    what_if.question.faults.push_back(typical_fault(possible));
    return true;
  }
  return false;
}

Fault* find_fault(Question& question, const std::string& place) {
  for (Fault& fault : question.faults)
    if (fault.place == place) return &fault;
  return nullptr;
}

void choose_neighbour(WhatIf& what_if, const Circuit& circuit, int way) {
  std::vector<std::string> places;
  for (const PossibleFault& possible : possible_faults(circuit))
    if (std::find(places.begin(), places.end(), possible.place) == places.end()) places.push_back(possible.place);
  if (places.empty()) return;
  const auto now = std::find(places.begin(), places.end(), what_if.place);
  const auto count = static_cast<std::ptrdiff_t>(places.size());
  const std::ptrdiff_t at = now == places.end() ? (way > 0 ? -1 : 0) : now - places.begin();
  what_if.place = places[static_cast<std::size_t>((at + way + count) % count)];
}

Fault typical_fault(const PossibleFault& possible) {
  const bool logarithmic = possible.least > 0;
  const double middle =
      logarithmic ? std::sqrt(possible.least * possible.most) : 0.5 * (possible.least + possible.most);
  return {possible.place, std::string(possible.kind->word), middle};
}

}  // namespace railseep::gui

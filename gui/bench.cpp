#include "bench.hpp"

#include <algorithm>

#include "app.hpp"
#include "job/kept_proof.hpp"
#include "job/noted_checks.hpp"
#include "job/told_outcome.hpp"

namespace railseep::gui {

namespace {

using What = Card::What;
// The window's stage of a frame has the same short name.
constexpr auto after = railseep::Stage::after;

constexpr const char* card_words[] = {"complaint", "engine",  "reading",  "start",
                                      "log",       "finding", "air test", "repair"};

bool is_repair(const JobFinding& finding) { return finding.check == repair_word; }

bool has_log(const Job& job, railseep::Stage stage) {
  return std::ranges::any_of(job.logs, [&](const JobLog& log) { return log.stage == stage; });
}

/// All that the answer depends on.
std::string evidence_of_all(const App& app) {
  return app.document.job.folder + "\n" + app.circuit_file + "\n" + evidence_text(app.document.job);
}

void follow_match(App& app, const std::string& evidence) {
  if (app.answering.matched == evidence) return;
  app.answering.matched = evidence;
  if (has_evidence(app.document.job) && app.circuit) {
    if (app.matching.result && app.matching.of == evidence_text(app.document.job)) return;
    return start_match(app.matching, app.document, app.circuit, app.slow);
  }
  app.matching.stop(app.slow), app.matching.result = nullptr;
  app.deciding.stop(app.thinking), app.deciding.result = nullptr;
}

void follow_decision(App& app) {
  Answering& answering = app.answering;
  if (app.matching.running() || answer_is_old(app) || !app.matching.result) return;
  const DecisionBasis basis = basis_of(app.document.job, app.matching, app.settings);
  const bool begun = answering.decided == app.matching.result && answering.decided_on == basis;
  if (begun || app.deciding.up_to_date(app.matching, basis)) return;
  answering.decided = app.matching.result;
  answering.decided_on = basis;
  start_deciding(app.deciding, app.matching, app.document.job, app.circuit, app.settings, app.thinking);
}

void follow_proof(App& app, const std::string& evidence) {
  const Job& job = app.document.job;
  if (app.answering.proved == evidence) return;
  app.answering.proved = evidence;
  const bool can = has_log(job, railseep::Stage::before) && has_log(job, after) && app.circuit;
  if (!can) return app.proving.stop(app.comparing);
  if (!proof_is_up_to_date(app.proving, job) || app.proving.said != job.proof)
    start_proving(app.proving, app.document, app.circuit, app.comparing);
}

}  // namespace

std::string Card::id() const {
  const std::string word = card_words[static_cast<int>(what)];
  return what == What::complaint || what == What::engine ? word : word + " " + std::to_string(index);
}

std::vector<Card> story_of(const Job& job) {
  std::vector<Card> story{{What::complaint, 0}, {What::engine, 0}};
  const auto add = [&](What what, const auto& list, const auto& here) {
    for (std::size_t i = 0; i < list.size(); ++i)
      if (here(list[i])) story.push_back({what, i});
  };
  const auto add_stage = [&](bool later) {
    const auto here = [&](const auto& told) { return (told.stage == after) == later; };
    add(What::reading, job.readings, here), add(What::start, job.starts, here);
    add(What::log, job.logs, here);
  };
  const auto any = [](const auto&) { return true; };
  add_stage(false);
  add(What::finding, job.findings, [](const JobFinding& finding) { return !is_repair(finding); });
  add(What::air, job.air_tests, any);
  add(What::repair, job.findings, is_repair);
  add_stage(true);
  return story;
}

bool is_repaired(const Job& job) {
  const auto later = [](const auto& told) { return told.stage == after; };
  return std::ranges::any_of(job.findings, is_repair) || std::ranges::any_of(job.logs, later) ||
         std::ranges::any_of(job.readings, later) || std::ranges::any_of(job.starts, later);
}

Card add_card(Job& job, What what) {
  const railseep::Stage stage = is_repaired(job) ? after : railseep::Stage::before;
  switch (what) {
    case What::reading:
      job.readings.emplace_back().stage = stage;
      return {what, job.readings.size() - 1};
    case What::start:
      job.starts.emplace_back().stage = stage;
      return {what, job.starts.size() - 1};
    case What::finding:
      job.findings.emplace_back();
      return {what, job.findings.size() - 1};
    case What::air:
      job.air_tests.emplace_back();
      return {what, job.air_tests.size() - 1};
    case What::repair:
      job.findings.push_back({std::string(repair_word), ""});
      return {what, job.findings.size() - 1};
    default:
      return {what, 0};  // there is one of each, and a log is chosen first
  }
}

void remove_card(Job& job, const Card& card) {
  const auto place = static_cast<std::ptrdiff_t>(card.index);
  switch (card.what) {
    case What::reading:
      if (const std::string check = job.readings[card.index].check; !check.empty()) return take_back(job, check);
      job.readings.erase(job.readings.begin() + place);
      break;
    case What::start:
      job.starts.erase(job.starts.begin() + place);
      break;
    case What::log:
      job.logs.erase(job.logs.begin() + place);
      break;
    case What::finding:
      if (const std::string check = noted_check(job.findings[card.index]); !check.empty()) return take_back(job, check);
      job.findings.erase(job.findings.begin() + place);
      break;
    case What::repair:
      job.findings.erase(job.findings.begin() + place);
      break;
    case What::air:
      job.air_tests.erase(job.air_tests.begin() + place);
      break;
    default:
      break;
  }
}

bool answer_is_old(const App& app) { return app.matching.result && app.matching.of != evidence_text(app.document.job); }

void follow_evidence(App& app) {
  if (!app.settings.answers) return;
  Answering& answering = app.answering;
  const std::string evidence = evidence_of_all(app);
  const double now = ImGui::GetTime();
  if (evidence != answering.seen || now < answering.since) answering.seen = evidence, answering.since = now;
  if (const double waits = answering.since + answer_after - now; waits > 0) return app.stage.wake_within(waits);
  follow_match(app, evidence);
  follow_decision(app);
  follow_proof(app, evidence);
}

void answer_again(App& app) {
  app.answering = {};
  if (!app.settings.answers) start_match(app.matching, app.document, app.circuit, app.slow);
}

}  // namespace railseep::gui

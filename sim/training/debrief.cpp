#include "training/debrief.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "drawing/svg_plot.hpp"
#include "procedure/crank.hpp"
#include "training/suspicion.hpp"

namespace railseep {

namespace {

constexpr std::size_t told_beliefs = 3;
constexpr double good_grade = 80;

std::string whole(double value) { return std::to_string(static_cast<long long>(std::llround(value))); }
std::string tenths(double value) {
  const long long all = std::llround(10 * value);
  return std::to_string(all / 10) + "." + std::to_string(std::abs(all % 10));
}
std::string minutes(double seconds) { return whole(seconds / 60) + " min"; }

std::string belief_words(const Step& step) {
  std::string text;
  for (std::size_t i = 0; i < step.belief.size() && i < told_beliefs; ++i)
    if (i == 0 || step.belief[i].second >= 0.02)
      text += (i == 0 ? "" : ", ") + step.belief[i].first + " " + whole(100 * step.belief[i].second) + " %";
  return text;
}

const Step* dearest_waste(const Session& session) {
  const Step* worst = nullptr;
  for (const Step& step : session.steps())
    if (step.wasted > (worst ? worst->wasted : 0)) worst = &step;
  return worst;
}

std::string escaped(const std::string& text, bool html) {
  std::string safe;
  for (const char c : text) {
    if (html && c == '<')
      safe += "&lt;";
    else if (html && c == '&')
      safe += "&amp;";
    else if (html && c == '>')
      safe += "&gt;";
    else if (html && c == '"')
      safe += "&quot;";
    else if (html && c == '%' && safe.ends_with(' '))
      safe.replace(safe.size() - 1, 1, "&nbsp;%");
    else
      safe += c;
  }
  return safe;
}

/// A cell of CSV: in quotes, and no spreadsheet takes it for a formula.
std::string cell(std::string text) {
  if (!text.empty() && std::string("=+-@").find(text.front()) != std::string::npos) text = " " + text;
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? "\"\"" : std::string(1, c == '\n' ? ' ' : c);
  return quoted + "\"";
}

}  // namespace

std::string expectation_words(const Step& step) {
  if (!step.paid || step.refused) return "";
  if (!step.as_expected)
    return step.move.expect.empty() ? "nothing was expected" : "what was expected cannot be compared";
  return *step.as_expected ? "as expected" : "not as expected";
}

std::string remarks(const Step& step) {
  std::string text;
  const auto add = [&](const std::string& remark) { text += (text.empty() ? "" : "; ") + remark; };
  if (step.refused) add("could not be done so");
  if (step.invalid) add("says nothing: " + step.evidence);
  if (step.redundant) add("could tell nothing new");
  if (!step.illogical.empty()) add("does not follow: " + step.illogical);
  if (step.wrong_part) add("a good part");
  if (step.wasted > 0) add("wasted " + whole(step.wasted));
  return text;
}

std::string hidden_words(const Exercise& exercise) {
  if (exercise.hidden.faults.empty()) return "nothing on the oil side; the cause is in fuel or electrics";
  std::string text;
  for (const std::string& fault : exercise.hidden.faults) text += (text.empty() ? "" : "; ") + fault;
  return text;
}

double wasted(const Session& session) {
  double sum = 0;
  for (const Step& step : session.steps()) sum += step.wasted;
  return sum;
}

std::vector<PlotCurve> crank_curves(const Session& session) {
  constexpr double cranked = 6;  // [s]
  std::vector<PlotCurve> curves;
  const auto add = [&](const std::string& label, std::vector<Fault> faults, PlotCurve::Mark mark) {
    Bay bay(session.table(), std::move(faults), false, session.exercise().seed, {hot_oil, 1, 0, 0, false});
    const Trace log = bay.crank(cranked, 0).log;
    curves.push_back({label, log.time, log.find(signal::shown_pressure).value, mark});
  };
  add("as it came", session.first_faults(), PlotCurve::Mark::line);
  add("sound", {}, PlotCurve::Mark::dashes);
  PlotCurve read{"read by the learner", {}, {}, PlotCurve::Mark::dots};
  for (const Step& step : session.steps())
    if (step.value && (step.check == "hot crank" || step.check == "read again")) {
      read.x.push_back(cranked);
      read.y.push_back(*step.value);
    }
  if (!read.x.empty()) curves.push_back(std::move(read));
  return curves;
}

std::vector<std::string> questions(const Debrief& debrief) {
  std::vector<std::string> all;
  const Step* telling = nullptr;
  for (const Step& step : debrief.session.steps())
    if (!telling && step.column && !step.belief.empty() && step.belief.front().second > 0.5) telling = &step;
  all.push_back(
      telling ? "After \"" + move_text({telling->move.verb, telling->move.what, "", ""}) +
                    "\" one suspicion stood out. Could that check have come first, and what would it have cost then?"
              : "Which check would have told you most for its minutes, and why was it not done?");
  const Step* waste = dearest_waste(debrief.session);
  all.push_back(waste
                    ? "What did you know before \"" + move_text({waste->move.verb, waste->move.what, "", ""}) +
                          "\", and what would have had to be so for it to pay?"
                    : "Which of your expectations did not hold, and what did that tell you of how this system works?");
  all.push_back(debrief.session.ending() == Ending::solved
                    ? "What could bring this engine back within a month, and how did you prove that it will not?"
                    : "What would you have to see, hear or read before you renew a part next time?");
  return all;
}

std::string practise_next(const Debrief& debrief) {
  std::map<std::string, int> mistakes;
  for (const Step& step : debrief.session.steps()) {
    mistakes["parts"] += step.wrong_part, mistakes["order"] += !step.illogical.empty();
    mistakes["condition"] += step.invalid, mistakes["repeat"] += step.redundant;
    mistakes["expect"] += step.paid && !step.refused && !step.as_expected.value_or(false);
  }
  const int level = debrief.session.exercise().level;
  if (debrief.session.ending() == Ending::danger)
    return "The same exercise again: first say aloud what must be so before each move.";
  if (mistakes["parts"] > 0)
    return "Another exercise of level " + std::to_string(level) + ": renew nothing that was not seen bad.";
  if (mistakes["condition"] > 0) return "Level 4: batteries, oil temperature and air before anything is believed.";
  if (mistakes["order"] + mistakes["repeat"] > 1)
    return "Level 3, look-alikes: before each check say what it would split.";
  if (!debrief.grade.solved || debrief.grade.points < good_grade)
    return "Another exercise of level " + std::to_string(level) + " with another seed.";
  if (mistakes["expect"] > 2) return "The lessons again, and say the number before you look.";
  return level < highest_level ? "Level " + std::to_string(level + 1) + ": " + std::string(level_words(level + 1)) + "."
                               : "Write an exercise for a colleague.";
}

std::string debrief_text(const Debrief& debrief) {
  const Session& session = debrief.session;
  std::string text = session.exercise().name + ", level " + std::to_string(session.exercise().level) + ": " +
                     std::string(word(session.ending())) + ", " + whole(debrief.grade.points) + " of 100 points\n";
  if (!debrief.learner.empty()) text += "Learner: " + debrief.learner + "\n";
  if (!session.why_over().empty()) text += session.why_over() + "\n";
  text += "Hidden: " + hidden_words(session.exercise()) + "\n";
  if (!session.exercise().hidden.lesson.empty()) text += "What it teaches: " + session.exercise().hidden.lesson + "\n";
  text += "\nWhat was done, and what the program believed afterwards\n";
  for (std::size_t i = 0; i < session.steps().size(); ++i) {
    const Step& step = session.steps()[i];
    text += "  " + std::to_string(i + 1) + ". " + move_text(step.move) + " (" + minutes(step.cost.time) + ", " +
            whole(step.cost.money) + ")\n";
    for (const std::string& line : step.told) text += "       " + line + "\n";
    if (const std::string held = expectation_words(step); !held.empty()) text += "       " + held + "\n";
    if (!step.ruled_out.empty()) text += "       " + step.ruled_out + "\n";
    if (const std::string remark = remarks(step); !remark.empty()) text += "     ! " + remark + "\n";
    text += "       belief: " + belief_words(step) + "\n";
  }
  text += "\nYou: " + whole(session.spent()) + " " + session.table().costs.currency + ", " + minutes(session.clock()) +
          ", of it wasted " + whole(wasted(session)) + "\n";
  text += "The program's own way: " + whole(debrief.par.spent()) + " " + session.table().costs.currency + ", " +
          minutes(debrief.par.clock()) + "\n";
  for (const Step& step : debrief.par.steps()) {
    text += "  " + move_text({step.move.verb, step.move.what, "", ""}) + " (" + minutes(step.cost.time) + "): ";
    for (std::size_t k = 0; k < step.told.size(); ++k) text += (k == 0 ? "" : " ") + step.told[k];
    text += "\n";
  }
  text += "\nPoints off\n";
  for (const Deduction& deduction : debrief.grade.deductions)
    text += "  -" + tenths(deduction.points) + "  " +
            (deduction.step < 0 ? "" : "move " + std::to_string(deduction.step + 1) + ": ") + deduction.reason + "\n";
  if (!debrief.grade.solved) text += "  Not solved: 0 points\n";
  text += "A score is feedback, not a certificate.\n\nTo think about\n";
  for (const std::string& question : questions(debrief)) text += "  ? " + question + "\n";
  return text + "\nPractise next: " + practise_next(debrief) + "\n";
}

namespace {

/// Belief in what is really the case, after each move.
std::string belief_picture(const Session& session) {
  std::vector<std::string> wanted;
  for (const Fault& fault : session.first_faults()) wanted.push_back(suspicion_of(session.table().circuit, fault));
  if (wanted.empty()) wanted.emplace_back(not_the_oil_side);
  std::ranges::sort(wanted);
  wanted.erase(std::unique(wanted.begin(), wanted.end()), wanted.end());
  std::vector<PlotCurve> curves;
  for (const std::string& suspicion : wanted) {
    PlotCurve curve{suspicion, {}, {}};
    for (std::size_t i = 0; i < session.steps().size(); ++i)
      for (const auto& [name, p] : session.steps()[i].belief)
        if (name == suspicion) curve.x.push_back(static_cast<double>(i + 1)), curve.y.push_back(100 * p);
    curves.push_back(std::move(curve));
  }
  return svg_plot("Belief in what it was", "move", "%", curves);
}

std::string crank_picture(const Session& session) {
  std::vector<PlotCurve> curves = crank_curves(session);
  const ShownUnits& units = session.table().units;
  for (PlotCurve& curve : curves)
    for (double& p : curve.y) p = units.number(p, Quantity::pressure);
  return svg_plot("Hot crank, as the sensor shows it", "s", units.pressure, curves);
}

std::string row(const std::vector<std::string>& cells, const char* tag = "td") {
  std::string text = "<tr>";
  for (const std::string& one : cells) text += std::string("<") + tag + ">" + escaped(one, true) + "</" + tag + ">";
  return text + "</tr>\n";
}

std::string told_line(const Step& step) {
  std::string told;
  for (const std::string& line : step.told) told += (told.empty() ? "" : " ") + line;
  return told;
}

}  // namespace

namespace {

// On a telephone each move is a block of its own: a table of seven columns has no room there.
constexpr std::string_view page_style =
    "body{font:16px/1.45 sans-serif;max-width:62em;margin:1.5em auto;padding:0 1em;color:#1a1a1a;"
    "overflow-wrap:anywhere}"  // the fingerprint of a sealed exercise is one long word
    "table{border-collapse:collapse;width:100%;margin:.6em 0}"
    "td,th{border:1px solid #bbb;padding:.3em .5em;text-align:left;vertical-align:top}th{background:#eee}"
    "svg{max-width:100%;height:auto}"
    "@media(max-width:48em){.moves tr:first-child{display:none}.moves,.moves tbody,.moves tr,.moves td{display:block}"
    ".moves td{border:0;padding:0}.moves tr{border-top:1px solid #bbb;padding:.5em 0}"
    ".moves td:nth-child(2){font-weight:bold}.moves td:last-child{color:#555}}"
    "@media print{body{margin:0}tr,svg{break-inside:avoid}}";

}  // namespace

std::string debrief_html(const Debrief& debrief) {
  const Session& session = debrief.session;
  std::string page =
      "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" "
      "content=\"width=device-width, initial-scale=1\"><title>Debrief</title>\n<style>" +
      std::string(page_style) + "</style></head><body>\n";
  page += "<h1>" + escaped(session.exercise().name, true) + "</h1>\n<p>" + escaped(session.exercise().complaint, true) +
          "</p>\n<p><b>" + capital(word(session.ending())) + ", " + whole(debrief.grade.points) +
          " of 100 points.</b> " + escaped(session.why_over(), true) + "</p>\n";
  if (!debrief.learner.empty()) page += "<p>Learner: " + escaped(debrief.learner, true) + "</p>\n";
  page += "<p>Hidden: " + escaped(hidden_words(session.exercise()), true) + ". " +
          escaped(session.exercise().hidden.lesson, true) + "</p>\n";
  if (!session.exercise().seal.empty())
    page += "<p>The hidden part is the one that was sealed: SHA-256 " + session.exercise().seal + "</p>\n";
  page += "<h2>What was done, and what the program believed afterwards</h2>\n<table class=\"moves\">" +
          row({"", "move", "takes", "what it told", "expected?", "what follows", "belief"}, "th");
  for (std::size_t i = 0; i < session.steps().size(); ++i) {
    const Step& step = session.steps()[i];
    std::string follows = step.ruled_out;
    if (const std::string remark = remarks(step); !remark.empty())
      follows += (follows.empty() ? "" : " ") + ("(" + remark + ")");
    page += row({std::to_string(i + 1), move_text(step.move),
                 minutes(step.cost.time) + ", " + whole(step.cost.money) + " " + session.table().costs.currency,
                 told_line(step), expectation_words(step), follows, belief_words(step)});
  }
  page += "</table>\n" + belief_picture(session) + "\n" + crank_picture(session) + "\n";
  page += "<h2>Your way and the program's</h2>\n<table>" + row({"", "you", "the program"}, "th");
  page += row({"money", whole(session.spent()), whole(debrief.par.spent())});
  page += row({"time", minutes(session.clock()), minutes(debrief.par.clock())});
  page += row({"wasted", whole(wasted(session)), whole(wasted(debrief.par))});
  for (std::size_t i = 0; i < std::max(session.steps().size(), debrief.par.steps().size()); ++i) {
    const auto at = [&](const Session& of) {
      return i < of.steps().size() ? move_text({of.steps()[i].move.verb, of.steps()[i].move.what, "", ""}) : "";
    };
    page += row({std::to_string(i + 1), at(session), at(debrief.par)});
  }
  page += "</table>\n<h2>Points off</h2>\n<table>" + row({"points", "move", "reason"}, "th");
  for (const Deduction& deduction : debrief.grade.deductions)
    page += row({"-" + tenths(deduction.points), deduction.step < 0 ? "" : std::to_string(deduction.step + 1),
                 deduction.reason});
  if (!debrief.grade.solved) page += row({"0 in all", "", "not solved"});
  page += "</table>\n<p>A score is feedback, not a certificate.</p>\n<h2>To think about</h2>\n<ol>\n";
  for (const std::string& question : questions(debrief)) page += "<li>" + escaped(question, true) + "</li>\n";
  return page + "</ol>\n<p><b>Practise next:</b> " + escaped(practise_next(debrief), true) + "</p>\n</body></html>\n";
}

std::string debrief_csv(const Debrief& debrief) {
  std::string csv =
      "learner,exercise,level,move,verb,what,suspect,expect,minutes,money,wasted,as_expected,refused,invalid,redundant,"
      "illogical,wrong_part,told,belief\n";
  const auto flag = [](bool yes) { return std::string(yes ? "1" : "0"); };
  for (std::size_t i = 0; i < debrief.session.steps().size(); ++i) {
    const Step& step = debrief.session.steps()[i];
    csv += cell(debrief.learner) + "," + cell(debrief.session.exercise().name) + "," +
           std::to_string(debrief.session.exercise().level) + "," + std::to_string(i + 1) + "," + cell(step.move.verb) +
           "," + cell(step.move.what) + "," + cell(step.move.suspect) + "," + cell(step.move.expect) + "," +
           tenths(step.cost.time / 60) + "," + tenths(step.cost.money) + "," + tenths(step.wasted) + "," +
           (step.as_expected ? flag(*step.as_expected) : "") + "," + flag(step.refused) + "," + flag(step.invalid) +
           "," + flag(step.redundant) + "," + flag(!step.illogical.empty()) + "," + flag(step.wrong_part) + "," +
           cell(told_line(step)) + "," + cell(belief_words(step)) + "\n";
  }
  return csv;
}

namespace {

struct Trouble {
  int sessions = 0, solved = 0;
  double points = 0;
};

/// By the function that was at fault.
std::map<std::string, Trouble> by_fault(const std::vector<Debrief>& debriefs) {
  std::map<std::string, Trouble> all;
  for (const Debrief& debrief : debriefs) {
    const std::vector<Fault>& faults = debrief.session.first_faults();
    Trouble& trouble = all[faults.empty() ? std::string(not_the_oil_side)
                                          : suspicion_of(debrief.session.table().circuit, faults.front())];
    ++trouble.sessions, trouble.solved += debrief.grade.solved, trouble.points += debrief.grade.points;
  }
  return all;
}

/// How often each mistake was made.
std::map<std::string, int> mistakes(const std::vector<Debrief>& debriefs) {
  std::map<std::string, int> all;
  for (const Debrief& debrief : debriefs) {
    all["stopped for danger"] += debrief.session.ending() == Ending::danger;
    for (const Step& step : debrief.session.steps()) {
      all["good part renewed"] += step.wrong_part, all["does not follow"] += !step.illogical.empty();
      all["says nothing in that condition"] += step.invalid, all["could tell nothing new"] += step.redundant;
      all["could not be done so"] += step.refused;
      all["nothing expected, or it did not hold"] += step.paid && !step.refused && !step.as_expected.value_or(false);
    }
  }
  return all;
}

}  // namespace

std::string class_table(const std::vector<Debrief>& debriefs) {
  std::string text = "learner              exercise                       level  points  ending\n";
  const auto padded = [](std::string word_, std::size_t width) {
    word_.resize(std::max(width, word_.size()), ' ');
    return word_;
  };
  for (const Debrief& debrief : debriefs)
    text += padded(debrief.learner, 20) + " " + padded(debrief.session.exercise().name, 30) + " " +
            padded(std::to_string(debrief.session.exercise().level), 6) + " " + padded(whole(debrief.grade.points), 7) +
            " " + std::string(word(debrief.session.ending())) + "\n";
  text += "\nFaults, those that give most trouble first\n";
  const std::map<std::string, Trouble> faults = by_fault(debriefs);
  std::vector<std::pair<std::string, Trouble>> order(faults.begin(), faults.end());
  std::ranges::stable_sort(order, [](const auto& a, const auto& b) {
    return a.second.points / a.second.sessions < b.second.points / b.second.sessions;
  });
  for (const auto& [fault, trouble] : order)
    text += "  " + padded(fault, 28) + " solved " + std::to_string(trouble.solved) + " of " +
            std::to_string(trouble.sessions) + ", mean " + whole(trouble.points / trouble.sessions) + " points\n";
  text += "\nMistakes, those made most often first\n";
  const std::map<std::string, int> made = mistakes(debriefs);
  std::vector<std::pair<std::string, int>> often(made.begin(), made.end());
  std::ranges::stable_sort(often, [](const auto& a, const auto& b) { return a.second > b.second; });
  for (const auto& [mistake, times] : often)
    if (times > 0) text += "  " + padded(mistake, 38) + " " + std::to_string(times) + "\n";
  return text;
}

std::string class_csv(const std::vector<Debrief>& debriefs) {
  std::string csv = "learner,exercise,level,ending,points,money,minutes,wasted,hints,par_money,par_minutes\n";
  for (const Debrief& debrief : debriefs)
    csv += cell(debrief.learner) + "," + cell(debrief.session.exercise().name) + "," +
           std::to_string(debrief.session.exercise().level) + "," + cell(std::string(word(debrief.session.ending()))) +
           "," + tenths(debrief.grade.points) + "," + tenths(debrief.session.spent()) + "," +
           tenths(debrief.session.clock() / 60) + "," + tenths(wasted(debrief.session)) + "," +
           std::to_string(debrief.session.hints_taken()) + "," + tenths(debrief.par.spent()) + "," +
           tenths(debrief.par.clock() / 60) + "\n";
  return csv;
}

}  // namespace railseep

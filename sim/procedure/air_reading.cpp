#include <algorithm>
#include <cmath>

#include "procedure/air_test.hpp"

namespace railseep {

namespace {

constexpr double no_change = 3;  // an ear takes less for no change [dB]: assumed

bool bank_point(const std::string& name) {
  return name.ends_with("cover") || name.find(" of cover") != std::string::npos;
}

/// Energised against not: common practice of the trade, no written source.
void read_change(const AirTestResult& result, std::vector<std::string>& lines) {
  if (!result.reaches_regulator) {
    lines.push_back("Fed at the " + result.feed +
                    " the air does not reach the regulator (a check valve stands between), so energising changes "
                    "nothing. Feed the pump side as well.");
    return;
  }
  std::string falls;
  for (const PointComparison& point : compare_energised(result))
    if (point.change == HissChange::stops || point.change == HissChange::drops)
      falls += (falls.empty() ? "" : ", ") + point.point + " (" + std::string(word(point.change)) + ")";
  if (falls.empty())
    lines.push_back(
        "No change on energising: coil, plug or wiring open, regulator stuck open, or a leak much bigger than the "
        "regulator.");
  else
    lines.push_back("Energised, the hiss falls at: " + falls +
                    ". The regulator closes; what is still heard there is another place, or its seat.");
}

/// Bank against bank: the points at covers differ by more than an ear's step.
void read_banks(const AirPass& pass, std::vector<std::string>& lines) {
  const HeardPoint *loudest = nullptr, *quietest = nullptr;
  for (const HeardPoint& point : pass.heard) {
    if (!bank_point(point.name)) continue;
    if (!loudest || point.audibility > loudest->audibility) loudest = &point;
    if (!quietest || point.audibility < quietest->audibility) quietest = &point;
  }
  if (!loudest || loudest == quietest) return;
  if (loudest->audibility - quietest->audibility < no_change)
    lines.push_back("The covers sound alike: clearances of healthy injectors hiss on both; no bank stands out.");
  else
    lines.push_back("The " + loudest->name + " stands out against the " + quietest->name + ": look there first.");
}

}  // namespace

std::string_view word(HissChange change) {
  switch (change) {
    case HissChange::none:
      return "no change";
    case HissChange::drops:
      return "drops";
    case HissChange::stops:
      return "stops";
    case HissChange::rises:
      return "rises";
  }
  return "";
}

std::vector<PointComparison> compare_energised(const AirTestResult& result) {
  std::vector<PointComparison> all;
  if (!result.shut) return all;
  for (std::size_t i = 0; i < result.open.heard.size(); ++i) {
    PointComparison point{result.open.heard[i].name, result.open.heard[i].audibility, result.shut->heard[i].audibility,
                          HissChange::none};
    const bool heard_open = word_for(point.open) != HeardWord::silent,
               heard_shut = word_for(point.shut) != HeardWord::silent;
    if (!heard_open && !heard_shut)
      point.change = HissChange::none;
    else if (point.shut > point.open + no_change)
      point.change = HissChange::rises;
    else if (point.shut > point.open - no_change)
      point.change = HissChange::none;
    else
      point.change = heard_shut ? HissChange::drops : HissChange::stops;
    all.push_back(std::move(point));
  }
  return all;
}

std::vector<std::string> read_air_test(const Circuit& circuit, const AirTestResult& result) {
  std::vector<std::string> lines;
  const AirPass& last = result.shut ? *result.shut : result.open;
  if (result.shut) read_change(result, lines);
  read_banks(last, lines);
  const bool wet = std::any_of(last.leaks.begin(), last.leaks.end(), [&](const AirLeak& leak) {
    return leak.wetness > 0.3 && leak.flow > 0.01 * last.supplied;
  });
  if (wet)
    lines.push_back("Some places are still wet: they are muffled and gurgle. Leave the air on and listen again.");
  const bool silent = std::all_of(last.heard.begin(), last.heard.end(),
                                  [](const HeardPoint& p) { return p.heard == HeardWord::silent; });
  if (silent && !last.heard.empty()) lines.push_back("Nothing is heard.");
  lines.push_back("Silence does not clear a worn pump (it stands) nor a seal that lifts only at hundreds of psi.");
  lines.push_back(
      "Air exaggerates clearances over holes about 34-fold against hot oil: loudness does not rank oil leaks. Compare "
      "bank to bank and energised to not.");
  if (circuit.listening.points.empty())
    lines.push_back("The circuit file has no \"listening\" section: nothing can be said about what is heard.");
  for (const std::string& name : result.closed_links)
    lines.push_back("\"" + name + "\" has no air law here and was taken as closed.");
  return lines;
}

}  // namespace railseep

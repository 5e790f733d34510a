#include "decide/check.hpp"

#include <algorithm>
#include <cmath>

#include "circuit/faults.hpp"
#include "procedure/cautions.hpp"
#include "procedure/isolate.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

constexpr std::string_view ids[] = {"oil level",
                                    "oil sample",
                                    "codes",
                                    "sync",
                                    "unplugged sensor",
                                    "sensor supply",
                                    "level after standing",
                                    "prime",
                                    "suction gauge",
                                    "step test",
                                    "high speed",
                                    "charged batteries",
                                    "sensor volts",
                                    "base oil gauge",
                                    "hot crank",
                                    "read again",
                                    "faster crank",
                                    "rail gauge",
                                    "coil",
                                    "regulator screen",
                                    "air open",
                                    "air energised",
                                    "air at the pump",
                                    "isolation",
                                    "one rail",
                                    "hold",
                                    "spill",
                                    "capped branches",
                                    "click"};

[[noreturn]] void refuse(const std::string& place, const std::string& found, const std::vector<std::string>& words,
                         const std::string& wrong) {
  const std::string near = nearest_word(wrong, words);
  std::string listed;
  for (const std::string& word : words) listed += (listed.empty() ? "\"" : ", \"") + word + "\"";
  throw Error(place, found, near.empty() ? "write one of " + listed : "did you mean \"" + near + "\"");
}

std::vector<std::string> texts(JsonFields& fields, const char* key) {
  std::vector<std::string> all;
  fields.each(key, [&](const Json& item, const std::string& place) {
    if (!item.is_string() || item.get_ref<const std::string&>().empty())
      throw Error(place, item.dump().substr(0, 40) + " is not a text", "write it in quotes");
    all.push_back(item.get<std::string>());
  });
  return all;
}

void check_id(const std::string& id, const std::string& place) {
  if (std::find(std::begin(ids), std::end(ids), id) == std::end(ids))
    refuse(place, "there is no check \"" + id + "\"", {std::begin(ids), std::end(ids)}, id);
}

void check_cautions(const std::vector<std::string>& wanted, const std::string& place) {
  std::vector<std::string> words;
  for (const Caution& caution : cautions())
    if (std::find(words.begin(), words.end(), caution.when) == words.end()) words.emplace_back(caution.when);
  for (const std::string& word : wanted)
    if (std::find(words.begin(), words.end(), word) == words.end())
      refuse(place, "there are no cautions for \"" + word + "\"", words, word);
}

void check_look(const std::string& word, const std::string& place) {
  try {
    find_inspection_kind(word);
  } catch (const Error& error) {
    throw error.within(place);
  }
}

/// What was done to the engine while something was read or logged with a part of it plugged.
void add_block(const std::string& block, std::vector<std::string>& done) {
  if (!block.empty()) done.push_back(block == both_rails ? "isolation" : "one rail: " + block);
}

/// Checks with a good or bad outcome, and the check here that tells the same.
constexpr std::pair<std::string_view, std::string_view> same_check[] = {{"position code", "codes"},
                                                                        {"sensor code", "codes"},
                                                                        {"regulator code", "codes"},
                                                                        {"engine position", "sync"},
                                                                        {"injector power", "sync"},
                                                                        {"starts unplugged", "unplugged sensor"},
                                                                        {"sensor plug", "sensor supply"},
                                                                        {"sensor supply", "sensor supply"},
                                                                        {"rail level", "level after standing"},
                                                                        {"starts primed", "prime"},
                                                                        {"after the screen", "suction gauge"},
                                                                        {"step answer", "step test"},
                                                                        {"steady at speed", "high speed"},
                                                                        {"oil level", "oil level"},
                                                                        {"reservoir level", "oil level"},
                                                                        {"oil smell", "oil sample"},
                                                                        {"oil flow", "oil sample"},
                                                                        {"regulator current", "coil"},
                                                                        {"regulator screen", "regulator screen"},
                                                                        {"regulator seen", "regulator screen"},
                                                                        {"coil resistance", "coil"},
                                                                        {"base oil", "base oil gauge"},
                                                                        {"sensor at rest", "sensor volts"},
                                                                        {"sensor exchanged", "rail gauge"},
                                                                        {"spill", "spill"},
                                                                        {"capped branch", "capped branches"},
                                                                        {"injector click", "click"},
                                                                        {"batteries", "charged batteries"}};

SetUp read_set_up(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  SetUp one{fields.text("name"), fields.text("while"), fields.quantity("time", Quantity::time),
            fields.quantity("money", Quantity::ratio)};
  if (!(one.time >= 0 && one.time <= 3.6e6))
    throw Error(fields.place_of("time"), "the time is out of range", "write 0 min to 1000 h");
  if (!(one.money >= 0 && one.money <= 1e9))
    throw Error(fields.place_of("money"), "the sum is out of range", "write 0 to 1e9");
  fields.text("source");
  fields.finish();
  return one;
}

void check_set_up(const std::string& name, const std::vector<SetUp>& setups, const std::string& place) {
  std::vector<std::string> known;
  for (const SetUp& one : setups) known.push_back(one.name);
  if (std::ranges::find(known, name) == known.end()) refuse(place, "there is no set-up \"" + name + "\"", known, name);
}

Check::Where read_where(JsonFields& fields) {
  constexpr std::pair<std::string_view, Check::Where> words[] = {
      {"engine", Check::Where::engine}, {"cover", Check::Where::cover}, {"open cover", Check::Where::open_cover}};
  const std::string word = fields.text("where", "engine");
  std::vector<std::string> known;
  for (const auto& [name, where] : words) {
    if (name == word) return where;
    known.emplace_back(name);
  }
  refuse(fields.place_of("where"), "no check is done at \"" + word + "\"", known, word);
}

Check read_check(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  Check check;
  check.id = fields.text("id");
  check_id(check.id, fields.place_of("id"));
  check.name = fields.text("name");
  check.how = fields.text("how");
  check.time = fields.quantity("time", Quantity::time);
  if (!(check.time >= 0 && check.time <= 3.6e6))
    throw Error(fields.place_of("time"), "the time is out of range", "write 0 min to 1000 h");
  check.money = fields.quantity("money", Quantity::ratio);
  if (!(check.money >= 0 && check.money <= 1e9))
    throw Error(fields.place_of("money"), "the sum is out of range", "write 0 to 1e9");
  check.risk = fields.text("risk", "");
  check.cautions = texts(fields, "cautions");
  check_cautions(check.cautions, fields.place_of("cautions"));
  check.tools = texts(fields, "tools");
  check.error = fields.quantity("error", Quantity::ratio, 0.0);
  if (!(check.error >= 0 && check.error <= 100))
    throw Error(fields.place_of("error"), "the error is out of range", "write 0 to 100");
  check.slip = fields.quantity("slip", Quantity::ratio);
  if (!(check.slip >= 0 && check.slip <= 0.5))
    throw Error(fields.place_of("slip"), "the share is out of range", "write 0 % to 50 %");
  check.setups = texts(fields, "setups");
  check.running = fields.flag("running", false);
  check.where = read_where(fields);
  check.looks = texts(fields, "looks");
  for (const std::string& look : check.looks) check_look(look, fields.place_of("looks"));
  check.outcomes = texts(fields, "outcomes");
  const std::size_t looks = check.looks.size(), outcomes = check.outcomes.size();
  if (looks == 0 ? outcomes != 0 : outcomes != 2 && outcomes != looks + 1)
    throw Error(fields.place_of("outcomes"), "they do not go with \"looks\"",
                "with it give two (all is good, something is bad), or all is good and one for each look; none without");
  fields.text("source");
  fields.finish();
  return check;
}

}  // namespace

std::span<const std::string_view> check_ids() { return ids; }

std::vector<SetUp> setups_left(const Checks& checks, const Shop& shop) {
  for (const std::string& name : shop.set_up) check_set_up(name, checks.setups, "job, /set_up");
  std::vector<SetUp> left = checks.setups;
  for (SetUp& one : left)
    if (std::ranges::find(shop.set_up, one.name) != shop.set_up.end() || (one.name == hot_engine && !shop.can_warm))
      one.time = one.money = 0;
  return left;
}

Check with_set_up(Check check, const std::vector<SetUp>& setups) {
  for (const SetUp& one : setups)
    if (std::ranges::find(check.setups, one.name) != check.setups.end())
      check.time += one.time, check.money += one.money;
  return check;
}

std::string place_of_check(const std::string& id) {
  const std::size_t colon = id.find(": ");
  return colon == std::string::npos ? "" : id.substr(colon + 2);
}

std::string check_of_look(std::string_view look, const std::string& place) {
  const auto found = std::ranges::find(same_check, look, &std::pair<std::string_view, std::string_view>::first);
  if (found == std::end(same_check)) return {};
  return std::string(found->second) + (place.empty() ? "" : ": " + place);
}

std::vector<std::string> done_checks(const Evidence& evidence) {
  std::vector<std::string> done;
  for (const CrankEvidence& log : evidence.logs)
    if (log.stage != Stage::good) add_block(log.block, done);
  const Observations& seen = evidence.observations;
  for (const Inspection& checked : seen.checks)
    if (std::string id = check_of_look(checked.check, checked.place); !id.empty()) done.push_back(std::move(id));
  for (const AirFindings& air : seen.air) {
    if (!air.done.feed.empty())
      done.emplace_back("air at the pump");
    else
      done.emplace_back("air open");
    const auto energised = [](const auto& findings) {
      return std::any_of(findings.begin(), findings.end(), [](const auto& f) { return f.energised; });
    };
    if (air.done.feed.empty() && (energised(air.heard) || energised(air.decays) || energised(air.flows)))
      done.emplace_back("air energised");
  }
  for (const Reading& reading : seen.readings) {
    add_block(reading.situation.block, done);
    if (reading.kind == ChannelKind::rail_pressure_volts && reading.situation.done == Situation::Done::key_on)
      done.emplace_back("sensor volts");
    if (reading.kind == ChannelKind::base_oil_pressure && reading.situation.done == Situation::Done::crank)
      done.emplace_back("base oil gauge");
    if (reading.part == Reading::Part::later) done.emplace_back("hold");
  }
  std::sort(done.begin(), done.end());
  done.erase(std::unique(done.begin(), done.end()), done.end());
  return done;
}

void check_done(const Checks& checks, const std::string& id) {
  std::vector<std::string> known;
  for (const Check& check : checks.checks) known.push_back(check.id);
  const std::string first = id.substr(0, id.find(": "));  // "one rail: left rail" is one of several
  if (std::find(known.begin(), known.end(), first) == known.end())
    refuse("--done", "there is no check \"" + id + "\"", known, id);
}

Checks read_checks(const std::string& path) {
  const Json json = read_json(path);
  JsonFields fields = JsonFields::top(json, path);
  if (fields.text("railseep") != "checks")
    throw Error(fields.place_of("railseep"), "this is not a file of checks", "write \"railseep\": \"checks\"");
  Checks all;
  all.source = fields.text("source");
  fields.each("setups",
              [&](const Json& item, const std::string& place) { all.setups.push_back(read_set_up(item, place)); });
  fields.each(
      "checks",
      [&](const Json& item, const std::string& place) {
        Check check = read_check(item, place);
        for (const std::string& name : check.setups) check_set_up(name, all.setups, place + "/setups");
        for (const Check& other : all.checks)
          if (other.id == check.id)
            throw Error(place + "/id", "the check \"" + check.id + "\" stands twice", "remove one");
        all.checks.push_back(std::move(check));
      },
      true);
  fields.finish();
  return all;
}

}  // namespace railseep

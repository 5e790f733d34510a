// models/costs.json, models/checks.json and models/looks.json: what the readers and the schemas say of them.
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <set>

#include "circuit/faults.hpp"
#include "circuit/schema_check.hpp"
#include "decide/check.hpp"
#include "decide/costs.hpp"
#include "decide/forecast.hpp"
#include "evidence/inspection.hpp"
#include "procedure/cautions.hpp"
#include "quantity/error.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

struct BadValue {
  const char* label;
  const char* file;  // costs or checks
  const char* at;    // JSON pointer
  Json value;
  bool schema = true;  // the schema sees it too
  const char* says;
};

void PrintTo(const BadValue& bad, std::ostream* out) { *out << bad.label; }

Json shipped(const std::string& kind) { return read_json(models_folder() + kind + ".json"); }
bool allowed(const std::string& kind, const Json& json) {
  return !schema_mistake(read_json(models_folder() + kind + ".schema.json"), json);
}

std::string message_of(const std::string& kind, const Json& json) {
  const std::string path = testing::TempDir() + "railseep_" + kind + "_" + std::to_string(getpid()) + ".json";
  std::ofstream(path) << json.dump();
  std::string message;
  try {
    if (kind == "costs")
      read_costs(path);
    else if (kind == "looks")
      parse_looks(read_text(path), path);
    else
      read_checks(path);
  } catch (const Error& error) {
    message = error.what();
  }
  std::filesystem::remove(path);
  return message;
}

TEST(DecideFiles, ShippedOnesAreReadAndFitTheirSchemas) {
  for (const std::string kind : {"costs", "checks", "looks"}) {
    EXPECT_TRUE(allowed(kind, shipped(kind))) << kind;
    EXPECT_EQ(message_of(kind, shipped(kind)), "");
  }
  EXPECT_NE(read_costs(models_folder() + "costs.json").source.find("assumed"), std::string::npos);
  EXPECT_NE(read_checks(models_folder() + "checks.json").source.find("assumed"), std::string::npos);
}

TEST(DecideFiles, EveryCheckThatCanBeComputedIsShippedWithItsCautions) {
  const Checks checks = read_checks(models_folder() + "checks.json");
  std::set<std::string> ids;
  for (const Check& check : checks.checks) {
    ids.insert(check.id);
    EXPECT_TRUE(check.risk.empty() || !check.cautions.empty()) << check.id;
    EXPECT_TRUE(!check.id.starts_with("air ") ||
                std::find(check.cautions.begin(), check.cautions.end(), "air test") != check.cautions.end())
        << check.id;
  }
  for (const std::string_view id : check_ids()) EXPECT_EQ(ids.count(std::string(id)), 1u) << id;
}

TEST(DecideFiles, WhatTheEvidenceHoldsIsDone) {
  Evidence evidence;
  evidence.logs.resize(2);
  evidence.logs[0].block = "rails", evidence.logs[1].block = "left rail";
  evidence.observations.checks = {{"coil resistance", false, "", 8.0}, {"drive gear", false, "", {}}};
  AirFindings air;
  air.heard = {{"left cover", HeardWord::clear, true}};
  evidence.observations.air = {air};
  const std::vector<std::string> wanted{"air energised", "air open", "coil", "isolation", "one rail: left rail"};
  EXPECT_EQ(done_checks(evidence), wanted);
  EXPECT_TRUE(done_checks({}).empty());
  const Checks checks = read_checks(models_folder() + "checks.json");
  for (const std::string& id : wanted) EXPECT_NO_THROW(check_done(checks, id)) << id;
  EXPECT_THROW(check_done(checks, "isolatoin"), Error);
}

// One table for what a look shows: what it convicts of when it is done is what it is expected to show before.
TEST(DecideFiles, ALookShowsWhatTheMatchMakesOfIt) {
  const Circuit circuit = valley_v8();
  Belief belief;
  const std::vector<Fault> faults{{"lube supply", "froth", 0.1},
                                  {"high-pressure pump", "wear", 9},
                                  {"pressure regulator", "screen plugged", 0.97},
                                  {"left rail front end plug", "hole", 6e-4}};
  for (const Fault& fault : faults) {
    Hypothesis hypothesis;
    for (const PossibleFault& possible : possible_faults(circuit))
      if (possible.kind->word == fault.kind && (possible.place == fault.place || fault.kind == "froth"))
        hypothesis.candidate.suspects = {Suspect{possible.kind, {possible}}};
    ASSERT_FALSE(hypothesis.candidate.healthy()) << fault.kind;
    belief.possibilities.push_back({belief.hypotheses.size(), {fault.severity}, 1, 0});
    belief.hypotheses.push_back(hypothesis);
  }
  Showings shows;
  shows.crank.resize(faults.size()), shows.air.resize(faults.size());
  for (const Forecast& forecast :
       forecasts(circuit, belief, shows, read_checks(models_folder() + "checks.json").checks, "psi")) {
    if (forecast.check.looks.empty()) continue;
    for (std::size_t i = 0; i < faults.size(); ++i) {
      const std::vector<Fault> one = belief.hypotheses[i].candidate.faults({faults[i].severity});
      double good = 1;  // all of it looks good
      for (const std::string& look : forecast.check.looks)
        if (could_see(find_inspection_kind(look), circuit))
          good *= std::exp(log_likelihood(Inspection{look, false, "", {}}, circuit, one));
      EXPECT_NEAR(forecast.likelihood(static_cast<Eigen::Index>(i), 0), good, 1e-12)
          << forecast.check.id << " " << faults[i].kind;
    }
  }
}

TEST(DecideFiles, WorkCostsItsHoursAndItsMoney) {
  Costs costs;
  costs.hourly_rate = 90;
  const Cost cost = costs.work(1.5 * 3600, 20);
  EXPECT_NEAR(cost.money, 1.5 * 90 + 20, 1e-12);
  EXPECT_EQ(cost.time, 5400);
}

TEST(DecideFiles, EveryKindOfFaultHasAPrice) {
  const Costs costs = read_costs(models_folder() + "costs.json");
  for (const FaultKind& kind : fault_kinds())
    EXPECT_GE(costs.repair(std::string(kind.word), "anywhere").price, 0) << kind.word;
}

// Every fault has a chance to be seen once its place is opened; a cut seal oftener than slip, worn spools and a lazy
// regulator, which the trade renews on suspicion.
TEST(DecideFiles, EveryFaultIsSeenAsOftenAsTheLookAtItsPlaceSays) {
  for (const char* file : {"valley_v8.json", "head_rail_v8.json", "inline_six.json"}) {
    const Circuit circuit = read_circuit(models_folder() + file);
    const double seal = visibility({circuit.sites.front().name, "hole", 0}, circuit);
    for (const PossibleFault& possible : possible_faults(circuit)) {
      const std::string word(possible.kind->word);
      const double seen = visibility({possible.place, word, 0}, circuit);
      EXPECT_TRUE(seen > 0 && seen < 1) << file << " " << possible.place << " " << word;
      const bool hidden =
          word == "worn spools" || word == "sticking" || (word == "wear" && possible.kind->applies_to == "pump");
      EXPECT_TRUE(!hidden || seen < 0.5 * seal) << possible.place << " " << word;
    }
  }
}

TEST(DecideFiles, FirstLineThatFitsCounts) {
  const Costs costs = read_costs(models_folder() + "costs.json");
  EXPECT_EQ(costs.repair("wear", "lube pump").part, "lube pump");
  EXPECT_EQ(costs.repair("wear", "high-pressure pump").part, "high-pressure oil pump");
}

class RefusedValue : public testing::TestWithParam<BadValue> {};

TEST_P(RefusedValue, IsNamedWithItsPlace) {
  const BadValue& bad = GetParam();
  Json json = shipped(bad.file);
  json[Json::json_pointer(bad.at)] = bad.value;
  const std::string message = message_of(bad.file, json);
  EXPECT_NE(message.find(bad.at), std::string::npos) << message;
  EXPECT_NE(message.find(bad.says), std::string::npos) << message;
  EXPECT_FALSE(bad.schema && allowed(bad.file, json));
}

INSTANTIATE_TEST_SUITE_P(
    Each, RefusedValue,
    testing::Values(
        BadValue{"RateAsText", "costs", "/hourly_rate", "120", true, "plain number"},
        BadValue{"NegativePrice", "costs", "/repairs/0/price", -5, true, "out of range"},
        BadValue{"TimeWithoutUnit", "costs", "/proving/time", 75, true, "no unit"},
        BadValue{"UnknownKind", "costs", "/repairs/0/kind", "holle", false, "did you mean \"hole\""},
        BadValue{"MistypedKey", "costs", "/comebak", Json::object(), true, "did you mean"},
        BadValue{
            "LastOutsideWithKinds", "costs", "/outside",
            Json::array({{{"name", "x"}, {"kinds", {"hole"}}, {"time", "1 min"}, {"money", 0}, {"source", "assumed"}}}),
            false, "last"},
        BadValue{"UnknownCheck", "checks", "/checks/0/id", "oil levle", true, "did you mean \"oil level\""},
        BadValue{"UnknownCaution", "checks", "/checks/0/cautions", Json::array({"airtest"}), false,
                 "did you mean \"air test\""},
        BadValue{"MoreOutcomesThanLooks", "checks", "/checks/0/outcomes",
                 Json::array({"right", "low", "high", "froth"}), false, "give two"},
        BadValue{"SlipAboveHalf", "checks", "/checks/0/slip", 0.9, true, "0 % to 50 %"},
        BadValue{"UnknownLook", "checks", "/checks/0/looks", Json::array({"oil levle"}), false,
                 "did you mean \"oil level\""},
        BadValue{"LookThatSeesNoFault", "looks", "/looks/0/sees/0/fault", "frothy", false, "did you mean \"froth\""},
        BadValue{"LookThatIsNeverWrong", "looks", "/looks/0/false_alarm", 0, true, "between 0 and 1"},
        BadValue{"LookAtAnUnknownPart", "looks", "/looks/6/sees/2/applies_to", "pmup", false, "did you mean \"pump\""},
        BadValue{"LookTwice", "looks", "/looks/1/word", "oil level", false, "stands twice"}),
    [](const auto& test) { return std::string(test.param.label); });

}  // namespace
}  // namespace railseep

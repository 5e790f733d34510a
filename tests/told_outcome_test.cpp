// What a check showed, told to the job: every outcome of every check becomes an entry, as evidence where the match
// takes such.
#include "job/told_outcome.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <set>

#include "circuit/schema_check.hpp"
#include "job/noted_checks.hpp"
#include "made_up_match.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

constexpr double leak = 5e-4;  // diameter of the hole that these engines may have [m]

/// What to do next where the left rail leaks, the pump is worn, the coil is open or nothing is wrong. @param logged
/// with a hot log, else with none; the left cover stands open
const Decision& decision(bool logged) {
  static const auto decide_for = [](bool hot) {
    const Circuit circuit = valley_v8();
    MatchResult result =
        matched({fit(suspect(circuit, {"left rail front end plug"}, "hole"), leak, 0.3),
                 fit(suspect(circuit, {"high-pressure pump"}, "wear"), 20, 0.3),
                 fit(suspect(circuit, {"pressure regulator"}, "coil open"), 1, 0.2), nothing_wrong(0.2)},
                120);  // slow enough for charged batteries
    for (double t = 0; t <= 6; t += 0.2) result.logs[0].time.push_back(t), result.logs[0].measured.push_back(2e6);
    if (!hot) result.logs.clear();
    DecideOptions options;
    options.shop.open = {"left valve cover"};
    return decide(circuit, result, read_costs(models_folder() + "costs.json"),
                  read_checks(models_folder() + "checks.json"), options);
  };
  static const Decision with = decide_for(true), without = decide_for(false);
  return logged ? with : without;
}

const RankedCheck* find(const Decision& in, const std::string& id) {
  const auto found = std::ranges::find_if(in.checks, [&](const RankedCheck& ranked) {
    return ranked.check.id == id || ranked.check.id.starts_with(id + ": ");
  });
  return found == in.checks.end() ? nullptr : &*found;
}

Job empty_job() {
  Job job;
  job.name = "a", job.complaint = "b", job.circuit = "models/valley_v8.json";
  return job;
}

/// The job as it comes back from its file, which must be as the schema says.
Job reread(const Job& job) {
  const std::string path = testing::TempDir() + "railseep_told_" + std::to_string(getpid()) + ".json";
  write_job(path, job);
  EXPECT_FALSE(
      schema_mistake(read_json(std::string(RAILSEEP_SOURCE_DIR) + "/scenarios/job.schema.json"), read_json(path)));
  Job back = read_job(path);
  std::filesystem::remove(path);
  return back;
}

std::size_t pieces(const Observations& seen) {
  std::size_t heard = 0;
  for (const AirFindings& test : seen.air) heard += test.heard.size();
  return seen.readings.size() + seen.checks.size() + heard;
}

class EveryCheck : public testing::TestWithParam<std::string_view> {};

TEST_P(EveryCheck, AToldOutcomeIsKeptInTheJobFileIsDoneAndCountsUnlessItSaysWhyNot) {
  const Circuit circuit = valley_v8();
  const bool hot = GetParam() != "hot crank";
  const RankedCheck* ranked = find(decision(hot), std::string(GetParam()));
  if (!ranked) GTEST_SKIP() << "this engine cannot have it";
  ASSERT_FALSE(ranked->outcomes.empty());
  for (const OutcomeMeaning& outcome : ranked->outcomes) {
    const std::vector<ToldOutcome> ways = ways_to_tell(circuit, decision(hot), *ranked, outcome);
    ASSERT_FALSE(ways.empty()) << outcome.outcome;
    std::set<std::string> names;
    for (const ToldOutcome& told : ways) {
      EXPECT_TRUE(names.insert(told.way).second) << told.way << " stands twice under " << outcome.outcome;
      Job job = empty_job();
      tell(job, told);
      const Job back = reread(job);
      const std::vector<std::string> noted = noted_checks(back);
      EXPECT_NE(std::ranges::find(noted, ranked->check.id), noted.end()) << outcome.outcome;
      const Observations seen = evidence_of(back, {}).observations;
      EXPECT_EQ(told.counts(), pieces(seen) > 0) << outcome.outcome;
      EXPECT_EQ(told.counts(), seen.notes.empty()) << outcome.outcome;  // what is not used is said
      if (told.counts()) {
        EXPECT_TRUE(std::isfinite(log_likelihood(seen, circuit, {}))) << outcome.outcome << told.way;
      }
    }
  }
}

INSTANTIATE_TEST_SUITE_P(ToldOutcome, EveryCheck, testing::ValuesIn(check_ids().begin(), check_ids().end()),
                         [](const auto& tried) {
                           std::string name(tried.param);
                           std::erase(name, ' ');
                           return name;
                         });

TEST(ToldOutcome, EveryCheckOfTheCatalogueIsAmongThoseTried) {
  std::size_t tried = 0;
  for (const std::string_view id : check_ids()) tried += find(decision(id != "hot crank"), std::string(id)) != nullptr;
  EXPECT_GE(tried + 1, check_ids().size());  // air at the pump needs a check valve that stops the air
}

/// ln p of every way to tell an outcome of a check, by the column it is of.
std::vector<double> likelihoods(const RankedCheck& ranked, const Circuit& faulty, std::span<const Fault> faults) {
  std::vector<double> all;
  for (std::size_t column = 0; column < ranked.columns.size(); ++column) {
    OutcomeMeaning outcome;
    outcome.outcome = ranked.columns[column], outcome.columns = {column};
    Job job = empty_job();
    tell(job, ways_to_tell(valley_v8(), decision(true), ranked, outcome).front());
    all.push_back(log_likelihood(evidence_of(job, {}).observations, faulty, faults));
  }
  return all;
}

std::size_t likeliest(const std::vector<double>& values) {
  return static_cast<std::size_t>(std::ranges::max_element(values) - values.begin());
}

TEST(ToldOutcome, TheRangeInWhichAnEnginesReadingLiesSpeaksForThatEngineMost) {
  const std::vector<Fault> faults{{"left rail front end plug", "hole", leak}};
  const Circuit faulty = with_faults(valley_v8(), faults);
  for (const std::string id :
       {"read again", "charged batteries", "sensor volts", "base oil gauge", "isolation", "one rail"}) {
    const RankedCheck* ranked = find(decision(true), id);
    ASSERT_TRUE(ranked) << id;
    OutcomeMeaning any;
    any.columns = {0};
    Job job = empty_job();
    tell(job, ways_to_tell(valley_v8(), decision(true), *ranked, any).front());
    Procedures procedures(faulty);
    const double shown = predicted(evidence_of(job, {}).observations.readings.at(0), procedures);
    const std::vector<double>& edges = ranked->ranges->edges;
    const auto holds = static_cast<std::size_t>(std::ranges::upper_bound(edges, shown) - edges.begin());
    const std::size_t told = likeliest(likelihoods(*ranked, faulty, faults));
    // Near an edge the neighbour may do as well: ranges are told by their middle.
    EXPECT_LE(std::max(told, holds) - std::min(told, holds), 1u) << id << ": " << shown;
  }
}

TEST(ToldOutcome, AQuickFallSpeaksForALeakAndASlowOneAgainstIt) {
  const RankedCheck* hold = find(decision(true), "hold");
  ASSERT_TRUE(hold);
  const std::vector<Fault> faults{{"left rail front end plug", "hole", leak}};
  const std::vector<double> leaky = likelihoods(*hold, with_faults(valley_v8(), faults), faults),
                            sound = likelihoods(*hold, valley_v8(), {});
  EXPECT_GT(leaky.front() - sound.front(), leaky.back() - sound.back());
}

TEST(ToldOutcome, AnOpenCoilSpeaksForTheCoilAndAGoodOneForASoundEngine) {
  const Circuit circuit = valley_v8();
  const std::vector<Fault> coil{{"pressure regulator", "coil open", 1}};
  const RankedCheck* ohms = find(decision(true), "coil");
  ASSERT_TRUE(ohms);
  EXPECT_EQ(likeliest(likelihoods(*ohms, with_faults(circuit, coil), coil)), 1u);
  EXPECT_EQ(likeliest(likelihoods(*ohms, circuit, {})), 0u);
}

TEST(ToldOutcome, AHissInTheValleySpeaksForALeakThereAndOneWhereASoundEngineIsLoudSaysThatItDoesNotCount) {
  const Circuit circuit = valley_v8();
  const RankedCheck* air = find(decision(true), "air open");
  ASSERT_TRUE(air);
  const auto told_at = [&](std::size_t column) {
    OutcomeMeaning hiss;
    hiss.outcome = air->columns[column], hiss.columns = {column};
    return ways_to_tell(circuit, decision(true), *air, hiss);
  };
  bool valley = false;
  for (std::size_t column = 0; column < air->sound_engine.size(); ++column) {
    const std::vector<ToldOutcome> ways = told_at(column);
    EXPECT_EQ(ways.back().counts(), air->sound_engine[column] != HeardWord::loud) << air->columns[column];
    if (air->columns[column] != "valley") continue;
    valley = true;
    Job job = empty_job();
    tell(job, ways.back());
    const Observations seen = evidence_of(job, {}).observations;
    const std::vector<Fault> there{{"branch tube seat", "hole", leak}},
        left{{"left rail front end plug", "hole", leak}};
    EXPECT_GT(log_likelihood(seen, with_faults(circuit, there), there),
              log_likelihood(seen, with_faults(circuit, left), left) + 1);
  }
  EXPECT_TRUE(valley);
}

TEST(ToldOutcome, TakenBackItIsAsIfItHadNotBeenTold) {
  const Circuit circuit = valley_v8();
  for (const std::string id : {"oil level", "coil", "rail gauge", "isolation", "hold", "oil sample"}) {
    const RankedCheck* ranked = find(decision(true), id);
    ASSERT_TRUE(ranked) << id;
    Job job = empty_job();
    job.findings = {{"smoke", "white"}};
    const std::string before = job_text(job);
    tell(job, ways_to_tell(circuit, decision(true), *ranked, ranked->outcomes.front()).front());
    EXPECT_NE(job_text(job), before) << id;
    take_back(job, ranked->check.id);
    EXPECT_EQ(job_text(job), before) << id;
  }
}

TEST(ToldOutcome, WithoutAHotLogAFallIsKeptInWordsAndSaysWhy) {
  const RankedCheck* hold = find(decision(false), "hold");
  ASSERT_TRUE(hold);
  const std::vector<ToldOutcome> ways = ways_to_tell(valley_v8(), decision(false), *hold, hold->outcomes.front());
  ASSERT_EQ(ways.size(), 1u);
  EXPECT_FALSE(ways.front().counts());
  EXPECT_NE(ways.front().unused.find("hot crank"), std::string::npos);
}

}  // namespace
}  // namespace railseep

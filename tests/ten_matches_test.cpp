// The matches behind the ten questions of the design, each of a shipped, invented job. What is hidden in each is known
// from scenarios/make_logs.py, whose model is not the one that is fitted; the expected answers follow from it and from
// the trade's common practice.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <numbers>

#include "circuit/circuit_file.hpp"
#include "full_match.hpp"
#include "job/job.hpp"
#include "match/match.hpp"
#include "whatif/limit.hpp"

namespace railseep {
namespace {

std::string file_of(const std::string& file) { return std::string(RAILSEEP_SOURCE_DIR) + "/" + file; }

/// A job of scenarios/ and, made when first asked for, its match.
struct Asked {
  Job job;
  Circuit circuit;
  Evidence evidence, after;
  std::optional<MatchResult> matched;

  explicit Asked(const std::string& folder) : job(read_job(file_of("scenarios/" + folder + "/job.json"))) {
    circuit = read_circuit(file_of(job.circuit));
    const FindFile find = [this](const std::string& file) { return job_path(job, file); };
    evidence = evidence_of(job, find), after = evidence_of(job, find, Stage::after);
  }

  const MatchResult& match() {
    if (!matched) matched = railseep::match(circuit, evidence, read_priors(file_of("models/priors.json")));
    return *matched;
  }

  /// Probability of all candidates of which this holds.
  double probability(const std::function<bool(const FaultFit&)>& holds) {
    double sum = 0;
    for (const FaultFit& fit : match().fits)
      if (holds(fit)) sum += fit.probability;
    return sum;
  }

  /// Probability that a fault of one of these kinds ("wear (pump)" as "wear", "pump") is in the engine, alone or beside
  /// another.
  double probability_of(const std::vector<std::pair<std::string, std::string>>& kinds) {
    return probability([&](const FaultFit& fit) {
      return std::ranges::any_of(fit.candidate.suspects, [&](const Suspect& suspect) {
        return std::ranges::any_of(kinds, [&](const auto& kind) {
          return suspect.kind->word == kind.first && (kind.second.empty() || suspect.kind->applies_to == kind.second);
        });
      });
    });
  }

  std::string ranking() {
    std::string text;
    for (std::size_t i = 0; i < std::min<std::size_t>(8, match().fits.size()); ++i)
      text += std::to_string(match().fits[i].probability) + " " + match().fits[i].candidate.title() + "\n";
    return text;
  }
};

Asked& asked(const std::string& folder) {
  static std::map<std::string, Asked> all;
  return all.try_emplace(folder, folder).first->second;
}

Condition hot_log_at(double rpm) {
  Condition hot;
  hot.oil_temperature = 363.15;
  if (rpm > 0) hot.speed = Profile(rpm * 2 * std::numbers::pi / 60);
  return hot;
}

const std::vector<std::pair<std::string, std::string>> films{{"wear", "pump"}, {"gap", ""}, {"worn spools", ""}},
    holes{{"hole", ""}, {"lifting seal", ""}};

TEST(TenQuestions, FineColdLowHotIsAFilmAndNotAHole) {
  FULL_MATCH;
  Asked& van = asked("delivery-van");
  EXPECT_GT(van.probability_of(films), 0.8) << van.ranking();
  EXPECT_LT(van.probability([](const FaultFit& fit) {
    return fit.candidate.suspects.size() == 1 &&
           (fit.candidate.suspects[0].kind->word == "hole" || fit.candidate.suspects[0].kind->word == "stuck open");
  }),
            0.1)
      << van.ranking();
  EXPECT_GT(van.probability_of({{"wear", "pump"}}), 0.05) << "the hidden fault is among them\n" << van.ranking();
}

TEST(TenQuestions, TheGravelTrucksHoleIsFoundAndLiesAboveItsHotEdge) {
  FULL_MATCH;
  Asked& truck = asked("gravel-truck");
  const auto& fits = truck.match().fits;
  const auto found = std::ranges::find_if(fits, [](const FaultFit& fit) {
    return fit.candidate.suspects.size() == 1 && fit.candidate.suspects[0].kind->word == "hole";
  });
  ASSERT_NE(found, fits.end());
  const double same_flow = 0.64e-3 * std::sqrt(0.65 / 0.62);  // another leak coefficient made the log
  EXPECT_NEAR(found->severities[0].best, same_flow, 0.06 * same_flow) << truck.ranking();
  EXPECT_GT(found->severities[0].best,
            *limit_of(truck.circuit, {"left rail front end plug", "hole", 0}, {}, hot_log_at(171)).edge);
}

TEST(TenQuestions, ReadingZeroIsNoDeliveryRatherThanALeak) {
  FULL_MATCH;
  Asked& bus = asked("school-bus");
  EXPECT_GT(bus.probability_of({{"low supply", ""}, {"inlet blocked", ""}, {"lost capacity", ""}, {"drive lost", ""}}),
            0.5)
      << bus.ranking();
  // One who has the felted screen in his hand renews it and cranks: what he describes is proof within 2 in 100.
  EXPECT_GT(bus.probability_of({{"inlet blocked", ""}}), 0.98) << bus.ranking();
  // Leaks begin with a
  // third of the prior weight. To read 0 one must be 2 mm or more, the last twelfth of a hole's prior, and such a hole
  // was not heard: leaks together (1/3 * 1/12 before anything was heard) cannot keep one part in twenty.
  EXPECT_LT(bus.probability([](const FaultFit& fit) {
    return fit.candidate.suspects.size() == 1 &&
           fit.candidate.suspects[0].kind->change == FaultKind::Change::opens_leak;
  }),
            0.05)
      << bus.ranking();
}

TEST(TenQuestions, GoodPressureWithoutAStartIsNotTheOilSide) {
  FULL_MATCH;
  Asked& engine = asked("fire-engine");
  const double not_oil = engine.probability([](const FaultFit& fit) { return fit.candidate.healthy(); }) +
                         engine.probability_of({{"no sync", ""}, {"weak shots", ""}});
  // Not the oil side (nothing wrong, no sync, weak shots) begins with 0.105 of 0.975. A fault that leaves 900 psi keeps
  // no engine from starting without a second trouble, which is one in twenty (evidence/started.cpp). If every fault of
  // the oil side could leave 900 psi that would make 0.105/(0.105 + 0.05*0.87) = 0.71; those that cannot add to it.
  // Many can: at 31 % of duty the regulator makes up for what a worn pump or a leak loses. Nested sampling over the
  // same unknowns (nested_sampler.hpp) gives a sound engine ln Z = -8.69 +- 0.19, a worn pump -8.58 +- 0.27 and a hole
  // at an injector -8.93 +- 0.21: the log tells them apart by no more, so no more may be asked for.
  EXPECT_GT(not_oil, 0.105 / (0.105 + 0.05 * 0.87)) << engine.ranking();
  EXPECT_LT(engine.probability_of(holes), 0.18 * 0.05 / (0.105 + 0.18 * 0.05)) << engine.ranking();
  EXPECT_LT(engine.probability_of({{"wear", "pump"}}), 0.05) << "the quoted pump\n" << engine.ranking();
}

// A check valve that leaks lets the passages run empty over night: a long crank, and two minutes later none. Hidden in
// the log: nearly half ran empty.
TEST(TenQuestions, LongCrankAfterSittingIsDrainBackThroughTheCheckValve) {
  FULL_MATCH;
  Asked& combine = asked("combine-harvester");
  const double drained = combine.probability([](const FaultFit& fit) {
    return fit.candidate.suspects.size() == 1 && fit.candidate.suspects[0].kind->word == "seat leak" &&
           fit.candidate.suspects[0].kind->applies_to == "check valve";
  });
  // How the passages fill for a quarter of a minute is unsure by 2 % of that time, so the long rise does not say all:
  // the other readings are a sound engine with much more air in it that night, and a pump that has lost capacity.
  // Nested sampling of the same likelihood (nested_sampler.hpp, run with 30 and with 50 live points, the last with 50)
  // gives ln Z = -32.74 +- 0.80 and -31.18 +- 0.59 for the first, -28.01 +- 0.55 for the second, and -22.08 +- 0.49 and
  // -22.46 +- 0.39 for the leaking valve: together distances of 9.42 +- 0.56 and 5.70 +- 0.63. The floor of such a
  // valley has ripples; the match's own ln Z may be off by 1, as in MatchEvidence, so its distances by 2. As far as the
  // logs are believed (self_doubt.hpp) they count 3*ln(1 + distance/3). With the priors, what was observed beside the
  // logs, and the share of misled jobs, that leaves the valve 0.78; with both distances two standard deviations and 2
  // shorter, 0.58.
  const auto of_logs = [&](const std::string& title) {
    const FaultFit& fit =
        *std::ranges::find_if(combine.match().fits, [&](const FaultFit& f) { return f.candidate.title() == title; });
    return fit.log_evidence - fit.observations_log_evidence;
  };
  const double valve = of_logs("seat leak at outlet check valve");
  EXPECT_NEAR(valve - of_logs("nothing wrong on the oil side"), 9.42, 2 * 0.56 + 2) << combine.ranking();
  EXPECT_NEAR(valve - of_logs("lost capacity at high-pressure pump"), 5.70, 2 * 0.63 + 2) << combine.ranking();
  EXPECT_GT(drained, 0.58) << combine.ranking();
  EXPECT_LT(combine.probability_of({{"drive lost", ""}}), 0.05)
      << "a pump that slips would slip two minutes later too\n"
      << combine.ranking();
  EXPECT_LT(combine.probability_of(holes), 0.1) << combine.ranking();
  // The crank that started is weighed as long as it was: the engine fires 17.9 s into the log.
  ASSERT_EQ(combine.evidence.observations.starts.size(), 2u);
  EXPECT_NEAR(combine.evidence.observations.starts[0].situation.cranked, 17.7, 0.3);
}

TEST(TenQuestions, PsiThatItsVoltsDenyIsTheSensorsWire) {
  FULL_MATCH;
  Asked& sweeper = asked("road-sweeper");
  EXPECT_TRUE(sweeper.evidence.logs.empty()) << "870 psi to the last digit must not be fitted";
  ASSERT_EQ(sweeper.evidence.observations.logs.size(), 1u);
  EXPECT_GT(sweeper.probability_of({{"wire broken", ""}}), 0.9) << sweeper.ranking();
}

TEST(TenQuestions, HissThatStaysUnderOneCoverNamesTheSide) {
  FULL_MATCH;
  Asked& tow = asked("tow-truck");
  const double left = tow.probability([&](const FaultFit& fit) {
    return std::ranges::any_of(fit.candidate.suspects,
                               [](const Suspect& s) { return s.places.front().access == "left valve cover"; });
  });
  EXPECT_GT(left, 0.85) << tow.ranking();
}

// A seal that was seen cut is renewed, whatever the log says of other places (it cannot tell them apart). What is left
// is for an engine with another fault that has a cut seal as well; 2 in 100.
TEST(TenQuestions, ASealThatWasSeenCutIsNearlyProved) {
  FULL_MATCH;
  Asked& plough = asked("snow-plough");
  double there = 0;
  for (const FaultFit& fit : plough.match().fits)
    for (std::size_t s = 0; s < fit.candidate.suspects.size(); ++s)
      for (std::size_t i = 0; i < fit.candidate.suspects[s].places.size(); ++i)
        if (fit.candidate.suspects[s].places[i].place == "left rail front end plug")
          there += fit.probability * fit.places[s][i];
  EXPECT_GT(there, 0.98) << plough.ranking();
}

TEST(TenQuestions, OneRailAtATimeNamesTheSideToOpen) {
  FULL_MATCH;
  Asked& crane = asked("crane-truck");
  const auto side = [&](const std::string& cover) {
    return crane.probability([&](const FaultFit& fit) {
      return std::ranges::any_of(fit.candidate.suspects,
                                 [&](const Suspect& s) { return s.places.front().access == cover; });
    });
  };
  EXPECT_GT(side("right valve cover"), 0.9) << crane.ranking();
  EXPECT_LT(side("left valve cover"), 0.1) << crane.ranking();
  const auto& best = crane.match().fits.front();
  const double same_flow = 0.68e-3 * std::sqrt(0.65 / 0.62);
  ASSERT_EQ(best.candidate.suspects.at(0).kind->word, "hole") << crane.ranking();
  EXPECT_NEAR(best.severities[0].best, same_flow, 0.08 * same_flow);
}

TEST(TenQuestions, NothingChangedMeansTheWrongPart) {
  FULL_MATCH;
  Asked& tanker = asked("milk-tanker");
  const Priors priors = read_priors(file_of("models/priors.json"));
  const auto hole_in = [&](const Evidence& evidence) {
    const MatchResult result = match(tanker.circuit, evidence, priors);
    return *std::ranges::find_if(result.fits, [](const FaultFit& fit) {
      return fit.candidate.suspects.size() == 1 && fit.candidate.suspects[0].kind->word == "hole";
    });
  };
  Evidence before, after;  // the logs alone: what was seen of the old regulator is of the engine as it came
  before.logs = tanker.evidence.logs, after.logs = tanker.after.logs;
  ASSERT_EQ(after.logs.size(), 1u);
  const FaultFit was = hole_in(before), is = hole_in(after);
  EXPECT_NEAR(is.severities[0].best / was.severities[0].best, 1, 0.05) << "the same leak before and after";
  EXPECT_GT(is.severities[0].high, was.severities[0].low);
  EXPECT_LT(is.severities[0].low, was.severities[0].high);
  EXPECT_LT(tanker.probability([](const FaultFit& fit) {
    return fit.candidate.suspects.size() == 1 && fit.candidate.suspects[0].kind->applies_to == "regulator";
  }),
            0.25)
      << tanker.ranking();
}

}  // namespace
}  // namespace railseep

#include "match/match.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "full_match.hpp"
#include "hypothesis/predictor.hpp"
#include "job/job.hpp"
#include "made_up_log.hpp"
#include "match/self_doubt.hpp"
#include "quantity/error.hpp"
#include "shipped_circuits.hpp"
#include "study/made_up_job.hpp"

namespace railseep {
namespace {

Circuit v8() { return read_circuit(source_file("models/valley_v8.json")); }

Priors only(const std::string& wanted) {
  Priors priors = read_priors(source_file("models/priors.json"));
  for (auto& [kind, weight] : priors) weight = kind == wanted ? 1 : 0;
  return priors;
}

/// An engine that is not quite the nominal one: within the spreads of the circuit file.
Circuit individual(Circuit circuit) {
  for (Link& link : circuit.links) {
    if (Pump* pump = std::get_if<Pump>(&link.element)) pump->displacement *= 1.05, pump->slip *= 1.15;
    if (Regulator* regulator = std::get_if<Regulator>(&link.element)) regulator->pressure_slope *= 0.95;
  }
  return circuit;
}

Evidence cold_and_hot(const Circuit& faulty, unsigned seed) {
  return {{made_up_log(faulty, {.name = "cold", .celsius = 15, .rpm = 155, .seed = seed}),
           made_up_log(faulty, {.name = "hot", .celsius = 90, .rpm = 172, .seed = seed + 1})}};
}

struct FaultCase {
  const char* label;
  const char* prior;
  const char* fault;
};

void PrintTo(const FaultCase& c, std::ostream* out) { *out << c.fault; }

class FoundAgain : public testing::TestWithParam<FaultCase> {};

TEST_P(FoundAgain, SeverityIsInsideItsInterval) {
  const Circuit circuit = inline_six();
  const Fault truth = parse_fault(GetParam().fault, circuit);
  const MatchResult result =
      match(circuit, cold_and_hot(with_faults(individual(circuit), std::vector{truth}), 7), only(GetParam().prior));
  const auto fit = std::find_if(result.fits.begin(), result.fits.end(), [&](const FaultFit& f) {
    return std::any_of(f.candidate.suspects.front().places.begin(), f.candidate.suspects.front().places.end(),
                       [&](const PossibleFault& place) { return place.place == truth.place; });
  });
  ASSERT_NE(fit, result.fits.end());
  EXPECT_LE(fit->severities.front().low, truth.severity);
  EXPECT_GE(fit->severities.front().high, truth.severity);
  // An interval that says nothing would hold the truth too: it must be narrower than the typical range it began with.
  const PossibleFault& place = fit->candidate.suspects.front().places.front();
  EXPECT_LT(std::abs(fit->severities.front().high - fit->severities.front().low),
            0.7 * (place.most - (truth.kind == "bias" ? -place.most : place.least)));
}

INSTANTIATE_TEST_SUITE_P(
    EachKind, FoundAgain,
    testing::Values(FaultCase{"Hole", "hole", "jumper tube 4 seal: hole 0.7 mm"},
                    FaultCase{"Gap", "gap", "manifold rear end plug: gap 55 um"},
                    FaultCase{"LiftingSeal", "lifting seal", "jumper tube 2 seal: lifting seal 0.9 mm"},
                    FaultCase{"PumpWear", "wear (pump)", "high-pressure pump: wear 9 x"},
                    FaultCase{"LostCapacity", "lost capacity (pump)", "high-pressure pump: lost capacity 55 %"},
                    FaultCase{"StuckOpen", "stuck open (regulator)", "pressure regulator: stuck open 6 %"},
                    FaultCase{"SeatLeak", "seat leak (regulator)", "pressure regulator: seat leak 0.7 mm"},
                    FaultCase{"SensorLow", "bias (sensor)", "pressure sensor: bias -300 psi"},
                    FaultCase{"SensorHigh", "bias (sensor)", "pressure sensor: bias 250 psi"},
                    FaultCase{"WornSpools", "worn spools (injector)", "injectors: worn spools 2 x"}),
    [](const auto& test) { return std::string(test.param.label); });

double probability(const MatchResult& result, const std::string& kind) {
  double sum = 0;
  for (const FaultFit& fit : result.fits)
    if (fit.candidate.healthy() ? kind == "none" : fit.candidate.suspects.front().kind->word == kind)
      sum += fit.probability;
  return sum;
}

/// Does the pressure allow injection hot with this fit's fault in it? (A module that has lost the position is no matter
/// of pressure.)
bool builds_pressure_hot(const Circuit& circuit, const FaultFit& fit) {
  Condition hot;
  hot.oil_temperature = 363.15;
  hot.speed = Profile(from_rpm(172));
  const Circuit faulty = with_faults(circuit, fit.faults());
  return summarise(faulty, crank(faulty, hot).trace).time_to_enable.has_value();
}

// While the regulator still has oil to dump, a moderate leak costs it duty and no pressure: such faults cannot be
// excluded by these logs. Whatever is left in the running beside "nothing wrong" must be of that sort.
TEST(Match, WhatCanNotBeExcludedOnAHealthyEngineDoesNotStopIt) {
  FULL_MATCH;
  const MatchResult result =
      match(inline_six(), cold_and_hot(individual(inline_six()), 21), read_priors(source_file("models/priors.json")));
  for (const FaultFit& fit : result.fits)
    if (!fit.candidate.healthy() && fit.probability > 0.05) {
      EXPECT_TRUE(builds_pressure_hot(individual(inline_six()), fit)) << fit.candidate.title();
    }
  // By their typical sizes at least half of the catalogue's prior weight would have shown (no current, a wide hole, a
  // pump that delivers half ...): what is left shares its weight, so that a sound engine must come out at twice its
  // prior at least, and ahead of every single fault.
  const std::vector<Candidate> all = candidates(inline_six(), read_priors(source_file("models/priors.json")));
  const double prior = std::ranges::find_if(all, &Candidate::healthy)->prior;
  EXPECT_GT(probability(result, "none"), 2 * prior);
  EXPECT_TRUE(result.fits.front().candidate.healthy());
}

TEST(Match, AHotOnlyGapIsNotTakenForAHole) {
  FULL_MATCH;
  const Circuit circuit = inline_six();
  const MatchResult result = match(
      circuit,
      cold_and_hot(with_faults(individual(circuit), std::vector{parse_fault("jumper tube 1 seal: gap 50 um", circuit)}),
                   31),
      read_priors(source_file("models/priors.json")));
  EXPECT_LT(probability(result, "hole"), 0.05);
  EXPECT_LT(probability(result, "lost capacity"), 0.05);
  // What leaks as a film does holds the rest. Gap, wear and worn spools differ so little that at worst each has a third
  // of it.
  const double gap = probability(result, "gap"),
               films = gap + probability(result, "wear") + probability(result, "worn spools");
  EXPECT_GT(films, 0.85);
  EXPECT_GT(gap, 0.85 / 3);
}

// Where the speed was measured a slow starter is in it already: the same oil is pumped as by a sound engine turned so
// slowly, and how slow the starter is stays as unsure as it was. (Scaled once more by the fault, the pump would turn at
// a third.)
TEST(Match, AMeasuredSpeedHoldsTheSlowStarterAlready) {
  const Circuit circuit = inline_six();
  const Circuit slow = with_faults(circuit, std::vector{parse_fault("engine: slow cranking 60 %", circuit)});
  Priors priors = only("slow cranking (engine)");
  priors["healthy"] = 1;
  const MatchResult result =
      match(circuit, {{made_up_log(slow, {.name = "hot", .celsius = 90, .rpm = 180, .seed = 5})}}, priors);
  const auto found = std::ranges::find_if(result.fits, [](const FaultFit& fit) { return !fit.candidate.healthy(); });
  const auto sound = std::ranges::find_if(result.fits, [](const FaultFit& fit) { return fit.candidate.healthy(); });
  ASSERT_NE(found, result.fits.end());
  ASSERT_NE(sound, result.fits.end());
  EXPECT_NEAR(found->log_evidence, sound->log_evidence, 0.2);
  const Severity& severity = found->severities.front();
  const Unknown unknown = severity_unknown(found->candidate.suspects.front());
  EXPECT_NEAR(unknown.coordinate(severity.low), -1.645, 0.15);  // the ends of the prior's own 90 %
  EXPECT_NEAR(unknown.coordinate(severity.high), 1.645, 0.15);
}

// Both rails hang on the same branch tube and the tubes lose hardly any pressure: the circuit makes left and right look
// alike.
TEST(Match, LeftAndRightRailAreReportedAsLookAlikes) {
  const Circuit circuit = v8();
  const MatchResult result = match(
      circuit,
      cold_and_hot(
          with_faults(individual(circuit), std::vector{parse_fault("right rail rear end plug: hole 0.7 mm", circuit)}),
          41),
      only("hole"));
  ASSERT_FALSE(result.sets.empty());
  std::vector<std::string> places;
  for (const std::size_t i : result.sets.front().fits)
    for (const PossibleFault& place : result.fits[i].candidate.suspects.front().places) places.push_back(place.place);
  EXPECT_NE(std::find(places.begin(), places.end(), "left rail front end plug"), places.end());
  EXPECT_NE(std::find(places.begin(), places.end(), "right rail rear end plug"), places.end());
  EXPECT_NE(result.sets.front().why.find("only see the total"), std::string::npos);
}

TEST(Match, ProbabilitiesAddUpAndTheSameAnswerComesFromAnyNumberOfThreads) {
  FULL_MATCH;
  const Circuit circuit = inline_six();
  const Evidence logs{
      {made_up_log(with_faults(circuit, std::vector{parse_fault("high-pressure pump: wear 8 x", circuit)}),
                   {.name = "hot", .seconds = 5, .seed = 5})}};
  Priors priors = read_priors(source_file("models/priors.json"));
  for (const char* kind : {"hole", "gap", "lifting seal", "seat leak (check valve)", "bias (sensor)"}) priors[kind] = 0;
  const MatchResult one = match(circuit, logs, priors, {.threads = 1, .progress = {}}),
                    three = match(circuit, logs, priors, {.threads = 3, .progress = {}});
  double sum = 0;
  ASSERT_EQ(one.fits.size(), three.fits.size());
  for (std::size_t i = 0; i < one.fits.size(); ++i) {
    sum += one.fits[i].probability;
    EXPECT_EQ(one.fits[i].log_evidence, three.fits[i].log_evidence);
    EXPECT_EQ(one.fits[i].faults().empty() ? 0 : one.fits[i].faults().front().severity,
              three.fits[i].faults().empty() ? 0 : three.fits[i].faults().front().severity);
  }
  EXPECT_NEAR(sum, 1, 1e-12);
}

// Truth known by construction: a sound engine with much air in its passages, seven sweeps of it cold. Looked at with a
// usual share of air it seems hopelessly far behind, and a place along a severity where it would not is what it does
// not have.
TEST(Match, ASoundEngineIsNeverGivenUpAtAGlance) {
  const Circuit circuit = inline_six();
  const Priors priors = read_priors(source_file("models/priors.json"));
  const MadeUpJob job = draw_job(circuit, priors, 4, 178, {});
  ASSERT_TRUE(job.candidate.healthy());
  const Evidence evidence = made_up_evidence(circuit, job, 4);
  MatchOptions alone;
  alone.pairs = Pairs::never;
  const MatchResult result = match(circuit, evidence, priors, alone);
  const FaultFit& sound =
      *std::ranges::find_if(result.fits, [](const FaultFit& fit) { return fit.candidate.healthy(); });
  Predictor predictor(circuit, sound.candidate, evidence.logs);
  const auto cost = [&](const Eigen::VectorXd& u) {
    return tolerances_of(evidence.logs).loss(predictor.residuals(u)) + 0.5 * u.squaredNorm();
  };
  EXPECT_LT(cost(sound.u), cost(coordinates_of(job, predictor.unknowns())) + 2);
}

TEST(Match, OilBalanceOfTheBestCandidateCloses) {
  const Circuit circuit = inline_six();
  const Evidence logs{
      {made_up_log(with_faults(circuit, std::vector{parse_fault("jumper tube 5 seal: hole 0.8 mm", circuit)}),
                   {.name = "hot", .seed = 9})}};
  const MatchResult result = match(circuit, logs, only("hole"));
  const OilBalance& oil = result.balances.front();
  double used = oil.slip + oil.stored;
  for (const OilBalance::Share& use : oil.uses) used += use.flow;
  EXPECT_NEAR(used, oil.displaced, 1e-9 * oil.displaced);
  EXPECT_LT(std::abs(oil.stored), 0.05 * oil.displaced);  // at a plateau hardly anything is stored
}

// The shipped demo: its generator is another model; the hidden hole of 0.66 mm with a coefficient of 0.65 passes what
// one of 0.66*sqrt(0.65/0.62) = 0.676 mm passes here. Where the hole is, and whether it is one in the regulator, these
// logs cannot say.
TEST(Match, HarbourWorkBoatFindsTheHiddenHoleAmongItsLookAlikes) {
  FULL_MATCH;
  const Job job = read_job(source_file("scenarios/harbour-work-boat/job.json"));
  Evidence logs;
  for (const JobLog& log : job.logs)
    logs.logs.push_back(crank_evidence(read_log(job_path(job, log.file), log.options), log.condition));
  const MatchResult result =
      match(read_circuit(source_file(job.circuit)), logs, read_priors(source_file("models/priors.json")));
  const auto is_truth = [](const FaultFit& fit) {
    return !fit.candidate.healthy() && fit.candidate.suspects.front().kind->word == "hole" &&
           std::ranges::any_of(fit.candidate.suspects.front().places,
                               [](const PossibleFault& p) { return p.place == "jumper tube 3 seal"; });
  };
  const auto truth = std::find_if(result.fits.begin(), result.fits.end(), is_truth);
  ASSERT_NE(truth, result.fits.end());
  EXPECT_LE(truth->severities.front().low, 0.676e-3);
  EXPECT_GE(truth->severities.front().high, 0.676e-3);
  EXPECT_LT(truth->severities.front().high - truth->severities.front().low, 0.2e-3);
  ASSERT_FALSE(result.sets.empty());
  const std::vector<std::size_t>& look_alikes = result.sets.front().fits;
  EXPECT_TRUE(
      std::any_of(look_alikes.begin(), look_alikes.end(), [&](std::size_t i) { return is_truth(result.fits[i]); }));
  // A seal that has lifted passes oil as a hole does.
  EXPECT_GT(probability(result, "hole") + probability(result, "stuck open") + probability(result, "seat leak") +
                probability(result, "lifting seal"),
            0.99 * (1 - misleading_log_share))
      << "nearly all that is not granted to logs that mislead";
  EXPECT_LT(probability(result, "wear") + probability(result, "gap") + probability(result, "none"), 0.02);
}

TEST(Evidence, SaysWhatIsMissing) {
  const LogCondition told{"crank", "", {}, {}, {}, {}};
  const auto message = [&](const std::string& csv) {
    try {
      crank_evidence(parse_log(csv, "a.csv"), told);
    } catch (const Error& error) {
      return std::string(error.what());
    }
    return std::string("nothing was thrown");
  };
  EXPECT_NE(message("time (s),rpm\n0,100\n1,150\n2,150\n3,150\n4,150\n").find("no rail pressure"), std::string::npos);
  EXPECT_NE(message("time (s),icp (psi),rpm\n0,0,100\n1,80,150\n2,300,150\n").find("usable pressures"),
            std::string::npos);
  EXPECT_NE(
      message("time (s),icp (psi)\n0,0\n1,80\n2,300\n3,310\n4,320\n5,318\n").find("how fast the engine was cranked"),
      std::string::npos);
}

// Closed form: the covariances that NoiseModel states, added up. With an engine at rest nothing has overshot, however
// much of what the sensor shows the log has left to fall in the end: that a biased sensor shows pressure at rest was
// explained away by it, once a second was swept.
TEST(Evidence, NothingOvershootsBeforeTheEngineTurns) {
  const CrankEvidence log = crank_evidence(parse_log("time (s),icp (kPa),rpm,eot "
                                                     "(degC)\n0,850,0,20\n1,850,0,20\n2,870,0,20\n3,10000,150,20\n4,"
                                                     "9000,150,20\n5,7000,150,20\n6,5000,150,20\n7,3000,150,20\n",
                                                     "a.csv"),
                                           {"cold", "", {}, {}, {}, {}});
  Eigen::MatrixXd factor = Eigen::MatrixXd::Identity(8, 8);
  log.tolerance->levels.front().whitener.colour(factor);
  const Eigen::MatrixXd covariance = factor * factor.transpose();
  const NoiseModel noise;
  const auto lasting = [&](double measured) { return std::hypot(noise.offset, noise.share * measured); };
  EXPECT_NEAR(std::sqrt(covariance(0, 0)), std::hypot(lasting(8.5e5), noise.noise), 0.02 * lasting(8.5e5));
  EXPECT_GT(std::sqrt(covariance(4, 4)), (noise.overshoot + noise.overshoot_rate) * (9e6 - 3e6))
      << "falls by 6 MPa within the log alone";
}

TEST(Evidence, ANoteTellsOfAnOilTemperatureThatNobodyMeasured) {
  const CrankEvidence evidence = crank_evidence(
      parse_log("time (s),icp (psi),rpm\n0,0,100\n1,80,150\n2,300,152\n3,310,150\n4,320,149\n5,318,151\n", "a.csv"),
      {"crank", "", {}, {}, {}, {}});
  EXPECT_GE(evidence.temperature_doubt, 20);
  EXPECT_TRUE(std::any_of(evidence.notes.begin(), evidence.notes.end(), [](const std::string& note) {
    return note.find("no oil temperature") != std::string::npos;
  }));
}

TEST(Priors, AreRefusedWithAPlace) {
  const auto refused = [](Priors priors) {
    priors.erase("hole");
    candidates(inline_six(), priors);
  };
  EXPECT_THROW(refused(read_priors(source_file("models/priors.json"))), Error);
}

// Elements' own formulas (holes.md, regulators.md): a seat leak is a hole between the valve's nodes. Where oil drains
// through the valve while the engine stands, a leaking seat does more than that; where it leaks from the start, so much
// more is not so much.
TEST(Candidates, OfTheSameEffectAreHolesBetweenTheSameNodes) {
  const Circuit circuit = inline_six();
  const std::vector<PossibleFault> all = possible_faults(circuit);
  const auto fault = [&all](const std::string& place, const std::string& word) -> const PossibleFault& {
    return *std::ranges::find_if(all, [&](const PossibleFault& f) { return f.place == place && f.kind->word == word; });
  };
  const PossibleFault& outlet = fault("pump outlet fitting", "hole");
  EXPECT_TRUE(same_effect(circuit, outlet, fault("pressure regulator", "seat leak")));
  EXPECT_TRUE(same_effect(circuit, outlet, fault("relief valve", "seat leak")));
  EXPECT_TRUE(same_effect(circuit, fault("jumper tube 1 seal", "hole"), fault("injector 1 top seal", "hole")));
  EXPECT_FALSE(same_effect(circuit, outlet, fault("outlet check valve", "seat leak")));
  EXPECT_FALSE(same_effect(circuit, outlet, fault("jumper tube 1 seal", "hole")));
  EXPECT_FALSE(same_effect(circuit, outlet, fault("pump outlet fitting", "gap")));
  EXPECT_FALSE(same_effect(circuit, fault("high-pressure pump", "wear"), fault("high-pressure pump", "wear")))
      << "only what lets oil past";
  for (const auto& [place, word] :
       {std::pair{"pressure regulator", "seat leak"}, std::pair{"relief valve", "seat leak"}}) {
    const auto plateau = [&](const Fault& f) {
      return summarise(circuit, crank(with_faults(circuit, std::vector{f}), Condition{}).trace).plateau;
    };
    EXPECT_NEAR(plateau({place, word, 8e-4}) / plateau({"pump outlet fitting", "hole", 8e-4}), 1, 1e-5) << place;
  }
}

// A file of priors gives each kind of fault a weight: wherever the kind may be, the chances of its places add up to its
// share of all weights.
TEST(Candidates, PlacesOfAKindShareItsWeight) {
  Priors priors = read_priors(source_file("models/priors.json"));
  for (auto& [kind, weight] : priors)
    weight = kind == "healthy" ? 1 : kind == "hole" ? 5 : kind == "wear (pump)" ? 4 : 0;
  double holes = 0, wear = 0, healthy = 0;
  for (const Candidate& candidate : candidates(inline_six(), priors))
    (candidate.healthy() ? healthy : candidate.suspects.front().kind->word == "hole" ? holes : wear) += candidate.prior;
  EXPECT_NEAR(holes, 0.5, 1e-12);
  EXPECT_NEAR(wear, 0.4, 1e-12);
  EXPECT_NEAR(healthy, 0.1, 1e-12);
}

TEST(Candidates, PriorsAddUpToOneAndTwinsShareOneFit) {
  const std::vector<Candidate> all = candidates(v8(), read_priors(source_file("models/priors.json")));
  double sum = 0;
  std::size_t places = 0;
  for (const Candidate& candidate : all)
    sum += candidate.prior, places += candidate.healthy() ? 0 : candidate.suspects.front().places.size();
  EXPECT_NEAR(sum, 1, 1e-12);
  const Priors priors = read_priors(source_file("models/priors.json"));
  std::size_t considered = 0;  // kinds with a weight
  for (const PossibleFault& fault : possible_faults(v8())) {
    const bool leak = fault.kind->change == FaultKind::Change::opens_leak;
    considered +=
        priors.at(std::string(fault.kind->word) + (leak ? "" : " (" + std::string(fault.kind->applies_to) + ")")) > 0;
  }
  EXPECT_EQ(places, considered);
  EXPECT_LT(all.size(), places);
}

}  // namespace
}  // namespace railseep

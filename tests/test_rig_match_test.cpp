// A real rig through the road an engine takes: circuit file, evidence, match. Each cycle's leak class stays unseen
// until its result is judged. Source: N. Helwig, E. Pignanelli, A. Schuetze, I2MTC 2015,
// doi 10.1109/I2MTC.2015.7151267; open data set. Orifices 0.20 and 0.25 mm from memory of the paper's table; with the
// sharp-orifice law at Cd 0.61 and 860 kg/m3 they pass what an evaluation independent of this project found.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <numbers>
#include <numeric>

#include "after/calibrate.hpp"
#include "circuit/circuit_file.hpp"
#include "fluid/grade.hpp"
#include "full_match.hpp"
#include "match/match.hpp"
#include "procedure/crank.hpp"
#include "quantity/error.hpp"
#include "reference_table.hpp"

namespace railseep {
namespace {

constexpr double installed[] = {0, 0.20e-3, 0.25e-3};  // [m] by leak class
constexpr int good_cycles[] = {1787, 1920, 2053,
                               2186};  // known to be tight, the first of each accumulator label: not judged again
constexpr double first_second = 10;    // before it the load valve is shut

struct Cycle {
  int number = 0, leak_class = 0, accumulator = 0;
  std::vector<double> second, pressure, flow;  // [s], gauge [Pa], [m3/s]; from first_second on
  double temperature = 0;                      // [K] mean

  bool on_plateau(std::size_t i) const {
    return second[i] >= 12 && std::fmod(second[i], 10) >= 2 && std::fmod(second[i], 10) <= 7;
  }
};

std::string data_file() { return std::string(RAILSEEP_SOURCE_DIR) + "/../shared/data/hydraulic-test-rig/cycles.csv"; }

const std::map<int, Cycle>& cycles() {
  static const std::map<int, Cycle> all = [] {
    std::ifstream file(data_file());
    std::ostringstream content;
    content << file.rdbuf();
    std::map<int, Cycle> read;
    for (const ReferenceRow& row : parse_reference_table("cycles.csv", content.str())) {
      if (row["second"] < first_second) continue;
      Cycle& cycle = read[static_cast<int>(row["cycle"])];
      cycle.number = static_cast<int>(row["cycle"]), cycle.leak_class = static_cast<int>(row["pump_leak_class"]),
      cycle.accumulator = static_cast<int>(row["accumulator_bar"]);
      cycle.second.push_back(row["second"]), cycle.pressure.push_back(row["pump_outlet_pressure_bar"] * 1e5),
          cycle.flow.push_back(row["flow_L_per_min"] / 6e4);
      cycle.temperature += (row["oil_temperature_degC"] + 273.15) / (60 - first_second);
    }
    return read;
  }();
  return all;
}

double mean(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

bool is_good(int number) { return std::ranges::find(good_cycles, number) != std::end(good_cycles); }

/// Its oil: ISO VG 46 is assumed as in test_rig_test.cpp; it is so much thinner than 10W-30 at 40 degC.
Circuit rig() {
  Circuit circuit = read_circuit(std::string(RAILSEEP_SOURCE_DIR) + "/tests/test_rig/circuit.json");
  circuit.engine.oil_thickness = 46e-6 / find_oil_grade("10W-30").viscosity_40;
  return circuit;
}

/// How flow scatters, from the cycles that are known to be good and nothing else: each second around the mean of its
/// plateau, and the plateau means around a straight line over pressure through all of them. The line leaves out
/// temperature (1 K among them): that is in the scatter.
NoiseModel flow_noise() {
  struct Plateau {
    double n = 0, pressure = 0, flow = 0, squares = 0;
  };
  std::map<std::pair<int, int>, Plateau> plateaus;
  for (const int number : good_cycles) {
    const Cycle& cycle = cycles().at(number);
    for (std::size_t i = 0; i < cycle.second.size(); ++i)
      if (cycle.on_plateau(i)) {
        Plateau& p = plateaus[{number, static_cast<int>(cycle.second[i]) / 10}];
        p.n += 1, p.pressure += cycle.pressure[i], p.flow += cycle.flow[i], p.squares += cycle.flow[i] * cycle.flow[i];
      }
  }
  double n = 0, x = 0, y = 0, xx = 0, xy = 0, yy = 0, within = 0, samples = 0;
  for (auto& [key, p] : plateaus) {
    const double pressure = p.pressure / p.n, flow = p.flow / p.n;
    within += p.squares - p.n * flow * flow, samples += p.n - 1;
    n += 1, x += pressure, y += flow, xx += pressure * pressure, xy += pressure * flow, yy += flow * flow;
  }
  const double sxx = xx - x * x / n, sxy = xy - x * y / n, syy = yy - y * y / n;
  NoiseModel noise;
  noise.noise = std::sqrt(within / samples);
  noise.offset = std::sqrt((syy - sxy * sxy / sxx) / (n - 2));
  noise.share = 0;
  noise.memory = 30;                                          // [s] assumed: between a plateau's 10 and a cycle's 60
  noise.timing = noise.overshoot = noise.overshoot_rate = 0;  // plateaus
  noise.off = {{1, 1}}, noise.assumed_tolerances = false;     // all measured, on good cycles
  return noise;
}

/// One cycle as evidence: each second's pressure is imposed on the load, the flow through the meter on the plateaus is
/// compared.
CrankEvidence evidence_of(const Cycle& cycle, const NoiseModel& noise) {
  CrankEvidence evidence;
  evidence.name = "cycle " + std::to_string(cycle.number);
  evidence.channel = "load line flow";
  std::vector<double> begins;
  for (std::size_t i = 0; i < cycle.second.size(); ++i) {
    const double t = cycle.second[i] - first_second;
    begins.push_back(t);
    if (cycle.on_plateau(i))
      evidence.time.push_back(t + 0.5), evidence.measured.push_back(cycle.flow[i]);  // means of a second
  }
  evidence.condition.tank_pressure["load"] = Profile(begins, cycle.pressure);
  evidence.condition.oil_temperature = cycle.temperature;
  evidence.condition.speed = Profile(1480 * 2 * std::numbers::pi / 60);  // assumed; goes into the displacement
  evidence.condition.rest_air = 1e-3;                                    // the rig has run for hours
  evidence.leak_pressure = mean(cycle.pressure);
  evidence.duty = Profile(0.0);  // there is no regulator
  evidence.duration = evidence.time.back() + 1e-9;
  evidence.sample_interval = 1;
  evidence.temperature_doubt =
      0.1;  // [K] assumed: how well one thermometer repeats; its constant error goes into the slip
  weigh_samples(evidence, noise, 0);
  return evidence;
}

std::vector<CrankEvidence> good_logs(const NoiseModel& noise) {
  std::vector<CrankEvidence> logs;
  for (const int number : good_cycles) logs.push_back(evidence_of(cycles().at(number), noise));
  return logs;
}

/// The one question of the rig: nothing wrong, or a hole. Weights as shipped.
Priors hole_or_nothing() {
  Priors priors = read_priors(std::string(RAILSEEP_SOURCE_DIR) + "/models/priors.json");
  for (auto& [kind, weight] : priors)
    if (kind != "hole" && kind != "healthy") weight = 0;
  return priors;
}

/// The hole that passes, by the law of this project, what a sharp orifice of the installed size passes at Cd 0.61 and
/// 860 kg/m3: by bisection.
double equivalent(double diameter, const Cycle& cycle, const Circuit& circuit) {
  const double pressure = mean(cycle.pressure);
  Condition condition;
  condition.oil_temperature = cycle.temperature;
  const Oil oil = oil_of(circuit, condition);
  const double passed = 0.61 * 0.25 * std::numbers::pi * diameter * diameter * std::sqrt(2 * pressure / 860);
  double low = 1e-5, high = 1e-3;
  for (int i = 0; i < 50; ++i) {
    const double middle = 0.5 * (low + high);
    const Circuit leaking = with_faults(circuit, std::vector{Fault{"leak orifice", "hole", middle}});
    (std::get<Hole>(leaking.links.back().element).flow_through(pressure, oil) < passed ? low : high) = middle;
  }
  return low;
}

struct Judged {
  double tight = 0;  // probability that nothing is wrong
  Severity hole;     // if there is one
};

/// One cycle of unknown state, with the known-good ones beside it: the pump is the same in all.
Judged judge(const Circuit& circuit, const CrankEvidence& cycle, const std::vector<CrankEvidence>& good) {
  Evidence evidence{{cycle}};
  for (CrankEvidence log : good) log.stage = Stage::good, evidence.logs.push_back(std::move(log));
  Judged judged;
  for (const FaultFit& fit : match(circuit, evidence, hole_or_nothing()).fits) {
    if (fit.candidate.healthy())
      judged.tight = fit.probability;
    else
      judged.hole = fit.severities.front();
  }
  return judged;
}

/// The last cycle of each class and accumulator label, or all of them when they are asked for; none of the good ones.
std::vector<Cycle> judged_cycles() {
  const bool every = std::getenv("RAILSEEP_ALL_RIG_CYCLES") != nullptr;
  std::map<std::pair<int, int>, Cycle> last;
  std::vector<Cycle> chosen;
  for (const auto& [number, cycle] : cycles()) {
    if (is_good(number)) continue;
    if (every)
      chosen.push_back(cycle);
    else
      last[{cycle.leak_class, cycle.accumulator}] = cycle;
  }
  for (const auto& [key, cycle] : last) chosen.push_back(cycle);
  return chosen;
}

/// Results by leak class, for the figures of all.
struct Tally {
  double cycles = 0, held = 0, called_right = 0, best = 0, width = 0;
  std::vector<Severity> holes;
};

double share_of_pairs_apart(const Tally& weak, const Tally& severe) {
  double apart = 0;
  for (const Severity& a : weak.holes)
    for (const Severity& b : severe.holes) apart += a.high < b.low;
  return apart / (weak.cycles * severe.cycles);
}

#define DATA_OR_SKIP                         \
  if (!std::filesystem::exists(data_file())) \
  GTEST_SKIP() << "the cycles of the test rig are not here (" << data_file() << "): not checked"

// What is called right: a tight rig when nothing wrong is the likeliest or the interval ends below 0.1 mm; an orifice
// when the best size is nearer to its own than to any other (0, 0.20, 0.25 mm). Of nine in ten intervals that should
// hold the installed hole more may: see tests/README.md.
TEST(TestRigMatch, HoleOfEachCycleIsFoundAndTightOnesAreCalledTight) {
  DATA_OR_SKIP;
#ifdef RAILSEEP_SANITIZED
  GTEST_SKIP() << "too slow under sanitizers; the next test visits the same code";
#endif
  const NoiseModel noise = flow_noise();
  const std::vector<CrankEvidence> good = good_logs(noise);
  const Circuit circuit = rig();
  Tally tally[3];
  for (const Cycle& cycle : judged_cycles()) {
    const Judged judged = judge(circuit, evidence_of(cycle, noise), good);
    const int c = cycle.leak_class;
    const double truth = c == 0 ? 0 : equivalent(installed[c], cycle, circuit), best = judged.hole.best;
    tally[c].cycles += 1, tally[c].best += best, tally[c].width += judged.hole.high - judged.hole.low;
    tally[c].held += judged.hole.low <= truth && truth <= judged.hole.high;
    const bool tight = judged.tight > 0.5 || judged.hole.high < 0.1e-3;
    tally[c].called_right += c == 0 ? tight : !tight && (c == 1) == (best < 0.225e-3);
    tally[c].holes.push_back(judged.hole);
    if (c > 0) {
      EXPECT_LT(judged.tight, 1e-3) << "cycle " << cycle.number;
    }
  }
  for (int c = 0; c < 3; ++c) {
    ASSERT_GT(tally[c].cycles, 0);
    std::printf(
        "class %d: %.0f of %.0f called right, %.0f intervals hold the installed hole; mean of the best %.4f mm, of the "
        "widths %.4f mm\n",
        c, tally[c].called_right, tally[c].cycles, tally[c].held, tally[c].best / tally[c].cycles * 1e3,
        tally[c].width / tally[c].cycles * 1e3);
  }
  // Of 45 tight cycles 3 are missed: their oil is 1 K colder than most of the good ones', and the pump's slip follows
  // the oil less than Wilson's law says.
  EXPECT_LE(tally[0].cycles - tally[0].called_right, std::max(1.0, 0.15 * tally[0].cycles));
  for (const Severity& none : tally[0].holes)
    for (const Severity& weak : tally[1].holes) EXPECT_LT(none.high, weak.low);
  for (const int c : {1, 2}) {
    EXPECT_EQ(tally[c].called_right, tally[c].cycles) << "class " << c;
    EXPECT_GE(tally[c].held, 0.85 * tally[c].cycles) << "class " << c;
    EXPECT_NEAR(tally[c].best / tally[c].cycles / installed[c], 1, 0.03) << "class " << c;
    EXPECT_LT(tally[c].width / tally[c].cycles, 0.2 * installed[c])
        << "class " << c;  // an interval that says nothing would hold the hole too
  }
  const double apart = share_of_pairs_apart(tally[1], tally[2]);
  std::printf("intervals of classes 1 and 2 apart in %.1f %% of the pairs\n", 100 * apart);
  EXPECT_GT(apart, 0.9);
}

// More displacement and more slip look alike: the circuit file keeps an interval of each, and what they know about each
// other is lost.
TEST(TestRigMatch, GoodCyclesBesideSayMoreThanNumbersCalibratedFromThem) {
  FULL_MATCH;
  DATA_OR_SKIP;
  const NoiseModel noise = flow_noise();
  const std::vector<CrankEvidence> good = good_logs(noise);
  const Calibration calibration = calibrate(rig(), good);
  EXPECT_TRUE(calibration.believable);
  EXPECT_LT(calibration.misfit * 6e4, 0.03);  // of some 7.8 L/min
  for (const CalibratedNumber& number : calibration.numbers)
    EXPECT_LT(number.spread, 0.25 * number.spread_before) << number.name;
  const CrankEvidence cycle = evidence_of(cycles().at(1705), noise);  // severe, which the match is not told
  const Severity by_numbers = judge(calibration.circuit, cycle, {}).hole, beside = judge(rig(), cycle, good).hole;
  const double truth = equivalent(installed[2], cycles().at(1705), rig());
  for (const Severity& hole : {by_numbers, beside})
    EXPECT_TRUE(hole.low < truth && truth < hole.high) << hole.low << " to " << hole.high;
  EXPECT_LT(beside.high - beside.low, 0.5 * (by_numbers.high - by_numbers.low));
}

// At an outlet that is held, a pump of Q = D*w - Cs*D*p/mu gives what the line to the load takes, step by step.
TEST(TestRigMatch, FlowFollowsAPressureThatIsImposedInSteps) {
  const Circuit circuit = rig();
  Condition condition;
  condition.oil_temperature = 309.15, condition.rest_air = 1e-3, condition.speed = Profile(155.0);
  const std::vector<double> pressures = {150e5, 170e5, 100e5};
  condition.tank_pressure["load"] = Profile({0, 2, 4}, pressures);
  CrankOptions options;
  options.duty = Profile(0.0), options.output_times = {1.9, 3.9, 5.9};
  const Trace trace = crank(circuit, condition, options).trace;
  const Pump& pump = std::get<Pump>(circuit.links[circuit.find_link("pump")].element);
  const Oil oil = oil_of(circuit, condition);
  for (std::size_t i = 0; i < pressures.size(); ++i) {
    const double p = trace.find("outlet pressure").value[i];
    EXPECT_NEAR(p, pressures[i], 0.1e5);
    // The film's mean viscosity under pressure is the oil's own business (oil.hpp); the meter sees the oil compressed.
    const double drawn =
        pump.displacement * 155 -
        pump.slip * pump.displacement * p / oil.film_viscosity(atmospheric_pressure, atmospheric_pressure + p);
    EXPECT_NEAR(trace.find("load line flow").value[i] * (1 + oil.compression_at(atmospheric_pressure + p)) / drawn, 1,
                2e-3)
        << p;
  }
}

TEST(TestRigMatch, APressureForANodeThatIsNoTankIsRefused) {
  Condition condition;
  condition.tank_pressure["outlet"] = Profile(1e5);
  EXPECT_THROW(crank(rig(), condition), Error);
}

}  // namespace
}  // namespace railseep

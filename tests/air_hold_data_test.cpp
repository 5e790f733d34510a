// Real pressure-hold tests of small chambers at shop-air pressure: E. Zillen, H. Vallery, G. Smit (2021), open
// repository of a 3D-printed pneumatic actuator, CC0 1.0. The files are not part of the project; where they are absent
// these tests are skipped and say so.

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <functional>
#include <numeric>

#include "procedure/air_run.hpp"
#include "procedure/hold_reading.hpp"

namespace railseep {
namespace {

const std::string folder = std::string(RAILSEEP_SOURCE_DIR) + "/../shared/data/air-pressure-hold/";

#define NEEDS_THE_DATA()                \
  if (!std::filesystem::exists(folder)) \
  GTEST_SKIP() << "the measured pressure-hold tests are not on this machine (" << folder << "): nothing was checked"

std::vector<std::vector<std::string>> cells_of(const std::string& name) {
  std::ifstream file(folder + name);
  std::vector<std::vector<std::string>> rows;
  for (std::string line; std::getline(file, line);) {
    std::vector<std::string> cells(1);
    for (const char c : line) {
      if (c == ';')
        cells.emplace_back();
      else if (c != '\r')
        cells.back() += c;
    }
    if (cells.size() > 1) rows.push_back(cells);
  }
  return rows;
}

struct Hold {
  std::vector<double> time, pressure;  // [s], gauge [Pa]
};

/// "151.303.000" is 151.303 s: dots are thousands separators of microseconds.
Hold chamber(const std::string& name) {
  Hold hold;
  for (auto& cells : cells_of("chamber_" + name + ".csv")) {
    std::erase(cells[0], '.');
    hold.time.push_back(std::stod(cells[0]) * 1e-6);
    hold.pressure.push_back(std::stod(cells[2]) * 1e5);
  }
  return hold;
}

/// From the first sample below a pressure on; before it the supply is still open.
Hold from_pressure(const Hold& whole, double pressure) {
  const auto first =
      std::find_if(whole.pressure.begin(), whole.pressure.end(), [&](double p) { return p < pressure; }) -
      whole.pressure.begin();
  Hold cut;
  for (auto i = static_cast<std::size_t>(first); i < whole.time.size(); ++i)
    cut.time.push_back(whole.time[i] - whole.time[static_cast<std::size_t>(first)]),
        cut.pressure.push_back(whole.pressure[i]);
  return cut;
}

/// Columns test1 to test3 of a repeat file: what the same part lost [Pa], at 10 samples a second.
std::vector<std::vector<double>> repeats(const std::string& name) {
  std::vector<std::vector<double>> tests(3);
  const auto rows = cells_of("repeat_" + name + ".csv");
  for (std::size_t i = 1; i < rows.size(); ++i)
    for (std::size_t k = 0; k < 3; ++k) tests[k].push_back(-std::stod(rows[i][k + 1]) * 1e2);
  return tests;
}

/// Loss after 120 s, averaged over 10 s around it [Pa].
double loss_in_two_minutes(const std::vector<double>& loss) {
  double sum = 0;
  for (std::size_t i = 1150; i < 1250; ++i) sum += loss[i];
  return sum / 100;
}

double mean(const std::vector<double>& x) {
  return std::accumulate(x.begin(), x.end(), 0.0) / static_cast<double>(x.size());
}
double deviation(const std::vector<double>& x) {
  double sum = 0;
  for (const double v : x) sum += (v - mean(x)) * (v - mean(x));
  return std::sqrt(sum / static_cast<double>(x.size() - 1));
}

/// One litre at 20 degC with a sharp hole and a film of 1 m x 5 mm (the many pores of a printed wall): only sizes over
/// volume can be found, so the litre is a choice.
Hold computed(double hole, double clearance, double start, const std::vector<double>& times) {
  Circuit circuit;
  circuit.nodes.resize(2);
  circuit.nodes[0].name = "chamber", circuit.nodes[0].volume = 1e-3;
  circuit.nodes[1].name = "room", circuit.nodes[1].tank = true;
  for (const Element& element : {Element(Hole{hole}), Element(Gap{1, clearance, 5e-3, 0, 1})}) {
    Link link;
    link.name = kind_of(element), link.from = 0, link.to = 1, link.element = element;
    circuit.links.push_back(link);
  }
  AirSupply supply;
  supply.gauge_volume = 1e-8;
  supply.adapter = {1e-9, 0.5};
  AirNetwork network(circuit, supply, 0, 293.15);
  AirNetwork::State state = network.rest(0);
  network.set_pressure(state, 0, atmospheric_pressure + start);
  network.set_pressure(state, network.gauge(), atmospheric_pressure + start);
  AirRun run(std::move(network), state, 0.1, 1e-6);
  run.set_signals({atmospheric_pressure, 0, 0, false});
  run.advance(times.back() + 0.2);
  const Trace trace = run.take();
  const std::vector<double>& rows = trace.find("chamber pressure").value;
  Hold hold{times, {}};
  for (const double t : times) {
    const auto i = std::min(static_cast<std::size_t>(t / 0.1), rows.size() - 2);
    hold.pressure.push_back(rows[i] + (rows[i + 1] - rows[i]) * (t / 0.1 - static_cast<double>(i)));
  }
  return hold;
}

struct Fit {
  Eigen::VectorXd best;        // ln of the parameters
  Eigen::MatrixXd covariance;  // for the residuals' own scatter
  double rms = 0;
};

/// Least squares by damped Gauss-Newton steps, derivatives by differences.
Fit fit(const std::function<Eigen::VectorXd(const Eigen::VectorXd&)>& misfit, Eigen::VectorXd x) {
  double damping = 1e-3;
  Eigen::VectorXd r = misfit(x);
  Eigen::MatrixXd j(r.size(), x.size());
  for (int step = 0; step < 40; ++step) {
    for (int k = 0; k < x.size(); ++k) {
      Eigen::VectorXd moved = x;
      moved[k] += 1e-4;
      j.col(k) = (misfit(moved) - r) / 1e-4;
    }
    const Eigen::MatrixXd normal = j.transpose() * j;
    const Eigen::MatrixXd damped = normal + damping * Eigen::MatrixXd(normal.diagonal().asDiagonal());
    const Eigen::VectorXd next = x - damped.ldlt().solve(j.transpose() * r);
    const Eigen::VectorXd after = misfit(next);
    if (after.squaredNorm() < r.squaredNorm()) {
      const double gain = 1 - after.squaredNorm() / r.squaredNorm();
      x = next, r = after, damping *= 0.2;
      if (gain < 1e-7) break;
    } else {
      damping *= 10;
    }
  }
  const double variance = r.squaredNorm() / static_cast<double>(r.size() - x.size());
  return {x, variance * (j.transpose() * j).inverse(), std::sqrt(r.squaredNorm() / static_cast<double>(r.size()))};
}

Eigen::VectorXd difference(const Hold& model, const Hold& measured) {
  Eigen::VectorXd r(static_cast<Eigen::Index>(measured.time.size()));
  for (std::size_t i = 0; i < measured.time.size(); ++i)
    r[static_cast<Eigen::Index>(i)] = model.pressure[i] - measured.pressure[i];
  return r;
}

// From 7 bar to the open: choked, subsonic and laminar in one fall of two minutes.
TEST(MeasuredHold, BlowDownIsAHoleAndAFilmNotAHoleAlone) {
  NEEDS_THE_DATA();
  const Hold measured = from_pressure(chamber("fused_015"), 7e5);
  ASSERT_GT(measured.time.size(), 1000u);
  const double start = measured.pressure.front();
  const Fit both = fit(
      [&](const Eigen::VectorXd& x) {
        return difference(computed(std::exp(x[0]), std::exp(x[1]), start * std::exp(x[2]), measured.time), measured);
      },
      Eigen::Vector3d(std::log(0.3e-3), std::log(4e-6), 0));
  const Fit hole = fit(
      [&](const Eigen::VectorXd& x) {
        return difference(computed(std::exp(x[0]), 0, start * std::exp(x[1]), measured.time), measured);
      },
      Eigen::Vector2d(std::log(0.4e-3), 0));
  RecordProperty("hole_and_film_rms_bar", std::to_string(both.rms / 1e5));
  RecordProperty("hole_alone_rms_bar", std::to_string(hole.rms / 1e5));
  EXPECT_LE(both.rms, 0.07e5);
  EXPECT_GT(hole.rms, 2 * both.rms);
}

TEST(MeasuredHold, ScatterOfTheRepeatsIsTheDefault) {
  NEEDS_THE_DATA();
  const auto relative = [](const std::string& name) {
    std::vector<double> losses;
    for (const auto& test : repeats(name)) losses.push_back(loss_in_two_minutes(test));
    return deviation(losses) / mean(losses);
  };
  EXPECT_NEAR(relative("rerun"), HoldScatter().rerun, 0.03);
  EXPECT_NEAR(relative("reconnected"), HoldScatter().reconnected, 0.04);
}

/// Film conductance over volume of a chamber that holds, k/V [-], with the interval of the fit alone and that with the
/// scatter of reconnecting.
struct Tightness {
  double value, by_noise, low, high;
};
Tightness tightness(const Hold& measured) {
  const double start = measured.pressure.front();
  const Fit found = fit(
      [&](const Eigen::VectorXd& x) {
        return difference(computed(0, std::exp(x[0]), start * std::exp(x[1]), measured.time), measured);
      },
      Eigen::Vector2d(std::log(0.5e-6), 0));
  const double h = std::exp(found.best[0]), value = as_air(Gap{1, h, 5e-3, 0, 1}).film / 1e-3;
  const double by_noise = 3 * std::sqrt(found.covariance(0, 0));  // k goes with the cube of the clearance
  const double spread =
      2.92 * std::hypot(by_noise, HoldScatter().reconnected);  // 90 % of Student's t with two degrees: three repeats
  return {value, by_noise, value * std::exp(-spread), value * std::exp(spread)};
}

TEST(MeasuredHold, TightChambersGiveConductanceOverVolumeThatCoversTheRepeats) {
  NEEDS_THE_DATA();
  // The same part, reconnected three times, near 7.5 bar: each run's interval holds the other two.
  std::vector<Tightness> runs;
  for (const auto& loss : repeats("reconnected")) {
    Hold hold;
    for (std::size_t i = 0; i < 1200; ++i)
      hold.time.push_back(0.1 * static_cast<double>(i)), hold.pressure.push_back(7.5e5 - loss[i]);
    runs.push_back(tightness(hold));
  }
  for (const Tightness& run : runs) {
    for (const Tightness& other : runs)
      EXPECT_TRUE(other.value > run.low && other.value < run.high)
          << other.value << " outside " << run.low << ".." << run.high;
    EXPECT_LT(run.by_noise, 0.1);
  }
  // The noise alone would not have covered them: the highest and lowest lie many of its deviations apart.
  const auto [low, high] = std::minmax_element(
      runs.begin(), runs.end(), [](const Tightness& a, const Tightness& b) { return a.value < b.value; });
  EXPECT_GT(std::log(high->value / low->value), 5 * low->by_noise);

  for (const char* name : {"metal", "resin_1", "resin_2", "fused_006"}) {
    Hold whole = chamber(name);
    const Tightness found = tightness(from_pressure(whole, 1e9));
    // The fall it stands for at the start [Pa/s] is the one measured over the run: 0.2 to 0.75 mbar/s.
    const double p = atmospheric_pressure + whole.pressure.front();
    const double rate =
        found.value / Air::viscosity(293.15) * (p * p - atmospheric_pressure * atmospheric_pressure) / 2;
    const double measured = (whole.pressure.front() - whole.pressure.back()) / whole.time.back();
    EXPECT_NEAR(rate / measured, 1, 0.35) << name;
    EXPECT_LT(found.low, found.value);
    RecordProperty(name, std::to_string(found.value * 1e15) + "e-15 (" + std::to_string(found.low * 1e15) + " to " +
                             std::to_string(found.high * 1e15) + ")");
  }
}

// Log-normal: the logarithm of the time scatters by 0.24 about 0 after reconnecting, by 0.16 untouched; the same seed
// is the same try.
TEST(FallTimeAsRead, ScattersAsTheRepeatsDidAndIsRepeatable) {
  for (const bool reconnected : {true, false}) {
    std::vector<double> logs;
    for (std::uint64_t seed = 0; seed < 400; ++seed)
      logs.push_back(std::log(fall_time_as_read(10, reconnected, seed) / 10));
    EXPECT_NEAR(deviation(logs), reconnected ? 0.24 : 0.16, 0.03);
    EXPECT_NEAR(mean(logs), 0, 0.04);
  }
  EXPECT_EQ(fall_time_as_read(10, true, 5), fall_time_as_read(10, true, 5));
}

}  // namespace
}  // namespace railseep

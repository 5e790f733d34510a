// Lines with inertia: friction, pressure waves and surge against published frequencies and closed forms, and the error
// as the pieces shrink.

#include <gtest/gtest.h>

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "circuit/line_pieces.hpp"
#include "circuit/network.hpp"
#include "reference_table.hpp"
#include "solve/dense_rosenbrock.hpp"

namespace railseep {
namespace {

using State = Network::State;
constexpr double pi = std::numbers::pi;

/// Oil in which waves run at a [m/s]: constant bulk modulus, no viscosity to speak of.
Oil ringing_oil(double wave_speed) {
  Oil oil;
  oil.density = 850, oil.viscosity = 1e-9, oil.bulk_modulus = oil.density * wave_speed * wave_speed;
  return oil;
}

Node volume(const char* name, double v) {
  Node node;
  node.name = name, node.volume = v;
  return node;
}
Node tank(const char* name, double pressure = 0) {
  Node node;
  node.name = name, node.tank = true, node.pressure = pressure;
  return node;
}
Link link(const char* name, int from, int to, Element element) {
  Link l;
  l.name = name, l.from = from, l.to = to, l.element = element;
  return l;
}

/// A line of n pieces. A closed end is half a piece's volume; an open one is a tank.
Circuit line_circuit(double diameter, double length, int pieces, bool open) {
  const Line line{diameter, length, 0, 0};
  const double half = 0.5 * line.area() * length / pieces;
  Circuit circuit;
  circuit.nodes = {volume("closed end", half), open ? tank("open end") : volume("other end", half)};
  circuit.links = {link("line", 0, 1, line)};
  return cut_line(circuit, "line", pieces);
}

/// Natural frequencies [Hz], rising: imaginary parts of the eigenvalues of the network's own Jacobian at rest.
std::vector<double> frequencies(const Circuit& circuit, const Oil& oil) {
  Network network(circuit, oil);
  Eigen::SparseMatrix<double> jacobian;
  State by_time, rates;
  network.jacobian(network.rest(std::vector<double>(circuit.nodes.size(), 0.0)), Signals<double>{0, 0},
                   Signals<double>{0, 0}, jacobian, by_time, rates);
  std::vector<double> all;
  for (const std::complex<double>& lambda : Eigen::MatrixXd(jacobian).eigenvalues())
    if (lambda.imag() > 1) all.push_back(lambda.imag() / (2 * pi));
  std::sort(all.begin(), all.end());
  return all;
}

// Rows 8d: closed at both ends, closed and open. The error falls with the square of the pieces.
TEST(Line, RingsAtThePublishedFrequencies) {
  for (const ReferenceRow& row : reference_table("line_resonance.csv")) {
    const bool open = row.text("ends") == "open";
    const Oil oil = ringing_oil(row["wave_speed"]);
    const auto mode = static_cast<std::size_t>(row["mode"]) - 1;
    double before = INFINITY;
    for (const int pieces : {8, 16, 32}) {
      const double error =
          std::abs(frequencies(line_circuit(8e-3, row["length"], pieces, open), oil).at(mode) - row["frequency"]) /
          row["frequency"];
      EXPECT_LT(error, 0.3 * before) << row.text("ends") << " mode " << row["mode"] << ", pieces " << pieces;
      before = error;
    }
    EXPECT_LT(before, 0.5 * std::pow((mode + 1) * pi / 32, 2) / 4) << row.text("ends") << " mode " << row["mode"];
  }
}

// Row 8e: a 4 mm line of 100 mm on 100 cm3, a = 1300 m/s: 231.9361 Hz.
TEST(Line, IsTheNeckOfAHelmholtzResonator) {
  Circuit circuit;
  circuit.nodes = {volume("belly", 100e-6), tank("outside")};
  circuit.links = {link("neck", 0, 1, Line{4e-3, 0.1, 0, 0})};
  EXPECT_NEAR(frequencies(circuit, ringing_oil(1300)).at(0), 231.9361, 1e-6 * 231.9361);
}

// Row 8f: rigid column, Choudhary & Om Prakash, Fluid Mechanics, Ex. 7.19: 150 mm, 40 L/s, 500 m, stopped in 0.5 s: 230
// 738 kgf/m2 of water.
TEST(Line, StopsLikeThePublishedRigidColumn) {
  const Line line{0.15, 50, 0, 0};  // a tenth of the length, the longest that a line may have
  Oil water;
  water.density = 1000, water.viscosity = 1e-12;
  const double needed = 230738 * 9.81 / 10;  // the example takes 1000/9.81 for the density in kgf.s2/m4; no friction
  const auto rates = line.own_rates(Ports<double>{0, needed, {0, 0}}, Signals<double>{0, 0}, water);
  EXPECT_NEAR(-rates[0] * 0.5, 0.04, 1e-3 * 0.04);
}

/// A line fed at a steady velocity whose far end is shut at once: highest pressure there in the first half of 2L/a
/// [Pa].
double surge(int pieces, double velocity) {
  const double a = 1300, length = 0.6;
  const Oil oil = ringing_oil(a);
  Circuit circuit = line_circuit(8e-3, length, pieces, false);
  circuit.nodes[0] = tank("feed", 1e6);
  Network network(circuit, oil);
  // At the tank's pressure everywhere and flowing; the last node has just been shut.
  State state = network.rest(std::vector<double>(circuit.nodes.size(), 0.0));
  const double q = velocity * Line{8e-3, length}.area();
  int at = 0;
  for (const Node& node : circuit.nodes)
    if (!node.tank) state[at] = oil.density * oil.compression_at(atmospheric_pressure + 1e6) * node.volume, at += 2;
  for (std::size_t i = 0; i < circuit.links.size(); ++i) state[at++] = q;
  DenseRosenbrock<> stepper(
      [&](const auto& before, const auto& after, auto& scale) { network.tolerances(before, after, 1e-7, scale); });
  stepper.initialize(state, 0, 1e-8);
  const Signals<double> still{0, 0};
  const auto system = std::pair([&](const State& x, State& dxdt, double) { network.rates(x, still, dxdt); },
                                [&](const State& x, Eigen::SparseMatrix<double>& j, double, State& by_time,
                                    State& dxdt) { network.jacobian(x, still, still, j, by_time, dxdt); });
  // Mean of the plateau behind the wave front, away from the ripples at its head.
  const double end = 1.5 * length / a;
  double sum = 0;
  int n = 0;
  for (int k = 1; k <= 60; ++k) {
    const double t = end * k / 60;
    stepper.set_limit(t);
    while (stepper.current_time() < t) stepper.do_step(std::ref(system));
    if (t > 0.5 * length / a)
      sum += network.view(stepper.current_state(), 1).pressure - atmospheric_pressure - 1e6, ++n;
  }
  return sum / n;
}

// Joukowsky: rho*a*dV = 850*1300*1 = 1.105 MPa for 1 m/s.
TEST(Line, SurgesLikeJoukowskyAndTheErrorFallsWithThePieces) {
  const double joukowsky = 850.0 * 1300;
  double before = INFINITY;
  for (const int pieces : {6, 12, 24}) {
    const double error = std::abs(surge(pieces, 1) / joukowsky - 1);
    EXPECT_LT(error, 0.8 * before) << pieces;
    before = error;
  }
  EXPECT_LT(before, 0.01);
}

/// Darcy friction factor that a line's loss amounts to.
double friction(double reynolds, double relative_roughness) {
  Oil oil;
  oil.viscosity = 0.02, oil.density = 850;
  Line line{0.01, 1, relative_roughness * 0.01, 0};
  const double v = reynolds * oil.viscosity / (oil.density * line.diameter), q = v * line.area();
  return line.loss(q, oil) * line.diameter / (line.length * 0.5 * oil.density * v * v);
}

// Churchill stays within about 3 % of Colebrook (his paper, from memory): rows 7a to 7f; laminar exactly, row 7g.
TEST(Line, FrictionIsThatOfColebrookWithinChurchillsAccuracy) {
  for (const ReferenceRow& row : reference_table("pipe_friction.csv"))
    EXPECT_NEAR(friction(row["reynolds"], row["relative_roughness"]) / row["friction"], 1,
                row.text("row") == "7g" ? 1e-9 : 0.03)
        << row.text("row");
}

// Esposito, Fluid Power with Applications, Ex. 4-10, row 7i: 0.00190 m3/s, 25.4 mm, 100 cSt: v 3.7497 m/s, Re 952.4, f
// 0.06720. Row 7h: Hagen-Poiseuille.
TEST(Line, FrictionGivesTheWorkedExamples) {
  EXPECT_NEAR(friction(952.4, 0), 0.06720, 5e-6);
  Oil oil;
  oil.viscosity = 0.05, oil.density = 860;
  EXPECT_NEAR((Line{0.01, 1, 0, 0}.loss(1e-4, oil)), 20371.83, 1e-6 * 20371.83 * 10);
}

TEST(Line, FrictionIsOddAndSmoothThroughZeroFlowAndTransition) {
  Oil oil;
  oil.viscosity = 0.016, oil.density = 840;
  const Line line{8e-3, 0.3, 1e-6, 1.5};
  double before = -INFINITY;
  for (double q = -3e-3; q <= 3e-3; q += 1e-6) {
    const double loss = line.loss(q, oil), h = 1e-10;
    EXPECT_GE(loss, before) << q;
    before = loss;
    EXPECT_NEAR(line.loss(-q, oil), -loss, 1e-9 * std::abs(loss) + 1e-9);
    const double left = (loss - line.loss(q - h, oil)) / h, right = (line.loss(q + h, oil) - loss) / h;
    EXPECT_NEAR(left, right, 1e-2 * std::abs(left)) << q;
  }
}

TEST(LinePieces, KeepLengthLossAndEnds) {
  Circuit circuit;
  circuit.nodes = {volume("a", 1e-4), volume("b", 1e-4)};
  circuit.links = {link("tube", 0, 1, Passage{8e-3, 0.4, 1.5, 0.03})};
  const Circuit cut = cut_line(circuit, "tube", 5);
  double length = 0, loss = 0;
  for (const Link& l : cut.links)
    length += std::get<Line>(l.element).length, loss += std::get<Line>(l.element).loss_coefficient;
  EXPECT_EQ(cut.links.size(), 5u);
  EXPECT_EQ(cut.nodes.size(), 6u);
  EXPECT_NEAR(length, 0.4, 1e-15);
  EXPECT_NEAR(loss, 1.5, 1e-15);
  EXPECT_EQ(cut.links.front().from, 0);
  EXPECT_EQ(cut.links.back().to, 1);
  EXPECT_THROW(cut_line(circuit, "tube", 0), Error);
}

}  // namespace
}  // namespace railseep

#include "solve/pattern_lu.hpp"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

namespace railseep {
namespace {

using Matrix = Eigen::MatrixXd;
using Sparse = Eigen::SparseMatrix<double>;
using Vector = Eigen::VectorXd;

/// Numbers at some places beside a diagonal that outweighs its column.
Matrix some_entries(int n, std::mt19937& random) {
  std::uniform_real_distribution<double> number(-1, 1);
  Matrix j = Matrix::Zero(n, n);
  for (int k = 0; k < 3 * n; ++k) j(random() % n, random() % n) = number(random);
  for (int i = 0; i < n; ++i) j(i, i) = -j.col(i).cwiseAbs().sum();
  return j;
}

/// Units as different as kg, Pa and A.
Vector units(int n, std::mt19937& random) {
  std::uniform_real_distribution<double> power(-6, 6);
  Vector unit(n);
  for (double& u : unit) u = std::pow(10.0, power(random));
  return unit;
}

/// Largest residual beside what it is the sum of.
double residual(const Matrix& a, const Vector& x, const Vector& b) {
  return ((a * x - b).cwiseAbs().array() / (a.cwiseAbs() * x.cwiseAbs() + b.cwiseAbs()).array()).maxCoeff();
}

Vector solution(PatternLu& lu, const Sparse& jacobian, double shift, const Vector& b) {
  Vector x(b.size());
  lu.factorise(jacobian, shift);
  lu.solve(b, x);
  return x;
}

// The residual is computed here from the whole matrix; Eigen's LU with full pivoting, in units that suit it, is the
// reference of the solution.
TEST(PatternLu, SolvesWhateverTheUnitsAndPlansAnewForAnotherPattern) {
  std::mt19937 random(7);
  for (const int n : {1, 2, 5, 13, 40}) {
    PatternLu lu;
    for (int round = 0; round < 20; ++round) {
      const Matrix even = some_entries(n, random);
      const Vector unit = units(n, random), b = Vector::Random(n), scaled_b = unit.cwiseProduct(b);
      const double shift = std::pow(10.0, round % 5 - 2);
      const Matrix j = unit.asDiagonal() * even * unit.cwiseInverse().asDiagonal();
      const Vector x = solution(lu, j.sparseView(), shift, scaled_b);
      EXPECT_FALSE(lu.left_to_pivoting()) << n << ", " << round;
      EXPECT_LT(residual(shift * Matrix::Identity(n, n) - j, x, scaled_b), 1e-13) << n << ", " << round;
      const Vector reference = Eigen::FullPivLU<Matrix>(shift * Matrix::Identity(n, n) - even).solve(b);
      EXPECT_LT((x.cwiseQuotient(unit) - reference).norm(), 1e-10 * reference.norm()) << n << ", " << round;
    }
  }
}

/// n volumes in a chain with a few branches from one to the next but two or three; each holds oil and air, both driven
/// by the differences of pressure, which both make: of the two an eliminated chain leaves little more than the shift.
/// One tank receives what each leaks.
Matrix circuit_like(int n, double stiffness, std::mt19937& random) {
  std::uniform_real_distribution<double> number(0.5, 2);
  Matrix j = Matrix::Zero(2 * n + 1, 2 * n + 1);
  Vector by_oil(n), by_air(n);
  for (int i = 0; i < n; ++i) by_oil[i] = number(random), by_air[i] = 0.01 * number(random);
  const auto join = [&](int from, int to, double g) {
    for (const auto& [node, sign] : {std::pair(from, -1.0), std::pair(to, 1.0)})
      for (const auto& [side, slope] : {std::pair(from, g), std::pair(to, -g)}) {
        if (side == n) continue;
        const int oil = node == n ? 2 * n : 2 * node;
        j(oil, 2 * side) += sign * slope * by_oil[side], j(oil, 2 * side + 1) += sign * slope * by_air[side];
        if (node < n)
          j(oil + 1, 2 * side) += 0.1 * sign * slope * by_oil[side],
              j(oil + 1, 2 * side + 1) += 0.1 * sign * slope * by_air[side];
      }
  };
  for (int i = 0; i < n; ++i) {
    if (i + 1 < n) join(i, i + 1, stiffness * number(random));
    if (i % 7 == 0 && i + 3 < n) join(i, i + 2 + static_cast<int>(random() % 2), stiffness * number(random));
    join(i, n, 1e-3 * number(random));
  }
  return j;
}

// Law: what the states sum up to changes by what comes in, since each flow leaves one and enters another.
TEST(PatternLu, KeepsItsPivotsAndTheSumInChainsOfStiffPassages) {
  std::mt19937 random(3);
  for (const int n : {1, 2, 10, 60})
    for (const double stiffness : {1.0, 1e3, 1e6, 1e9}) {
      PatternLu lu;
      const Matrix j = circuit_like(n, stiffness, random);
      const Vector b = Vector::Random(j.rows());
      const Vector x = solution(lu, j.sparseView(), 1, b);
      EXPECT_FALSE(lu.left_to_pivoting()) << n << ", " << stiffness;
      const Matrix a = Matrix::Identity(j.rows(), j.rows()) - j;
      EXPECT_LT(residual(a, x, b), 1e-12) << n << ", " << stiffness;
      // Both are off by rounding times the matrix's condition.
      const Vector reference = Eigen::FullPivLU<Matrix>(a).solve(b);
      EXPECT_LT((x - reference).norm(), 1e-12 * (1 + stiffness) * n * n * reference.norm()) << n << ", " << stiffness;
      double oil_in = b[2 * n], oil = x[2 * n];
      for (int i = 0; i < n; ++i) oil_in += b[2 * i], oil += x[2 * i];
      EXPECT_NEAR(oil, oil_in, 1e-14 * (1 + stiffness) * n * x.cwiseAbs().maxCoeff()) << n << ", " << stiffness;
    }
}

// Zeros and tiny numbers on the diagonal, rows in any order: Eigen's LU with full pivoting is the reference.
TEST(PatternLu, SolvesWhatItsPivotsWouldSpoilAsFullPivotingDoes) {
  std::mt19937 random(11);
  int left = 0, rounds = 0;
  for (const int n : {2, 3, 8, 30})
    for (const double diagonal : {0.0, 1e-18, 1e-12, 1e-8})
      for (int round = 0; round < 20; ++round, ++rounds) {
        Matrix a = some_entries(n, random);
        std::vector<int> rows(n);
        std::iota(rows.begin(), rows.end(), 0);
        std::rotate(rows.begin(), rows.begin() + 1, rows.end());
        if (round % 2) std::shuffle(rows.begin(), rows.end(), random);
        Matrix permuted(n, n);
        for (int i = 0; i < n; ++i) permuted.row(i) = a.row(rows[i]);
        permuted.diagonal().setConstant(diagonal);
        const Eigen::FullPivLU<Matrix> full(permuted);
        const auto size = full.matrixLU().diagonal().cwiseAbs();
        if (size.minCoeff() < 1e-3 * size.maxCoeff()) continue;  // near singular: no digits to compare
        PatternLu lu;
        const Vector b = Vector::Random(n), x = solution(lu, (-permuted).sparseView(), 0, b), again = full.solve(b);
        EXPECT_LT(residual(permuted, x, b), 1e-10) << n << ", " << diagonal << ", " << round;
        EXPECT_LT((x - again).norm(), 1e-8 * again.norm()) << n << ", " << diagonal << ", " << round;
        // Whatever the first one was, another right-hand side is solved as well.
        Vector other(n);
        lu.solve(again, other);
        EXPECT_LT(residual(permuted, other, again), 1e-10) << n << ", " << diagonal << ", " << round;
        left += lu.left_to_pivoting();
      }
  EXPECT_GT(left, 50) << "the matrices were hardly hostile, of " << rounds;
}

TEST(PatternLu, LeavesToPivotingWhatItsPivotsWouldSpoilAndTakesTheNextMatrixBack) {
  PatternLu lu;
  const Vector b = Vector::Constant(2, 1.0);
  Sparse j = Matrix::Ones(2, 2).sparseView();
  const auto set = [&](double a11, double a12, double a21, double a22) {
    j.coeffRef(0, 0) = -a11, j.coeffRef(0, 1) = -a12, j.coeffRef(1, 0) = -a21, j.coeffRef(1, 1) = -a22;
  };
  for (const double small : {0.0, 1e-12, 1e-8}) {
    set(small, 1, 1, small);  // both pivots small beside their row and column
    const Vector x = solution(lu, j, 0, b + Vector::Unit(2, 0));
    EXPECT_TRUE(lu.left_to_pivoting());
    EXPECT_NEAR(x[0], (1 - 2 * small) / (1 - small * small), 1e-15) << small;
    EXPECT_NEAR(x[1], (2 - small) / (1 - small * small), 1e-15) << small;
  }
  set(2, 1, 1, 2);
  EXPECT_LT((solution(lu, j, 0, b) - Vector::Constant(2, 1.0 / 3)).norm(), 1e-15);
  EXPECT_FALSE(lu.left_to_pivoting());
  EXPECT_EQ(lu.plans(), 1) << "all had the same pattern";
}

TEST(PatternLu, AnswersASingularMatrixOrOneThatIsNoNumberByNoNumber) {
  for (const double entry : {1.0, std::nan("")}) {
    PatternLu lu;
    const Sparse j = Matrix::Constant(3, 3, entry).sparseView();
    EXPECT_TRUE(solution(lu, j, 0, Vector::Unit(3, 1)).array().isNaN().all()) << entry;
    EXPECT_TRUE(solution(lu, Sparse(3, 3), 0, Vector::Unit(3, 1)).array().isNaN().all());
  }
}

// Counted, not timed: twice the chain, twice the entries and twice the products. A band of half the width would grow
// with its square.
TEST(PatternLu, WorkGrowsWithTheLengthOfAChain) {
  std::mt19937 random(5);
  std::size_t entries = 0, products = 0;
  for (const int n : {50, 100, 200, 400}) {
    PatternLu lu;
    const Matrix j = circuit_like(n, 1e3, random);
    solution(lu, j.sparseView(), 1, Vector::Random(j.rows()));
    if (n > 50) {
      EXPECT_LT(lu.entries(), 2.1 * entries) << n;
      EXPECT_LT(lu.products(), 2.1 * products) << n;
    }
    entries = lu.entries(), products = lu.products();
  }
}

// A hub with many spokes, numbered so that elimination in the order of the states would join every spoke to every
// other.
TEST(PatternLu, EliminatesSpokesBeforeTheirHub) {
  constexpr int n = 300;
  Sparse j(n, n);
  for (int i = 1; i < n; ++i) j.coeffRef(0, i) = j.coeffRef(i, 0) = 1, j.coeffRef(i, i) = -1;
  j.coeffRef(0, 0) = 1 - n;
  j.makeCompressed();
  PatternLu lu;
  const Vector x = solution(lu, j, 1, Vector::Unit(n, 0));
  EXPECT_EQ(lu.entries(), static_cast<std::size_t>(3 * n - 2));
  EXPECT_NEAR(x.sum(), 1, 1e-12);
}

}  // namespace
}  // namespace railseep

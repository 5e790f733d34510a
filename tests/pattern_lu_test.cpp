#include "solve/pattern_lu.hpp"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <random>

namespace railseep {
namespace {

using Matrix = Eigen::MatrixXd;
using Vector = Eigen::VectorXd;

/// Numbers at some places beside a diagonal that outweighs its column.
Matrix sparse(int n, std::mt19937& random) {
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

// The residual is computed here from the whole matrix; Eigen's LU with full pivoting, in units that suit it, is the reference of the solution.
TEST(PatternLu, SolvesWhateverTheUnitsAndLearnsWhenThePatternGrows) {
  std::mt19937 random(7);
  for (const int n : {1, 2, 5, 13, 40}) {
    PatternLu lu;
    Matrix j;
    lu.resize(n, j);
    for (int round = 0; round < 20; ++round) {
      const Matrix even = sparse(n, random);
      const Vector unit = units(n, random), b = Vector::Random(n), scaled_b = unit.cwiseProduct(b);
      const double shift = std::pow(10.0, round % 5 - 2);
      j = unit.asDiagonal() * even * unit.cwiseInverse().asDiagonal();
      Vector x(n);
      lu.factorise(j, shift);
      lu.solve(scaled_b, x);
      EXPECT_FALSE(lu.left_to_dense()) << n << ", " << round;
      EXPECT_LT(residual(shift * Matrix::Identity(n, n) - j, x, scaled_b), 1e-13) << n << ", " << round;
      const Vector reference = Eigen::FullPivLU<Matrix>(shift * Matrix::Identity(n, n) - even).solve(b);
      EXPECT_LT((x.cwiseQuotient(unit) - reference).norm(), 1e-10 * reference.norm()) << n << ", " << round;
    }
  }
}

TEST(PatternLu, LeavesToDenseWhatItsPivotsWouldSpoil) {
  PatternLu lu;
  Matrix j;
  lu.resize(2, j);
  const Vector b = Vector::Constant(2, 1.0);
  Vector x(2);
  for (const double small : {0.0, 1e-12, 1e-8}) {
    j << -small, -1, -1, -small;  // both pivots small beside their row and column
    lu.factorise(j, 0);
    lu.solve(b, x);
    EXPECT_TRUE(lu.left_to_dense());
    EXPECT_LT((x - Vector::Constant(2, 1 / (1 + small))).norm(), 1e-15) << small;
  }
  j << -1, -1, -1, -(1 + 1e-9);  // the second pivot is what cancellation leaves
  lu.factorise(j, 0);
  EXPECT_TRUE(lu.left_to_dense());
  j << -2, -1, -1, -2;
  lu.factorise(j, 0);
  lu.solve(b, x);
  EXPECT_FALSE(lu.left_to_dense());
  EXPECT_LT((x - Vector::Constant(2, 1.0 / 3)).norm(), 1e-15);
}

}  // namespace
}  // namespace railseep

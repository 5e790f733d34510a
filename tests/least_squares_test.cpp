#include "fit/least_squares.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <random>

namespace railseep {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

LeastSquaresProblem unbounded(std::function<VectorXd(const VectorXd&)> residuals, int size) {
  return {std::move(residuals), VectorXd::Constant(size, -100), VectorXd::Constant(size, 100), Tolerances{}};
}

// A linear model with Gaussian noise and prior has a closed form: data ~ N(0, I + A A'). Source: Bishop, Pattern
// Recognition and Machine Learning (2006), eq. 2.115 (from memory).
TEST(LeastSquares, LinearModelHasTheEvidenceOfItsClosedForm) {
  std::mt19937 random(3);
  std::normal_distribution<double> gauss;
  const MatrixXd a = MatrixXd::NullaryExpr(12, 4, [&] { return gauss(random); });
  const VectorXd b = VectorXd::NullaryExpr(12, [&] { return 2 * gauss(random); });
  const LeastSquaresFit fit =
      least_squares(unbounded([&](const VectorXd& u) -> VectorXd { return b - a * u; }, 4), VectorXd::Constant(4, 3));
  const MatrixXd covariance = MatrixXd::Identity(12, 12) + a * a.transpose();
  // Both sides leave out the common (2 pi)^(-n/2).
  const double exact = -0.5 * b.dot(covariance.llt().solve(b)) - 0.5 * std::log(covariance.determinant());
  EXPECT_NEAR(fit.log_evidence, exact, 1e-6);
  const MatrixXd posterior = (a.transpose() * a + MatrixXd::Identity(4, 4)).inverse();
  EXPECT_LT((fit.u - posterior * a.transpose() * b).norm(), 1e-5);
  EXPECT_LT((fit.covariance - posterior).norm(), 1e-6);
}

// One curved parameter: the evidence against a fine sum over it.
TEST(LeastSquares, CurvedModelHasTheEvidenceOfASumOverItsParameter) {
  const VectorXd x = VectorXd::LinSpaced(10, 0.1, 2);
  const VectorXd data = (0.8 * x).array().exp().matrix() * 10;
  const auto residuals = [&](const VectorXd& u) -> VectorXd {
    return data - ((0.5 + 0.2 * u[0]) * x).array().exp().matrix() * 10;
  };
  const LeastSquaresFit fit = least_squares(unbounded(residuals, 1), VectorXd::Zero(1));
  double sum = 0;
  const double width = 1e-4;
  for (double u = 0; u < 3; u += width)
    sum += width * std::exp(-0.5 * residuals(VectorXd::Constant(1, u)).squaredNorm() - 0.5 * u * u);
  EXPECT_NEAR(fit.log_evidence, std::log(sum / std::sqrt(2 * std::numbers::pi)), 0.02);
  EXPECT_NEAR(fit.u[0], 1.5, 0.01);
}

TEST(LeastSquares, StaysInsideItsBounds) {
  LeastSquaresProblem problem =
      unbounded([](const VectorXd& u) -> VectorXd { return 10 * (u.array() - 5).matrix(); }, 2);
  problem.most = VectorXd::Constant(2, 2);
  const LeastSquaresFit fit = least_squares(problem, VectorXd::Zero(2));
  EXPECT_NEAR(fit.u[0], 2, 1e-9);
  EXPECT_NEAR(fit.u[1], 2, 1e-9);
}

// Rosenbrock's valley: Moré, Garbow, Hillstrom, ACM TOMS 7 (1981) 17, problem 1; the prior term is scaled away.
TEST(LeastSquares, FindsTheEndOfACurvedValley) {
  const auto valley = [](const VectorXd& u) -> VectorXd {
    return 1e4 * VectorXd{{10 * (u[1] - u[0] * u[0]), 1 - u[0]}};
  };
  const LeastSquaresFit fit = least_squares(unbounded(valley, 2), VectorXd{{-1.2, 1}});
  EXPECT_NEAR(fit.u[0], 1, 1e-3);
  EXPECT_NEAR(fit.u[1], 1, 1e-3);
}

// The same valley with a lent Jacobian, that of its end: where none of the steps it promises helps, it is not believed,
// even when ends are not confirmed.
TEST(LeastSquares, ALentJacobianThatPromisesInVainIsRenewedThoughEndsAreNotConfirmed) {
  const auto valley = [](const VectorXd& u) -> VectorXd {
    return 1e3 * VectorXd{{10 * (u[1] - u[0] * u[0]), 1 - u[0]}};
  };
  LeastSquaresProblem problem = unbounded(valley, 2);
  const MatrixXd lent = 1e3 * MatrixXd{{-20, 10}, {-1, 0}};
  const LeastSquaresFit confirmed = least_squares(problem, VectorXd{{-1.2, 1}}, lent);
  problem.confirm = false;
  const LeastSquaresFit quick = least_squares(problem, VectorXd{{-1.2, 1}}, lent);
  EXPECT_LT((quick.u - VectorXd::Ones(2)).norm(), 2e-3);
  EXPECT_LE(quick.evaluations, confirmed.evaluations);
  problem.renew = false;  // left to Broyden's update alone it does not get there
  EXPECT_GT((least_squares(problem, VectorXd{{-1.2, 1}}, lent).u - VectorXd::Ones(2)).norm(), 2e-3);
}

// One parameter, twelve samples of it, one of them wild: the posterior against a fine sum over the parameter.
TEST(LeastSquares, OneWildSampleHardlyMovesTheFit) {
  std::mt19937 random(5);
  std::normal_distribution<double> gauss;
  VectorXd data = VectorXd::NullaryExpr(12, [&] { return 4 * 0.7 + gauss(random); });
  data[5] += 25;
  LeastSquaresProblem problem =
      unbounded([&](const VectorXd& u) -> VectorXd { return (data.array() - 4 * u[0]).matrix(); }, 1);
  const LeastSquaresFit plain = least_squares(problem, VectorXd::Zero(1));
  const KalmanWhitener white({0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}, 1, Eigen::Matrix3Xd::Zero(3, 12),
                             VectorXd::Ones(12));
  problem.tolerances = Tolerances({std::make_shared<const LogTolerance>(std::vector<LogTolerance::Width>{{1, white}},
                                                                        VectorXd::Constant(12, 8), 0.01)});
  const LeastSquaresFit robust = least_squares(problem, VectorXd::Zero(1));
  double sum = 0, mean = 0;
  const double width = 1e-3;
  for (double u = -3; u < 5; u += width) {
    const double density =
        std::exp(-problem.tolerances.loss(problem.residuals(VectorXd::Constant(1, u))) - 0.5 * u * u);
    sum += width * density, mean += width * u * density;
  }
  EXPECT_NEAR(robust.u[0], mean / sum, 0.02);
  EXPECT_NEAR(robust.log_evidence, std::log(sum / std::sqrt(2 * std::numbers::pi)), 0.05);
  EXPECT_GT(std::abs(plain.u[0] - mean / sum), 0.3);
}

// A linear problem: where the search ends can be told beforehand.
TEST(LeastSquares, LinearFitIsWhereTheSearchOfALinearProblemEnds) {
  std::mt19937 random(8);
  std::normal_distribution<double> gauss;
  const MatrixXd a = MatrixXd::NullaryExpr(20, 3, [&] { return gauss(random); });
  const VectorXd b = VectorXd::NullaryExpr(20, [&] { return gauss(random); }) + a * VectorXd{{1, -1, 3}};
  LeastSquaresProblem problem = unbounded([&](const VectorXd& u) -> VectorXd { return b - a * u; }, 3);
  problem.most[2] = 1;
  const VectorXd start{{0.5, 0, 0}};
  const LinearFit guess =
      linear_fit(start, problem.residuals(start), -a, problem.tolerances, problem.least, problem.most);
  const LeastSquaresFit found = least_squares(problem, start);
  EXPECT_LT((start + guess.du - found.u).norm(), 0.02);
  EXPECT_NEAR(guess.cost, found.cost, 0.02);
  EXPECT_NEAR(guess.log_determinant, found.log_determinant, 1e-6);
}

}  // namespace
}  // namespace railseep

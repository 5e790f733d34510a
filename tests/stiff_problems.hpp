#pragma once

#include <Eigen/Core>
#include <functional>
#include <ostream>
#include <string>
#include <utility>

namespace railseep::stiff {

using Rates = std::function<void(const Eigen::VectorXd& y, Eigen::VectorXd& f, double t)>;
using Jacobian = std::function<void(const Eigen::VectorXd& y, Eigen::MatrixXd& J, double t, Eigen::VectorXd& dfdt)>;

/// An initial value problem from t = 0: `system` is the pair (rates, Jacobian).
struct Problem {
  std::string name;
  Eigen::VectorXd y0;
  std::pair<Rates, Jacobian> system;

  friend void PrintTo(const Problem& problem, std::ostream* out) { *out << problem.name; }
};

// Equations: Mazzia & Magherini, Test Set for IVP Solvers, rel. 2.4 (2008). All are autonomous.

inline Problem robertson() {
  return {"ROBER",
          Eigen::Vector3d(1, 0, 0),
          {[](const Eigen::VectorXd& y, Eigen::VectorXd& f, double) {
             const double slow = 0.04 * y[0], back = 1e4 * y[1] * y[2], fast = 3e7 * y[1] * y[1];
             f << back - slow, slow - back - fast, fast;
           },
           [](const Eigen::VectorXd& y, Eigen::MatrixXd& J, double, Eigen::VectorXd& dfdt) {
             const double b = 1e4 * y[2], c = 1e4 * y[1], q = 6e7 * y[1];
             J << -0.04, b, c, 0.04, -b - q, -c, 0, q, 0;
             dfdt.setZero();
           }}};
}

/// y1' = y2, y2' = a*(1 - y1^2)*y2 - b*y1
inline Problem van_der_pol(std::string name, double a, double b) {
  return {std::move(name),
          Eigen::Vector2d(2, 0),
          {[=](const Eigen::VectorXd& y, Eigen::VectorXd& f, double) {
             f << y[1], a * (1 - y[0] * y[0]) * y[1] - b * y[0];
           },
           [=](const Eigen::VectorXd& y, Eigen::MatrixXd& J, double, Eigen::VectorXd& dfdt) {
             J << 0, 1, -2 * a * y[0] * y[1] - b, a * (1 - y[0] * y[0]);
             dfdt.setZero();
           }}};
}

inline Problem van_der_pol_1000() { return van_der_pol("VDPOL_1000", 1000, 1); }
inline Problem van_der_pol_1e_6() { return van_der_pol("VDPOL_1e-6", 1e6, 1e6); }

inline Problem hires() {
  Eigen::VectorXd y0 = Eigen::VectorXd::Zero(8);
  y0[0] = 1;
  y0[7] = 0.0057;
  return {"HIRES",
          y0,
          {[](const Eigen::VectorXd& y, Eigen::VectorXd& f, double) {
             const double r = 280 * y[5] * y[7];
             f << -1.71 * y[0] + 0.43 * y[1] + 8.32 * y[2] + 0.0007, 1.71 * y[0] - 8.75 * y[1],
                 -10.03 * y[2] + 0.43 * y[3] + 0.035 * y[4], 8.32 * y[1] + 1.71 * y[2] - 1.12 * y[3],
                 -1.745 * y[4] + 0.43 * (y[5] + y[6]), -r + 0.69 * y[3] + 1.71 * y[4] - 0.43 * y[5] + 0.69 * y[6],
                 r - 1.81 * y[6], 1.81 * y[6] - r;
           },
           [](const Eigen::VectorXd& y, Eigen::MatrixXd& J, double, Eigen::VectorXd& dfdt) {
             const double u = 280 * y[7], v = 280 * y[5];
             J << -1.71, 0.43, 8.32, 0, 0, 0, 0, 0,         //
                 1.71, -8.75, 0, 0, 0, 0, 0, 0,             //
                 0, 0, -10.03, 0.43, 0.035, 0, 0, 0,        //
                 0, 8.32, 1.71, -1.12, 0, 0, 0, 0,          //
                 0, 0, 0, 0, -1.745, 0.43, 0.43, 0,         //
                 0, 0, 0, 0.69, 1.71, -0.43 - u, 0.69, -v,  //
                 0, 0, 0, 0, 0, u, -1.81, v,                //
                 0, 0, 0, 0, 0, -u, 1.81, -v;
             dfdt.setZero();
           }}};
}

inline Problem oregonator() {
  return {"OREGO",
          Eigen::Vector3d(1, 2, 3),
          {[](const Eigen::VectorXd& y, Eigen::VectorXd& f, double) {
             f << 77.27 * (y[1] + y[0] * (1 - 8.375e-6 * y[0] - y[1])), (y[2] - (1 + y[0]) * y[1]) / 77.27,
                 0.161 * (y[0] - y[2]);
           },
           [](const Eigen::VectorXd& y, Eigen::MatrixXd& J, double, Eigen::VectorXd& dfdt) {
             J << 77.27 * (1 - 2 * 8.375e-6 * y[0] - y[1]), 77.27 * (1 - y[0]), 0,  //
                 -y[1] / 77.27, -(1 + y[0]) / 77.27, 1 / 77.27,                     //
                 0.161, 0, -0.161;
             dfdt.setZero();
           }}};
}

}  // namespace railseep::stiff

#pragma once

namespace railseep {

/// RODAS3: a stiffly accurate, L-stable Rosenbrock method of 4 stages, order 3 with an embedded order 2. Written as
/// RODAS is (rodas.hpp); its second stage looks where the first did. A step takes 2 calls of the rates besides the
/// Jacobian where RODAS takes 5: cheaper where hardly four digits are wanted.
///
/// Source: A. Sandu et al., Atmospheric Environment 31 (1997) 3459 (coefficients from memory; the order conditions are
/// a test). Inside a step -h^2/2 x'' = 3 u_1 - u_2 + O(h^3), from the stages' Taylor series: order 2.
struct Rodas3 {
  static constexpr int stages = 4, order = 3, error_order = 2;
  static constexpr double gamma = 0.5;

  static constexpr double alpha[stages] = {0, 0, 1, 1};
  static constexpr double gamma_sum[stages] = {0.5, 1.5, 0, 0};

  static constexpr double a[stages][stages - 1] = {{}, {0}, {2, 0}, {2, 0, 1}};
  static constexpr double c[stages][stages - 1] = {{}, {4}, {1, -1}, {1, -1, -8.0 / 3}};

  static constexpr double d2[stages - 1] = {3, -1, 0};
  static constexpr double d3[stages - 1] = {0, 0, 0};
};

}  // namespace railseep

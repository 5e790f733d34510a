#pragma once

namespace railseep {

/// RODAS: a stiffly accurate, L-stable Rosenbrock method of 6 stages, order 4 with an embedded order 3.
///
///     (1/(gamma*h) I - J) u_i = f(t + alpha_i h, x + sum_j a_ij u_j) + sum_j c_ij/h u_j + gamma_i h df/dt
///     x_new = x + sum_j a_6j u_j + u_6,   error = u_6
///     x(t + s h) = (1-s) x + s x_new + s(1-s) sum_j (d2_j + s d3_j) u_j        (order 3)
///
/// Source: E. Hairer, G. Wanner, Solving Ordinary Differential Equations II, 2nd ed. (1996), sec. IV.7 and IV.10, and
/// their code RODAS, method 1; here as printed in Boost.Odeint 1.74, `default_rosenbrock_coefficients`, with one sign
/// mended: that header has gamma_4 = +0.0362, but gamma_4 is the row sum of the matrix (gamma_ij), and that is -0.0362.
/// With the wrong sign the method loses its order as soon as f depends on t. The order conditions are a test. They
/// stand here, not included from Boost, for that sign and because that header brings all of uBLAS with it.
struct Rodas {
  static constexpr int stages = 6, order = 4, error_order = 3;
  static constexpr double gamma = 0.25;

  static constexpr double alpha[stages] = {0, 0.386, 0.21, 0.63, 1, 1};  // row sums of (alpha_ij)
  static constexpr double gamma_sum[stages] = {0.25, -0.1043, 0.1035, -0.3620000000000023e-01, 0, 0};  // of (gamma_ij)

  static constexpr double a[stages][stages - 1] = {
      {},
      {0.1544000000000000e+01},
      {0.9466785280815826e+00, 0.2557011698983284e+00},
      {0.3314825187068521e+01, 0.2896124015972201e+01, 0.9986419139977817e+00},
      {0.1221224509226641e+01, 0.6019134481288629e+01, 0.1253708332932087e+02, -0.6878860361058950e+00},
      {0.1221224509226641e+01, 0.6019134481288629e+01, 0.1253708332932087e+02, -0.6878860361058950e+00, 1},
  };

  static constexpr double c[stages][stages - 1] = {
      {},
      {-0.5668800000000000e+01},
      {-0.2430093356833875e+01, -0.2063599157091915e+00},
      {-0.1073529058151375e+00, -0.9594562251023355e+01, -0.2047028614809616e+02},
      {0.7496443313967647e+01, -0.1024680431464352e+02, -0.3399990352819905e+02, 0.1170890893206160e+02},
      {0.8083246795921522e+01, -0.7981132988064893e+01, -0.3152159432874371e+02, 0.1631930543123136e+02,
       -0.6058818238834054e+01},
  };

  static constexpr double d2[stages - 1] = {0.1012623508344586e+02, -0.7487995877610167e+01, -0.3480091861555747e+02,
                                            -0.7992771707568823e+01, 0.1025137723295662e+01};
  static constexpr double d3[stages - 1] = {-0.6762803392801253e+00, 0.6087714651680015e+01, 0.1643084320892478e+02,
                                            0.2476722511418386e+02, -0.6594389125716872e+01};
};

}  // namespace railseep

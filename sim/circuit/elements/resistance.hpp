#pragma once

#include <cmath>

namespace railseep {

/// Laminar and turbulent loss in series, solved for the flow [m3/s]:
///
///     dp = R_l*Q + R_t*Q|Q|     ->     Q = 2*dp / (R_l + sqrt(R_l^2 + 4*R_t*|dp|))
///
/// Exact, odd in dp, and smooth through zero as long as R_l > 0. R_l [Pa.s/m3], R_t [Pa.s2/m6].
template <class S, class L>
S series_flow(const S& dp, const L& laminar, double turbulent) {
  using std::abs;
  using std::sqrt;
  const S root = sqrt(laminar * laminar + 4.0 * turbulent * abs(dp));
  return 2.0 * dp / (laminar + root);
}

/// 0 below 0, 1 above 1, and between them 3u^2 - 2u^3: value and slope are continuous.
template <class S>
S smooth_step(const S& u) {
  if (u <= 0.0) return S(0.0 * u);
  if (u >= 1.0) return S(0.0 * u + 1.0);
  return S(u * u * (3.0 - 2.0 * u));
}

/// max(u, 0) with a rounded corner of the given width: width*ln(1 + exp(u/width)).
template <class S>
S rounded_ramp(const S& u, double width) {
  using std::exp;
  using std::log1p;
  using std::log;
  if (u > 40.0 * width) return u;
  if (u < -40.0 * width) return S(0.0 * u);
  return S(width * log(1.0 + exp(u / width)));
}

}  // namespace railseep

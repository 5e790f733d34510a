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
  using std::log;
  using std::log1p;
  if (u > 40.0 * width) return u;
  if (u < -40.0 * width) return S(0.0 * u);
  return S(width * log(1.0 + exp(u / width)));
}

/// 0 within -half..half, beyond it what is left over; the corners are rounded within a tenth of half. half = 0: u
/// itself.
template <class S>
S dead_zone(const S& u, double half) {
  if (half <= 0) return u;
  return S(rounded_ramp(S(u - half), 0.1 * half) - rounded_ramp(S(-u - half), 0.1 * half));
}

/// Where a part with friction is driven to: smooth_step(u), widened by 2*half at both ends so that it shuts and opens
/// fully all the same.
template <class S>
S sticking_drive(const S& u, double half) {
  return S(-2.0 * half + (1.0 + 4.0 * half) * smooth_step(S((u + 2.0 * half) / (1.0 + 4.0 * half))));
}

/// The smaller of two positive numbers with a rounded corner: (a^-8 + b^-8)^(-1/8), 8 % low where they are equal, 1e-4
/// at a factor 3.
template <class S>
S rounded_least(const S& a, const S& b) {
  using std::pow;
  if (a <= 0.0 || b <= 0.0) return S(0.0 * a);
  const S r = a < b ? S(a / b) : S(b / a);
  if (r < 0.03) return S(a < b ? a : b);  // the corner is within 1e-13 of it
  const S r2 = r * r, r4 = r2 * r2;
  return S((a < b ? a : b) * pow(S(1.0 + r4 * r4), -0.125));
}

}  // namespace railseep

// What the table of faults says of each kind holds in the circuits: the law by which it loses oil, the severity at
// which nothing is wrong, whether it can only lower the pressure.

#include <gtest/gtest.h>

#include <cmath>

#include "channel/trace.hpp"
#include "circuit/faults.hpp"
#include "procedure/crank.hpp"
#include "quantity/quantity.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

using Law = FaultKind::Law;

double plateau_of(const Circuit& circuit) { return summarise(circuit, crank(circuit, Condition{}).trace).plateau; }

/// What a link passes at a gauge pressure that is pushed through it the way it leaks [m3/s].
double flow_at(const Link& link, double pressure, const Oil& oil) {
  const Ports<double> port{atmospheric_pressure + pressure, atmospheric_pressure, {0, 0}};
  Signals<double> signals;
  return std::visit([&](const auto& element) { return element.volume_flow(port, signals, oil); }, link.element);
}

/// Exponent n of flow ~ pressure^n between 10 and 20 MPa, of what a leak at a site adds.
double exponent_of(const Circuit& circuit, const PossibleFault& fault, double severity) {
  const Circuit faulty = with_faults(circuit, std::vector{Fault{fault.place, std::string(fault.kind->word), severity}});
  const Oil oil = oil_of(circuit, Condition{});
  const Link& leak = faulty.links.back();
  return std::log2(flow_at(leak, 20e6, oil) / flow_at(leak, 10e6, oil));
}

// Holes: flow ~ sqrt(dp) where the Reynolds number is high. Films: ~ dp; a little less than 1 because oil thickens
// under pressure (film_viscosity). Source: the textbook laws of orifices and of laminar gaps.
TEST(FaultTraits, LeaksFollowTheirLaw) {
  const Circuit circuit = valley_v8();
  int seen = 0;
  for (const PossibleFault& fault : possible_faults(circuit)) {
    if (fault.kind->change != FaultKind::Change::opens_leak || fault.kind->word == "lifting seal") continue;
    const double n = exponent_of(circuit, fault, fault.most);
    if (fault.kind->law == Law::hole) {
      EXPECT_NEAR(n, 0.5, 0.03) << fault.place;
    }
    if (fault.kind->law == Law::film) {
      EXPECT_NEAR(n, 0.9, 0.15) << fault.place;
    }
    ++seen;
  }
  EXPECT_GT(seen, 10);
}

// Within 1 %: the seat of a sound check valve is not quite tight either.
TEST(FaultTraits, NothingIsWrongAtTheHealthySeverity) {
  for (const Circuit& circuit : {valley_v8(), inline_six()}) {
    const double sound = plateau_of(circuit);
    for (const PossibleFault& fault : possible_faults(circuit)) {
      if (fault.kind->change == FaultKind::Change::opens_leak) continue;
      const Fault healthy{fault.place, std::string(fault.kind->word), fault.kind->healthy};
      const Circuit same = with_faults(circuit, std::vector{healthy});
      EXPECT_NEAR(plateau_of(same), sound, 0.01 * sound) << fault.place << ": " << fault.kind->word;
    }
  }
}

// Within 5 %, for the module holds the pressure and overshoots a little more or less.
TEST(FaultTraits, WhatOnlyLowersPressureDoesNotRaiseIt) {
  const Circuit circuit = valley_v8();
  const double sound = plateau_of(circuit);
  for (const PossibleFault& fault : possible_faults(circuit)) {
    if (!fault.kind->only_lowers_pressure) continue;
    const Circuit faulty =
        with_faults(circuit, std::vector{Fault{fault.place, std::string(fault.kind->word), fault.most}});
    EXPECT_LT(plateau_of(faulty), 1.05 * sound) << fault.place << ": " << fault.kind->word;
  }
}

}  // namespace
}  // namespace railseep

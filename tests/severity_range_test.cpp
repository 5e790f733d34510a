// Both ends of the range can be put into a circuit; beyond them with_faults refuses.
#include "circuit/severity_range.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "quantity/error.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

bool fits(const Circuit& circuit, const PossibleFault& fault, double severity) {
  const std::vector<Fault> one{{fault.place, std::string(fault.kind->word), severity}};
  try {
    with_faults(circuit, one);
  } catch (const Error&) {
    return false;
  }
  return true;
}

TEST(SeverityRange, EndsCanBePutInAndNothingBeyond) {
  std::set<const FaultKind*> seen;
  for (const std::string& path : shipped_circuits()) {
    const Circuit circuit = read_circuit(path);
    for (const PossibleFault& fault : possible_faults(circuit)) {
      const SeverityRange range = severity_range(*fault.kind);
      if (fault.kind->change != FaultKind::Change::sets || !seen.insert(fault.kind).second) continue;
      ASSERT_TRUE(std::isfinite(range.least) && std::isfinite(range.most)) << fault.kind->word;
      EXPECT_TRUE(fits(circuit, fault, range.least) && fits(circuit, fault, range.most)) << fault.kind->word;
      const double step = 1e-3 * (range.most - range.least);
      EXPECT_FALSE(fits(circuit, fault, range.least - step) || fits(circuit, fault, range.most + step))
          << fault.kind->word;
      EXPECT_GE(fault.least, range.least) << fault.kind->word;
      EXPECT_LE(fault.most, range.most) << fault.kind->word;
    }
  }
  EXPECT_GT(seen.size(), 20u);
}

}  // namespace
}  // namespace railseep

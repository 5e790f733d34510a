#include <cmath>
#include <cstdio>

#include "quantity/quantity.hpp"

// Reads a length through the installed library: 0.8 mm is 0.0008 m.
int main() {
  const double diameter = railseep::parse_quantity("0.8 mm", railseep::Quantity::length);
  std::printf("0.8 mm = %g m\n", diameter);
  return std::abs(diameter - 0.0008) < 1e-15 ? 0 : 1;
}

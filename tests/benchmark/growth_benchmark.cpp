// How the cost of a crank grows with the circuit: the rail of the inline six cut into 10 to 1000 volumes, and its hose
// into as many lines with inertia; 1 s, hot, everything recorded. Processor time, the least of three, and the exponent
// from one size to the next and over all (least squares in logarithms).

#include <cmath>
#include <cstdio>
#include <ctime>

#include "../cut_rail.hpp"
#include "circuit/circuit_file.hpp"
#include "circuit/line_pieces.hpp"
#include "procedure/crank.hpp"

namespace railseep {
namespace {

struct Cost {
  double seconds;
  Counters counters;
};

Cost cost_of_crank(const Circuit& circuit) {
  Condition condition;
  condition.oil_temperature = 363.15;
  CrankOptions options;
  options.duration = 1, options.tolerance = 1e-6;
  Cost cost{INFINITY, {}};
  for (int i = 0; i < 3; ++i) {
    const std::clock_t begin = std::clock();
    cost.counters = crank(circuit, condition, options).counters;
    cost.seconds = std::min(cost.seconds, static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC);
  }
  return cost;
}

template <class Cut>
void measure(const char* what, Cut cut) {
  std::printf("%s\n", what);
  double sum_x = 0, sum_y = 0, sum_xx = 0, sum_xy = 0, n = 0, last_x = 0, last_y = 0;
  for (const int pieces : {10, 50, 200, 1000}) {
    const Cost cost = cost_of_crank(cut(pieces));
    const double x = std::log(pieces), y = std::log(cost.seconds);
    const long tries = cost.counters.steps + cost.counters.rejected;
    std::printf("  %4d pieces: %8.4f s, %5ld steps and %4ld rejected, %8.2f us each", pieces, cost.seconds,
                cost.counters.steps, cost.counters.rejected, 1e6 * cost.seconds / static_cast<double>(tries));
    if (n > 0) std::printf(", exponent %.2f", (y - last_y) / (x - last_x));
    std::printf("\n");
    sum_x += x, sum_y += y, sum_xx += x * x, sum_xy += x * y, ++n;
    last_x = x, last_y = y;
  }
  std::printf("  exponent over all %.2f\n", (n * sum_xy - sum_x * sum_y) / (n * sum_xx - sum_x * sum_x));
}

}  // namespace
}  // namespace railseep

int main() {
  using namespace railseep;
  const Circuit circuit = read_circuit(std::string(RAILSEEP_SOURCE_DIR) + "/models/inline_six.json");
  measure("volumes in a row", [&](int pieces) {
    return with_cut_rail(circuit, "manifold", pieces, Passage{20e-3, 0.5, 0, 0.03});
  });
  measure("lines with inertia", [&](int pieces) { return cut_line(circuit, "manifold hose", pieces); });
  return 0;
}

// A circuit file: what is written reads back to the same text, and what is accepted can be cranked to finite pressures.
#include <cmath>

#include "circuit/circuit_file.hpp"
#include "oracle.hpp"
#include "procedure/crank.hpp"

using namespace railseep;

namespace {

// A crank takes a thousand times as long as reading: of some inputs only.
constexpr std::size_t cranked_of = 64;
constexpr std::size_t most_nodes = 40;

void crank_briefly(const Circuit& circuit) {
  Condition condition;
  condition.oil_temperature = 333;
  condition.speed = Profile(18);
  CrankOptions options;
  options.duration = 0.1;
  options.tolerance = 1e-3;
  const CrankResult result = crank(circuit, condition, options);
  if (!std::isfinite(summarise(circuit, result.trace).peak)) broken("the peak of a crank is a number");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  may_refuse([&] {
    const Circuit circuit = parse_circuit(text, "circuit.json");
    const std::string written = circuit_text(circuit);
    const Circuit again = must_read(written, [&] { return parse_circuit(written, "written.json"); });
    if (circuit_text(again) != written) broken("a circuit written twice is the same text");
    if (std::hash<std::string>{}(text) % cranked_of == 0 && circuit.nodes.size() < most_nodes) crank_briefly(circuit);
  });
  return 0;
}

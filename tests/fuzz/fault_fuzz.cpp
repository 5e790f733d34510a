// The text of a fault: what is understood can be put into the circuit or is refused, and its own text means the same.
#include "circuit/circuit_file.hpp"
#include "circuit/faults.hpp"
#include "oracle.hpp"

using namespace railseep;

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  static const Circuit circuit = read_circuit(RAILSEEP_SOURCE_DIR "/models/inline_six.json");
  const std::string text(reinterpret_cast<const char*>(data), size);
  may_refuse([&] {
    const Fault fault = parse_fault(text, circuit);
    const Circuit faulty = with_faults(circuit, std::span(&fault, 1));
    if (faulty.nodes.size() < circuit.nodes.size()) broken("a fault takes no node away");
    const std::string written = fault_text(fault, circuit);
    const Fault again = must_read(written, [&] { return parse_fault(written, circuit); });
    if (again.place != fault.place || again.kind != fault.kind || fault_text(again, circuit) != written)
      broken("a fault's own text means the same fault: " + written);
  });
  return 0;
}

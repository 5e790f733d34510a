// A number with its unit: what is understood is finite, and written exactly it is understood as the same number. The
// first byte says which quantity is wanted.
#include <cmath>

#include "oracle.hpp"
#include "quantity/quantity.hpp"

using namespace railseep;

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  if (size == 0) return 0;
  constexpr int quantities = static_cast<int>(Quantity::level) + 1;
  const auto quantity = static_cast<Quantity>(data[0] % quantities);
  const std::string text(reinterpret_cast<const char*>(data) + 1, size - 1);
  may_refuse([&] {
    const double value = parse_quantity(text, quantity);
    if (!std::isfinite(value)) broken("a quantity is finite: " + text);
    const std::string written = write_quantity(value, quantity, info(quantity).si_unit);
    const double again = must_read(written, [&] { return parse_quantity(written, quantity); });
    if (again != value) broken("a quantity written is the same number: " + text + " became " + written);
  });
  return 0;
}

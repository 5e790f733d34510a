// The files of trade values: priors, costs, checks, looks; each reader is given every input. What is accepted is finite
// and in its range.
#include <cmath>

#include "decide/check.hpp"
#include "decide/costs.hpp"
#include "evidence/inspection.hpp"
#include "hypothesis/candidate.hpp"
#include "oracle.hpp"

using namespace railseep;

namespace {

// Everywhere but in log files a value that is missing or worthless is refused, so none of these may come through.
void check_costs(const Costs& costs) {
  for (const double amount : {costs.hourly_rate, costs.opening_money, costs.looking_time, costs.proving_time,
                              costs.proving_money, costs.comeback_money, costs.comeback_time, costs.towing_money})
    if (!(amount >= 0 && std::isfinite(amount))) broken("costs are finite and not negative");
  if (!(costs.together_labour >= 0 && costs.together_labour <= 1)) broken("the share of labour lies between 0 and 1");
}

void check_checks(const Checks& checks) {
  for (const Check& check : checks.checks) {
    if (!(check.slip >= 0 && check.slip <= 1)) broken("the share of wrong results lies between 0 and 1");
    for (const std::string& look : check.looks) must_read(look, [&] { return find_inspection_kind(look).word; });
  }
}

void check_looks(const std::vector<InspectionKind>& looks) {
  for (const InspectionKind& look : looks)
    for (const Seen& seen : look.sees)
      if (!(seen.bad >= 0 && seen.bad <= 1)) broken("a probability lies between 0 and 1");
}

void check_priors(const Priors& priors) {
  for (const auto& [kind, weight] : priors)
    if (!(weight >= 0 && std::isfinite(weight))) broken("weights are finite and not negative: " + kind);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  may_refuse([&] { check_priors(read_priors(file_holding(text))); });
  may_refuse([&] { check_costs(read_costs(file_holding(text))); });
  may_refuse([&] { check_checks(read_checks(file_holding(text))); });
  may_refuse([&] { check_looks(parse_looks(text, "looks.json")); });
  return 0;
}

#include "deciding.hpp"

#include <algorithm>

#include "data_files.hpp"
#include "job/noted_checks.hpp"

namespace railseep::gui {

namespace {

Decision run_decide(const Circuit& circuit, const MatchResult& match, const ShopRates& rates, DecideOptions options,
                    Progress& progress, const Worker::Cancelled& cancelled) {
  options.progress = [&](std::size_t done, std::size_t all, const std::string& what) {
    progress.tell(done, all, what, cancelled);
  };
  return decide(circuit, match, rates.of(read_costs(data_file("models/costs.json"))),
                read_checks(data_file("models/checks.json")), options);
}

}  // namespace

std::vector<std::string> checks_done(const Job& job, const Matching& matching) {
  std::vector<std::string> done = matching.done;
  for (std::string& id : noted_checks(job))
    if (std::ranges::find(done, id) == done.end()) done.push_back(std::move(id));
  return done;
}

DecisionBasis basis_of(const Job& job, const Matching& matching, const Settings& settings) {
  return {checks_done(job, matching), job.open, job.set_up, settings.units.pressure, settings.rates};
}

void start_deciding(Deciding& deciding, const Matching& matching, const Job& job,
                    const std::shared_ptr<const Circuit>& circuit, const Settings& settings, Worker& worker) {
  if (!matching.result || !circuit) return deciding.stop(worker);
  DecideOptions options;
  const DecisionBasis basis = basis_of(job, matching, settings);
  options.done = basis.done;
  options.pressure_unit = basis.pressure_unit;
  options.shop = matching.shop;
  options.shop.open = basis.open;
  options.shop.set_up = basis.set_up;
  deciding.begin(
      worker,
      [circuit, match = matching.result, rates = basis.rates, options](Progress& progress,
                                                                       const Worker::Cancelled& cancelled) {
        return std::make_shared<const Decision>(run_decide(*circuit, *match, rates, options, progress, cancelled));
      },
      [&deciding, match = matching.result, basis](const std::shared_ptr<const Decision>& result) {
        deciding.result = result;
        deciding.of = match;
        deciding.basis = basis;
        deciding.chosen = Deciding::as_advised;
      });
}

}  // namespace railseep::gui

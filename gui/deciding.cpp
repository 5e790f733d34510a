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

void start_deciding(Deciding& deciding, const Matching& matching, const Job& job,
                    const std::shared_ptr<const Circuit>& circuit, const Settings& settings, Worker& worker) {
  if (!matching.result || !circuit) return deciding.stop(worker);
  DecideOptions options;
  options.done = checks_done(job, matching), options.pressure_unit = settings.units.pressure;
  options.shop = matching.shop;
  options.shop.open = job.open;
  options.shop.set_up = job.set_up;
  const ShopRates rates = settings.rates;
  deciding.begin(
      worker,
      [circuit, match = matching.result, rates, options](Progress& progress, const Worker::Cancelled& cancelled) {
        return std::make_shared<const Decision>(run_decide(*circuit, *match, rates, options, progress, cancelled));
      },
      [&deciding, match = matching.result, done = options.done, unit = options.pressure_unit,
       rates](const std::shared_ptr<const Decision>& result) {
        deciding.result = result, deciding.of = match, deciding.made_without = done, deciding.pressure_unit = unit;
        deciding.rates = rates;
        deciding.chosen = Deciding::as_advised;
      });
}

}  // namespace railseep::gui

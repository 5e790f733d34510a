#include "procedure/key_off_hold.hpp"

namespace railseep {

Trace key_off_hold(const Circuit& circuit, const Condition& condition, double crank_time, double hold_time,
                   RunOptions options) {
  Circuit silent = circuit;
  silent.engine.synchronised = 0;  // injection off
  options.longest = crank_time + hold_time;
  EngineRun engine(silent, condition, options);
  engine.crank(crank_time);
  engine.key_off(hold_time);
  return engine.take();
}

std::optional<double> decay_time(const Trace& trace, double crank_time, double share) {
  const std::vector<double>& p = trace.find(signal::rail_pressure).value;
  std::size_t i = 0;
  while (i < p.size() && trace.time[i] < crank_time) ++i;
  if (i == p.size()) return std::nullopt;
  const double from = p[i];
  for (; i < p.size(); ++i)
    if (p[i] <= share * from) return trace.time[i] - crank_time;
  return std::nullopt;
}

}  // namespace railseep

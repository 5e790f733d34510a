#include "evidence/observations.hpp"

namespace railseep {

double pressure_log_likelihood(const Observations& observations, const Circuit& faulty, std::span<const Fault> faults) {
  Procedures procedures(faulty);
  double sum = 0;
  for (const Reading& reading : observations.readings) sum += log_likelihood(reading, procedures);
  sum += log_likelihood(observations.starts, procedures, faults, observations.repaired);
  for (const LogSigns& log : observations.logs) sum += log_likelihood(log, faulty);
  return sum;
}

double place_log_likelihood(const Observations& observations, const Circuit& faulty, std::span<const Fault> faults) {
  double sum = 0;
  for (const Inspection& checked : observations.checks) sum += log_likelihood(checked, faulty, faults);
  for (const AirFindings& air : observations.air) sum += log_likelihood(air, faulty);
  return sum;
}

double log_likelihood(const Observations& observations, const Circuit& faulty, std::span<const Fault> faults) {
  return pressure_log_likelihood(observations, faulty, faults) + place_log_likelihood(observations, faulty, faults);
}

}  // namespace railseep

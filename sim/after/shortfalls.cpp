#include "after/shortfalls.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "after/calibrate.hpp"
#include "match/goodness_of_fit.hpp"
#include "match/look_alikes.hpp"
#include "quantity/quantity.hpp"

namespace railseep {

namespace {

constexpr double least_volts = 9.5;                              // [V] while cranking
constexpr double least_speed = 130 * 2 * std::numbers::pi / 60;  // [rad/s]
constexpr std::size_t few_samples = 10;
constexpr double short_log = 3;          // [s]
constexpr double one_temperature = 30;   // [K] between the coldest and the hottest log
constexpr double far_from_good = 5;      // [K] between a judged log and the nearest good one (assumed)
constexpr double sensor_in_doubt = 0.1;  // probability of the sensor's faults together
constexpr double contradicts = 3;        // standard deviations from what the first candidate would show
constexpr double worth_telling = 0.85;   // of the interval's width

double mean_late(const Profile& profile, double duration) {
  double sum = 0;
  for (int i = 0; i < 10; ++i) sum += profile.at(duration * (0.5 + 0.05 * i));
  return sum / 10;
}

std::string narrowed(const MatchResult& result, const std::string& what) {
  const FaultFit& best = result.fits.front();
  if (best.severities.empty() || best.covariance.size() == 0) return "";
  for (const Narrowing& narrowing : narrowings(best))
    if (narrowing.known.find(what) != std::string::npos && narrowing.share < worth_telling)
      return "known exactly, the size's interval would be " +
             format_quantity(narrowing.share, Quantity::ratio, "%", 2) + " as wide";
  return "the size's interval would hardly narrow";
}

void look_at_log(const MatchResult& result, const CrankEvidence& log, std::vector<Shortfall>& all) {
  const double volts = mean_late(log.condition.battery, log.duration),
               speed = mean_late(log.condition.speed, log.duration);
  if (volts < least_volts || speed < least_speed)
    all.push_back(
        {log.name + ": cranked at " + format_quantity(speed, Quantity::speed, "rpm", 3) + " and " +
             format_quantity(volts, Quantity::voltage, "V", 2),
         "the pump's flow goes with speed, and the module may lose its place below 9.5 V: a sound engine looks leaky",
         "charge or boost the batteries and crank again", true});
  if (log.temperature_doubt >= untold_temperature)
    all.push_back({log.name + ": nobody measured the oil temperature",
                   "a film and a hole can hardly be told apart; " + narrowed(result, log.name + ", oil temperature"),
                   "read the oil temperature, or a thermometer in the dipstick tube", false});
  const std::string pressures = log.name + ": only " + std::to_string(log.time.size()) + " pressures in " +
                                format_quantity(log.duration, Quantity::time, "s", 2);
  if (log.fires && log.time.size() < few_samples)  // it cannot be cranked for longer
    all.push_back({pressures + " before it fires", "how the pressure rises rests on a few samples",
                   "log fewer columns, faster", log.time.size() < 6});
  if (!log.fires && (log.time.size() < few_samples || log.duration < short_log))
    all.push_back({pressures, "the plateau rests on a few samples", "log fewer columns, faster, and crank at least 6 s",
                   log.time.size() < 6});
  if (!log.duty)
    all.push_back({log.name + ": the regulator's duty was not logged",
                   "a regulator that was not told to shut looks like a leak", "log the duty beside the pressure",
                   false});
}

/// A log that is said to be of the good engine and is not misleads all the others.
void look_at_good_log(const Circuit& circuit, const CrankEvidence& log, std::vector<Shortfall>& all) {
  const FaultFit sound = fit_sound_engine(circuit, {log});
  if (!badly_explained(sound, {log})) return;
  all.push_back({log.name + ": said to be of the good engine, and a sound engine explains it badly (mean square " +
                     format_quantity(sound.reduced_chi_square, Quantity::ratio, "", 2) + " instead of about 1)",
                 "what is unsure about the engine is taken from it, wrongly",
                 "leave it out, unless its conditions were told wrongly", true});
}

/// What a good engine loses at another temperature is reckoned by a law, not measured.
void look_at_distance(const std::vector<CrankEvidence>& good, const std::vector<CrankEvidence>& judged,
                      std::vector<Shortfall>& all) {
  if (good.empty()) return;
  double furthest = far_from_good;
  const CrankEvidence* far = nullptr;
  for (const CrankEvidence& log : judged) {
    double nearest = INFINITY;
    for (const CrankEvidence& other : good)
      nearest = std::min(nearest, std::abs(other.condition.oil_temperature - log.condition.oil_temperature));
    if (nearest >= furthest) furthest = nearest, far = &log;
  }
  if (!far) return;
  all.push_back({far->name + ": the nearest log of the good engine is " +
                     std::to_string(static_cast<int>(std::lround(furthest))) + " K away",
                 "how the engine's own losses change with temperature is reckoned by a law that is not sure, so that a "
                 "small leak can hide in it and sizes are less sure",
                 "log a good engine with its oil as warm as here", false});
}

/// Of all candidates whose oil losses follow one law.
double share_of(const MatchResult& result, bool (*law)(const Candidate&)) {
  double sum = 0;
  for (const FaultFit& fit : result.fits)
    if (law(fit.candidate)) sum += fit.probability;
  return sum;
}

/// What one temperature costs, as far as these logs do not tell holes from films all the same.
std::string cost_of_one_temperature(const MatchResult& result) {
  const double films = share_of(result, film_like), holes = share_of(result, hole_like);
  const std::string reason = "wear and films change many times over with temperature, holes hardly: ";
  if (std::max(films, holes) < look_alike_factor * std::min(films, holes))
    return reason + "one temperature cannot tell them apart";
  return reason + "that would tell them apart far better than how the pressure rises, which alone speaks for " +
         (holes > films ? "a hole" : "a film") + " here (" + format_quantity(holes, Quantity::ratio, "%", 2) +
         " hole, " + format_quantity(films, Quantity::ratio, "%", 2) + " film)";
}

/// An assumed temperature is no fact that could be told.
void look_at_temperatures(const MatchResult& result, std::vector<CrankEvidence> logs, std::vector<Shortfall>& all) {
  std::erase_if(logs, [](const CrankEvidence& log) { return log.temperature_doubt >= untold_temperature; });
  if (logs.empty()) return;
  const auto [cold, hot] =
      std::ranges::minmax_element(logs, {}, [](const CrankEvidence& log) { return log.condition.oil_temperature; });
  if (hot->condition.oil_temperature - cold->condition.oil_temperature >= one_temperature) return;
  const bool is_cold = hot->condition.oil_temperature < 333.15;
  all.push_back(
      {std::string("all logs are from ") + (is_cold ? "cold" : "hot") + " oil", cost_of_one_temperature(result),
       is_cold ? "crank again with the oil above 80 degC: leaks show better hot" : "crank again with the engine cold",
       false});
}

/// How far outside of what was read a computed value lies, SI.
double outside(const Reading& reading, double computed) {
  if (!reading.at_least && !reading.at_most) return std::abs(reading.value - computed);
  return std::max({0.0, reading.at_least.value_or(computed) - computed, computed - reading.at_most.value_or(computed)});
}

std::string in_words(double value, Quantity quantity) {
  if (quantity != Quantity::pressure) return format_quantity(value, quantity, info(quantity).si_unit, 3);
  return format_quantity(value, quantity, "psi", 2) + " (" + format_quantity(value, quantity, "MPa", 2) + ")";
}

/// A reading that the first candidate does not explain must not go under among the blunders that the match allows for.
void look_at_readings(const Circuit& circuit, const MatchResult& result, const std::vector<Reading>& readings,
                      std::vector<Shortfall>& all) {
  if (result.fits.empty()) return;
  const FaultFit& best = result.fits.front();
  const Circuit faulty = with_faults(circuit, best.faults());
  Procedures procedures(faulty);
  for (const Reading& reading : readings) {
    const double computed = predicted(reading, procedures);
    if (outside(reading, computed) < contradicts * reading_deviation(reading, computed, faulty)) continue;
    const Quantity quantity = kind_quantity(reading.kind);
    const std::string read = (reading.at_least && !reading.at_most   ? "at least "
                              : reading.at_most && !reading.at_least ? "at most "
                                                                     : "") +
                             in_words(reading.at_least.value_or(reading.at_most.value_or(reading.value)), quantity);
    all.push_back({reading.name + ": " + read + " was read, and " + best.candidate.title() + " would show about " +
                       in_words(computed, quantity),
                   "it speaks against the most probable candidate, unless it was read or told wrongly",
                   "read it once more before anything is opened", true});
  }
}

double probability_of_part(const MatchResult& result, std::string_view part) {
  double sum = 0;
  for (const FaultFit& fit : result.fits)
    if (std::ranges::any_of(fit.candidate.suspects,
                            [&](const Suspect& suspect) { return suspect.kind->applies_to == part; }))
      sum += fit.probability;
  return sum;
}

}  // namespace

std::vector<Narrowing> narrowings(const FaultFit& fit) {
  std::map<std::string, std::vector<Eigen::Index>> groups;
  for (std::size_t i = fit.candidate.suspects.size(); i < fit.unknowns.size(); ++i)
    groups[fit.unknowns[i].name].push_back(static_cast<Eigen::Index>(i));
  std::vector<Narrowing> all;
  for (const auto& [name, members] : groups) {
    // Variance given the group: C_ss - C_sg*C_gg^-1*C_gs
    const Eigen::VectorXd across = fit.covariance.col(0)(members);
    const Eigen::MatrixXd inside = fit.covariance(members, members);
    const double left = 1 - across.dot(inside.llt().solve(across)) / fit.covariance(0, 0);
    all.push_back({name, std::sqrt(std::clamp(left, 0.0, 1.0))});
  }
  std::ranges::stable_sort(all, {}, &Narrowing::share);
  return all;
}

std::vector<Shortfall> shortfalls(const Circuit& circuit, const MatchResult& result, const Observations& observations) {
  std::vector<Shortfall> all;
  if (result.badly_explained)
    all.push_back({"no candidate explains the curves within noise and model doubt (mean square " +
                       format_quantity(result.mean_square, Quantity::ratio, "", 2) + " instead of about 1)",
                   "the fault may be none of those considered, or a condition is not as told",
                   "check what was told: circuit, grade, temperature, units, time columns; then log again", true});
  std::vector<CrankEvidence> of_trouble, good;
  for (const CrankEvidence& log : result.logs) (log.stage == Stage::good ? good : of_trouble).push_back(log);
  for (const CrankEvidence& log : good) look_at_good_log(circuit, log, all);
  look_at_distance(good, of_trouble, all);
  look_at_readings(circuit, result, observations.readings, all);
  for (const CrankEvidence& log : of_trouble) look_at_log(result, log, all);
  look_at_temperatures(result, of_trouble, all);
  if (of_trouble.empty())
    all.push_back({"there is no log of a crank", "the size of a leak can only be guessed from single readings",
                   "log pressure, duty, speed, battery and oil temperature of one hot crank", false});
  if (const double doubt = probability_of_part(result, Sensor::kind);
      doubt > sensor_in_doubt && circuit.only<Sensor>() >= 0)
    all.push_back({"the pressure sensor itself is in doubt (" + format_quantity(doubt, Quantity::ratio, "%", 2) + ")",
                   "everything measured hangs on it", "read its volts at rest, or put a mechanical gauge on the rail",
                   false});
  return all;
}

}  // namespace railseep

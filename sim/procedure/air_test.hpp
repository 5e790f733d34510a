#pragma once

#include <optional>
#include <string>
#include <vector>

#include "channel/trace.hpp"
#include "circuit/air/air_network.hpp"
#include "hearing/hear.hpp"

namespace railseep {

/// More than this is refused [Pa] gauge: plugs and fittings are not made to be leant over with stored gas behind them.
inline constexpr double most_air_pressure = 120 * 6894.757293168;

enum class Energised { no, by_tool, from_battery };

/// The shop-air test as it is done: raise the pressure, blow the leaks dry, listen, shut the air and time the fall;
/// then the same with the regulator energised, in short pulses.
struct AirTestOptions {
  std::string feed;                        // node the air is fed into; empty: where the pressure sensor sits
  double pressure = 100 * 6894.757293168;  // of the shop regulator, gauge [Pa]
  double temperature = 293.15;             // of air and metal [K]
  double residual_oil = 1;                 // 1: just drained, 0: blown dry
  double ramp_time = 5;                    // [s]
  double purge_time = 60;                  // air on before one listens [s]: assumed
  double hold_from = 90 * 6894.757293168;  // the fall is timed between these [Pa] gauge
  double hold_to = 50 * 6894.757293168;
  double hold_limit = 60;  // [s]
  bool timed = true;       // false: it is only listened to; the air is not shut
  double exponent = 1;     // of the air while it falls: 1 isothermal (small volumes in metal), 1.4 adiabatic
  Energised energise = Energised::by_tool;  // in the second pass; no: there is none
  double pulse = 5;                         // coil on at one go [s]
  double rest = 30;                         // coil off between pulses [s]
  double battery = 12.6;                    // [V]
  bool coil_connected = true;               // false: coil, plug or wiring open
  std::string ear = "ear";                  // ear, tube or stethoscope
  double extra_room_noise = 0;              // a noisier shop than the circuit file says [dB]
  double output_interval = 0.1;             // [s]
  double tolerance = 1e-6;
  AirSupply supply;
  Wetting wetting;
};

/// What one place passes.
struct AirLeak {
  std::string name;   // of the link
  std::string place;  // site or link that hearing and access know
  std::string access;
  double flow = 0;     // out of the circuit [kg/s]
  double wetness = 0;  // [-]
};

/// What is read and heard in one pass.
struct AirPass {
  bool energised = false;
  double gauge = 0;     // steady, gauge [Pa]
  double supplied = 0;  // [kg/s]
  std::vector<AirLeak> leaks;
  std::vector<HeardPoint> heard;
  bool gauge_reached = false;          // hold_from was there when the air was shut
  std::optional<double> decay;         // [s] from hold_from to hold_to; empty: not within the time
  double hold_time = 0, hold_end = 0;  // how long it was watched [s], and what was left, gauge [Pa]
  double coil_temperature = 0;         // at the end of the pulse [K]

  const HeardPoint& at(const std::string& point) const;  // @throws Error naming the points
  double flow_of(const std::string& place) const;        // all leaks of a place together [kg/s]
};

struct AirTestResult {
  Trace trace;                  // gauge, node pressures, coil current, flow and wetness of each leak
  AirPass open;                 // regulator not energised
  std::optional<AirPass> shut;  // energised
  std::string feed;
  bool reaches_regulator = false;         // from this feed point air gets to the regulator at all
  std::vector<std::string> closed_links;  // taken as closed: no air law for their kind
};

/// @throws Error above 120 psi, or for a feed point that cannot be fed
AirTestResult air_test(const Circuit& circuit, const AirTestOptions& options = {});

/// How a change on energising sounds at one point.
enum class HissChange { none, drops, stops, rises };
std::string_view word(HissChange change);
struct PointComparison {
  std::string point;
  double open = 0, shut = 0;  // audibility [dB]
  HissChange change = HissChange::none;
};
/// Energised against not, point by point. An ear takes less than 3 dB for no change (assumed).
std::vector<PointComparison> compare_energised(const AirTestResult& result);

/// Air lost at all places of each access group [kg/s], largest first: bank against bank.
std::vector<std::pair<std::string, double>> flow_by_access(const AirPass& pass);

/// What the trade reads out of it, one line a conclusion.
std::vector<std::string> read_air_test(const Circuit& circuit, const AirTestResult& result);

inline constexpr std::string_view gauge_pressure = "gauge pressure";

}  // namespace railseep

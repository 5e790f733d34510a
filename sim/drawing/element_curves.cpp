#include "drawing/element_curves.hpp"

#include <cmath>
#include <functional>
#include <numbers>

#include "circuit/circuit.hpp"
#include "drawing/svg_plot.hpp"
#include "fluid/grade.hpp"

namespace railseep {

namespace {

const Oil& cold() {
  static const Oil oil = oil_at(find_oil_grade("15W-40"), 293.15);
  return oil;
}
const Oil& hot() {
  static const Oil oil = oil_at(find_oil_grade("15W-40"), 363.15);
  return oil;
}

PlotCurve curve(const std::string& label, double from, double to, const std::function<double(double)>& f) {
  PlotCurve c{label, {}, {}};
  for (int i = 0; i <= 80; ++i) {
    const double x = from + (to - from) * i / 80;
    c.x.push_back(x), c.y.push_back(f(x));
  }
  return c;
}

/// Flow in cm3/s through an element at a pressure drop in MPa.
std::function<double(double)> flow(const Element& element, const Oil& oil, double opening = 0) {
  return [=](double mpa) {
    const Ports<double> port{atmospheric_pressure + mpa * 1e6, atmospheric_pressure, {opening, opening}};
    const Signals<double> still{0, 0};
    return 1e6 * std::visit([&](const auto& e) { return e.volume_flow(port, still, oil); }, element);
  };
}

constexpr double rpm = std::numbers::pi / 30;
const char* const drop = "pressure drop [MPa]";
const char* const flow_label = "flow [cm3/s]";

std::string pump_svg() {
  const auto delivered = [](double wear, const Oil& oil) {
    Pump pump;
    pump.wear = wear;
    return [=](double mpa) {
      return 1e6 * pump.volume_flow(Ports<double>{atmospheric_pressure, atmospheric_pressure + mpa * 1e6, {0, 0}},
                                    Signals<double>{170 * rpm, 0}, oil);
    };
  };
  return svg_plot("Pump, 7 cm3/rev at 170 rpm", "outlet pressure [MPa]", flow_label,
                  {curve("new, 20 degC", 0, 8, delivered(1, cold())), curve("new, 90 degC", 0, 8, delivered(1, hot())),
                   curve("wear 8 x, 20 degC", 0, 8, delivered(8, cold())),
                   curve("wear 8 x, 90 degC", 0, 3.5, delivered(8, hot()))});
}

std::string ripple_svg() {
  const auto ripple = [](double pistons) {
    Pump pump;
    pump.pistons = pistons;
    return [=](double degrees) { return pump.ripple(degrees * std::numbers::pi / 180); };
  };
  return svg_plot("Kinematic ripple over a turn", "angle of the pump [deg]", "delivery / mean",
                  {curve("6 pistons", 0, 120, ripple(6)), curve("7 pistons", 0, 120, ripple(7)),
                   curve("9 pistons", 0, 120, ripple(9))});
}

std::string regulator_svg() {
  const Regulator regulator;
  const auto set = [=](double volts) {
    return [=](double duty) {
      return 1e-6 * regulator.set_pressure(regulator.mean_voltage(duty / 100, volts) / regulator.hot_resistance(0));
    };
  };
  return svg_plot("Regulator: set pressure, coil settled", "duty [%]", "set pressure [MPa]",
                  {curve("13.8 V", 0, 85, set(13.8)), curve("10.5 V", 0, 85, set(10.5)), curve("8 V", 0, 85, set(8))});
}

std::string injector_svg() {
  const auto shot = [](double pulse) {
    return [=](double mpa) { return 1e6 * Injector{}.shot(mpa * 1e6, pulse, hot()); };
  };
  return svg_plot("Injector: oil of one shot, 90 degC", "rail pressure [MPa]", "shot [cm3]",
                  {curve("pulse 1 ms", 0, 25, shot(1e-3)), curve("pulse 2 ms", 0, 25, shot(2e-3)),
                   curve("pulse 3 ms", 0, 25, shot(3e-3))});
}

std::string friction_svg() {
  const auto factor = [](double roughness) {
    return [=](double log_re) {
      const double re = std::pow(10.0, log_re);
      return Line{0.01, 1, roughness * 0.01, 0}.over_laminar(re) * 64 / re;
    };
  };
  return svg_plot("Friction factor of a line", "log10 of the Reynolds number", "Darcy friction factor",
                  {curve("smooth", 2.6, 6, factor(0)), curve("roughness 0.1 %", 2.6, 6, factor(1e-3)),
                   curve("roughness 1 %", 2.6, 6, factor(1e-2))});
}

std::string lube_svg() {
  const auto delivered = [](double speed, const Oil& oil) {
    LubePump pump;
    pump.displacement = 60e-6 / (2 * std::numbers::pi), pump.slip = 2e-8;
    return [=](double mpa) {
      return 1e6 * pump.volume_flow(Ports<double>{atmospheric_pressure, atmospheric_pressure + mpa * 1e6, {0, 0}},
                                    Signals<double>{speed, 0}, oil);
    };
  };
  return svg_plot(
      "Lube pump with relief at 0.45 MPa", "gallery pressure [MPa]", flow_label,
      {curve("650 rpm", 0, 0.6, delivered(650 * rpm, hot())), curve("170 rpm", 0, 0.6, delivered(170 * rpm, hot()))});
}

}  // namespace

std::vector<ElementPicture> element_pictures() {
  const Gap worn{0.0628, 4e-5, 2e-3, 0, 1};
  const LiftingSeal seal{1e-3, 1.7e6, 4.1e6};
  const CheckValve valve;
  Screen clean, plugged;
  plugged.blocked = 0.99;
  const auto volts = [](double drift) {
    Sensor sensor;
    sensor.hot_drift = drift;
    return [=](double mpa) { return sensor.volts(mpa * 1e6, 363.15); };
  };
  return {
      {"hole.svg",
       svg_plot("Hole of 0.5 mm", drop, flow_label,
                {curve("90 degC", 0, 10, flow(Hole{5e-4}, hot())), curve("20 degC", 0, 10, flow(Hole{5e-4}, cold()))})},
      {"gap.svg", svg_plot("Gap of 40 um, 20 mm seal", drop, flow_label,
                           {curve("90 degC", 0, 10, flow(worn, hot())), curve("20 degC", 0, 10, flow(worn, cold()))})},
      {"lifting_seal.svg", svg_plot("Lifting seal, 1.7 to 4.1 MPa", drop, flow_label,
                                    {curve("1 mm when lifted", 0, 6, flow(seal, hot())),
                                     curve("hole of 1 mm", 0, 6, flow(Hole{1e-3}, hot()))})},
      {"passage.svg", svg_plot("Passage of 9 mm, 250 mm", "pressure drop [MPa]", flow_label,
                               {curve("90 degC", 0, 0.05, flow(Passage{9e-3, 0.25, 1.5, 0.03}, hot())),
                                curve("20 degC", 0, 0.05, flow(Passage{9e-3, 0.25, 1.5, 0.03}, cold()))})},
      {"line.svg", friction_svg()},
      {"check_valve.svg",
       svg_plot("Check valve", "pressure drop [MPa]", flow_label,
                {curve("90 degC", -0.1, 0.2, flow(valve, hot())),
                 curve("seat leak 1 mm", -0.1, 0.2, flow(CheckValve{5e-3, 2e4, 1e5, 1e-3, 0.7}, hot()))})},
      {"pump.svg", pump_svg()},
      {"pump_ripple.svg", ripple_svg()},
      {"regulator.svg", regulator_svg()},
      {"injector.svg", injector_svg()},
      {"lube_pump.svg", lube_svg()},
      {"screen.svg", svg_plot("Screen, 4000 openings of 0.15 mm", "pressure drop [MPa]", flow_label,
                              {curve("clean, 20 degC", 0, 0.02, flow(clean, cold())),
                               curve("99 % blocked, 90 degC", 0, 0.2, flow(plugged, hot())),
                               curve("99 % blocked, 20 degC", 0, 0.2, flow(plugged, cold()))})},
      {"sensor.svg", svg_plot("Sensor at 90 degC", "pressure [MPa]", "signal [V]",
                              {curve("good", 0, 30, volts(0)), curve("hot drift 20 kPa/K", 0, 30, volts(2e4))})}};
}

}  // namespace railseep

#pragma once

#include "circuit/air/films.hpp"
#include "circuit/air/openings.hpp"
#include "circuit/circuit.hpp"

namespace railseep {

/// Kinds of element that have an air law; a sensor passes nothing.
template <class E>
concept PassesAir = requires(const E& element, const AirPorts<double>& port) {
  air_flow(element, port);
};

/// What an element passes when it is filled with air [kg/s], from -> to. A kind without an air law is taken as closed;
/// AirNetwork names such links so that a result can say so.
template <class S>
S element_air_flow(const Element& element, const AirPorts<S>& port) {
  return std::visit(
      [&]<class E>(const E& e) {
        if constexpr (PassesAir<E>)
          return air_flow(e, port);
        else
          return S(0.0 * port.from);
      },
      element);
}

/// How the air leaves an element: a round jet whose size follows from its flow, or one out of a slit, where friction
/// has already eaten part of the pressure.
struct JetShape {
  double nozzle = 0;  // Cd*A of the slit [m2], 0 for a round jet
  double height = 0;  // of the slit [m]
  double width = 0;   // of one slit [m]
};

inline JetShape jet_shape(const Element& element) {
  if (const Gap* gap = std::get_if<Gap>(&element)) return {as_air(*gap).nozzle, gap->clearance, gap->width};
  if (const Injector* injector = std::get_if<Injector>(&element)) return jet_shape(injector->film());
  if (const Pump* pump = std::get_if<Pump>(&element))
    return {as_air(*pump).nozzle, pump_clearance, as_air(*pump).nozzle / pump_clearance};
  return {};
}

inline bool has_air_law(const Element& element) {
  return std::visit([]<class E>(const E&) { return PassesAir<E> || std::is_same_v<E, Sensor>; }, element);
}

}  // namespace railseep

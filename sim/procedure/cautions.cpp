#include "procedure/cautions.hpp"

namespace railseep {

namespace {

// Common practice of the trade; cranking time: two operator manuals; injection injury: medical texts; compressed air
// and ejected test fittings: guidance on pressure testing; coil time: a maker's procedure for a similar oil-control
// solenoid asks for less than 10 s; blow gun: 29 CFR 1910.242(b) asks for less than 30 psi with chip guarding and
// personal protection.
constexpr Caution all[] = {
    {"eyes and ears", "air test",
     "Wear eye and ear protection; keep face and hands away from plugs, fittings and from any hiss. Never feel for a "
     "leak."},
    {"regulated air", "air test",
     "Use regulated, relieved air with a gauge and a shut-off within reach; start from 0 and raise it slowly. 120 psi "
     "at most."},
    {"hose and fittings", "air test",
     "Look over hose, coupling and adapter first, tie the hose against whipping, and prove the set-up at 10 psi before "
     "more."},
    {"air only", "air test", "Compressed air only: never oxygen, fuel gas or any bottled gas of another kind."},
    {"release first", "air test",
     "Shut the air and let the gauge fall to 0 before anything is undone; pressure can stay behind a check valve."},
    {"covers", "air test", "No covers half bolted and no fittings half screwed: either on and tight, or off and away."},
    {"oil mist", "air test", "Air blows hot oil out as mist: no flames, ventilate, let a hot engine drain first."},
    {"coil time", "coil",
     "Energise the regulator's coil through a fuse and for seconds only: 5 s on, 30 s off; never longer than 10 s."},
    {"coil alone", "coil",
     "Switched by a scan tool it stays plugged in. Fed from a battery, unplug it from its harness first and switch at "
     "the battery side. Never ground its control wire on a cranking or running engine."},
    {"must not start", "crank",
     "Wheels chocked, neutral or park, brake on; clear of belts and fan. A warm engine may catch: disable injection "
     "where it must not run."},
    {"starter", "crank", "Crank for 30 s at most, then let the starter cool for 2 min. No starting spray."},
    {"turbo inlet", "crank",
     "Where the intake is open, fit a guard over the turbo's inlet before the engine may turn or start."},
    {"stored pressure", "opening",
     "Key off, wait, confirm the sensor's rest volts before anything is opened; pressure can stay behind check valves. "
     "Crack fittings under a rag, face away."},
    {"injection injury", "opening",
     "Oil at these pressures enters the skin through a pinhole: never feel for a leak with the hand. Such a wound is a "
     "surgical emergency even when it hardly hurts; say which oil it was."},
    {"cleanliness", "opening",
     "One shred of seal in the rail jams a spool or the regulator: clean before opening, cap what is open."},
    {"blow gun", "opening",
     "Cleaning with a blow gun: below 30 psi at the nozzle, chips guarded, eyes protected; never towards skin."},
    {"hot oil", "hot oil", "Oil above 60 degC scalds: gloves and face shield, let it drain."},
    {"injector circuits", "injector drive",
     "Injector circuits carry 48 to 115 V while they are driven: do not probe, touch or unplug them."},
    {"rated parts", "gauge",
     "Gauge, hose, adapters and plugs must be rated above the relief pressure; nobody stands in line with a plug while "
     "it is cranked."},
    {"battery gas", "batteries",
     "Charge in fresh air, charger off before clamps are moved, last clamp away from the battery, equal voltages "
     "only."},
    {"manual first", "always",
     "The maker's manual and local rules come first. A computed result is a hint, not proof: confirm by test before "
     "parts."},
};

}  // namespace

std::span<const Caution> cautions() { return all; }

std::vector<Caution> cautions_for(std::string_view procedure) {
  std::vector<Caution> wanted;
  for (const Caution& caution : all)
    if (caution.when == procedure || caution.when == "always") wanted.push_back(caution);
  return wanted;
}

}  // namespace railseep

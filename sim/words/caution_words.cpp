#include "words/caution_words.hpp"

#include <algorithm>

namespace railseep {

namespace {

constexpr CautionDigest all[] = {
    {"opening",
     "Key off, wait, see rest volts before anything is opened. Never feel for a leak: oil injection is a surgical "
     "emergency. Clean first; blow gun below 30 psi."},
    {"air test",
     "Eyes and ears covered. Regulated air, 120 psi at most, hose tied, try 10 psi first; gauge at 0 before anything "
     "is undone."},
    {"coil", "Coil through a fuse, 5 s on, 30 s off, never longer than 10 s; never ground its control wire."},
    {"crank",
     "Wheels chocked, neutral, brake on; it may catch. Crank 30 s at most, rest 2 min; guard over an open turbo "
     "inlet."},
    {"hot oil", "Oil above 60 degC scalds: gloves, face shield, let it drain."},
    {"gauge", "Gauge, hose and plugs rated above the relief pressure; nobody in line with a plug."},
    {"injector drive", "Injector circuits carry 48 to 115 V while driven: do not probe, touch or unplug them."},
    {"batteries", "Charge in fresh air, charger off before clamps are moved, equal voltages only."},
    {"always", "The maker's manual and local rules come first. In full: railseep cautions."},
};

}  // namespace

std::span<const CautionDigest> caution_digests() { return all; }

std::vector<std::string> caution_lines(const std::vector<std::string>& procedures) {
  std::vector<std::string> lines;
  for (const CautionDigest& digest : all)
    if (digest.when == "always" || std::ranges::find(procedures, digest.when) != procedures.end())
      lines.emplace_back(digest.text);
  return lines;
}

}  // namespace railseep

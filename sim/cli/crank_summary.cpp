#include "cli/crank_summary.hpp"

#include <iomanip>

#include "cli/commands.hpp"
#include "words/caution_words.hpp"

namespace railseep {

namespace {

constexpr double at_ceiling = 0.995;  // of the highest duty

bool duty_at_ceiling(const Circuit& circuit, const CrankSummary& summary) {
  return summary.duty > at_ceiling * circuit.control.most_duty;
}

}  // namespace

void print_crank(Output& out, const Circuit& circuit, const CrankSummary& s, const std::optional<OilBalance>& oil) {
  const auto pressure = [&](double p) { return out.shown(p, Quantity::pressure); };
  out.text() << "  rail pressure shown   peak " << pressure(s.peak) << ", last fifth " << pressure(s.plateau) << "\n";
  out.text() << "  enable pressure       " << pressure(circuit.control.enable_pressure)
             << (s.time_to_enable ? " after " + out.shown(*s.time_to_enable, Quantity::time, "s") : " not reached")
             << "\n";
  out.text() << "  regulator duty        " << out.shown(s.duty, Quantity::ratio)
             << (duty_at_ceiling(circuit, s) ? " (its ceiling)" : "") << "\n";
  out.text() << "  injection             "
             << (s.injection_enabled ? "would be enabled" : "stays off: it cranks and does not start") << "\n";
  if (oil) print_oil_balance(out, *oil);
}

void print_oil_balance(Output& out, const OilBalance& oil) {
  const auto flow = [&](const std::string& name, double q) {
    out.text() << "    " << std::left << std::setw(40) << name << std::right << std::setw(14)
               << out.shown(q, Quantity::volume_flow) << "\n";
  };
  out.text() << "  where the pump's oil goes, last fifth\n";
  flow("the pump displaces", oil.displaced);
  flow("slips back or never came in", oil.slip);
  for (const OilBalance::Share& use : oil.uses) flow(use.name, use.flow);
  flow("fills and compresses", oil.stored);
}

Json crank_json(const Circuit& circuit, const CrankSummary& s, const std::optional<OilBalance>& oil) {
  Json json{{"peak_Pa", s.peak},
            {"last_fifth_Pa", s.plateau},
            {"enable_pressure_Pa", circuit.control.enable_pressure},
            {"time_to_enable_s", s.time_to_enable ? Json(*s.time_to_enable) : Json()},
            {"duty", s.duty},
            {"duty_at_ceiling", duty_at_ceiling(circuit, s)},
            {"injection_enabled", s.injection_enabled}};
  if (oil) json["oil_balance"] = oil_balance_json(*oil);
  return json;
}

Json oil_balance_json(const OilBalance& oil) {
  Json json{{"pump_displaces_m3/s", oil.displaced},
            {"pump_slip_m3/s", oil.slip},
            {"stored_m3/s", oil.stored},
            {"uses_m3/s", Json::object()}};
  for (const OilBalance::Share& use : oil.uses) json["uses_m3/s"][use.name] = use.flow;
  return json;
}

void print_cautions_for(Output& out, const std::vector<std::string>& procedures) {
  for (const std::string& line : caution_lines(procedures)) out.text() << wrapped("  ! " + line, "    ");
}

}  // namespace railseep

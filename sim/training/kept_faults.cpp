#include "training/kept_faults.hpp"

#include <filesystem>

#include "circuit/circuit_file.hpp"
#include "quantity/error.hpp"
#include "quantity/fingerprint.hpp"
#include "quantity/json_fields.hpp"
#include "quantity/whole_file.hpp"

namespace railseep {

namespace fs = std::filesystem;

namespace {

/// The file of this program; empty when the system does not tell.
std::string this_program() {
  std::error_code trouble;
  return fs::read_symlink("/proc/self/exe", trouble).string();
}

constexpr double CrankShowing::*crank_numbers[] = {
    &CrankShowing::plateau,      &CrankShowing::faster,        &CrankShowing::charged,    &CrankShowing::isolated,
    &CrankShowing::gauge_excess, &CrankShowing::base_pressure, &CrankShowing::rest_volts, &CrankShowing::hold_time};

Json to_json(const CrankShowing& crank) {
  Json json = Json::array();
  for (double CrankShowing::*number : crank_numbers) json.push_back(crank.*number);
  json.push_back(crank.one_rail);
  return json;
}

CrankShowing crank_of(const Json& json) {
  CrankShowing crank;
  std::size_t i = 0;
  for (double CrankShowing::*number : crank_numbers) crank.*number = json.at(i++).get<double>();
  crank.one_rail = json.at(i).get<std::vector<double>>();
  return crank;
}

Json to_json(const AirShowing& air) { return {air.open, air.energised, air.at_pump, air.air_reaches_regulator}; }

AirShowing air_of(const Json& json) {
  return {json.at(0).get<std::vector<double>>(), json.at(1).get<std::vector<double>>(),
          json.at(2).get<std::vector<double>>(), json.at(3).get<bool>()};
}

Json to_json(const ComputedFaults& computed) {
  const Showings& shows = computed.shows;
  Json json{{"crank", Json::array()},        {"air", Json::array()},
            {"sound", to_json(shows.sound)}, {"oil_temperature", shows.oil_temperature},
            {"speed", shows.speed},          {"healthy_speed", shows.healthy_speed},
            {"warmed", shows.warmed},        {"troubles", shows.troubles},
            {"starts", Json::array()}};
  for (const CrankShowing& crank : shows.crank) json["crank"].push_back(to_json(crank));
  for (const AirShowing& air : shows.air) json["air"].push_back(to_json(air));
  for (const FaultyStarts& one : computed.starts) json["starts"].push_back({one.ln_p, one.speed});
  return json;
}

ComputedFaults computed_of(const Json& json) {
  ComputedFaults computed;
  Showings& shows = computed.shows;
  for (const Json& crank : json.at("crank")) shows.crank.push_back(crank_of(crank));
  for (const Json& air : json.at("air")) shows.air.push_back(air_of(air));
  shows.sound = air_of(json.at("sound"));
  shows.oil_temperature = json.at("oil_temperature").get<double>();
  shows.speed = json.at("speed").get<double>(), shows.healthy_speed = json.at("healthy_speed").get<double>();
  shows.warmed = json.at("warmed").get<bool>();
  shows.troubles = json.at("troubles").get<std::vector<std::string>>();
  for (const Json& one : json.at("starts"))
    computed.starts.push_back({one.at(0).get<std::array<double, 4>>(), one.at(1).get<double>()});
  return computed;
}

}  // namespace

KeptFaults::KeptFaults(const std::string& folder, const Circuit& circuit, const Belief& belief,
                       const ShowingNeeds& needs) {
  const std::string program = this_program();
  if (folder.empty() || !fs::exists(program)) return;
  // Other code may compute other numbers.
  Json of{file_fingerprint(program),
          circuit_text(circuit),
          needs.crank,
          needs.faster,
          needs.charged,
          needs.isolated,
          needs.one_rail,
          needs.hold,
          needs.air,
          needs.at_pump,
          needs.warmed};
  for (const Possibility& one : belief.possibilities)
    of.push_back({belief.hypotheses[one.hypothesis].candidate.title(), one.severities});
  of_ = fingerprint(of.dump());
  // One file for each circuit and each of our programs: what is out of date is written over.
  const std::string whose = circuit.name + "\n" + fs::path(program).filename().string();
  file_ = (fs::path(folder) / ("faults-" + fingerprint(whose) + ".cbor")).string();
}

std::optional<ComputedFaults> KeptFaults::read() const {
  try {
    if (file_.empty() || !fs::exists(file_)) return {};
    const Json json = Json::from_cbor(read_text(file_));
    if (json.at("railseep") != "computed faults" || json.at("of") != of_) return {};
    return computed_of(json.at("computed"));
  } catch (const std::exception&) {  // damaged or not to be read: computed anew
    return {};
  }
}

void KeptFaults::keep(const ComputedFaults& computed) const {
  if (file_.empty()) return;
  std::string bytes;
  Json::to_cbor({{"railseep", "computed faults"}, {"of", of_}, {"computed", to_json(computed)}}, bytes);
  try {
    make_folder(fs::path(file_).parent_path().string());
    write_text(file_, bytes, true);
  } catch (const Error&) {  // a full disk: the next session computes again
  }
}

}  // namespace railseep

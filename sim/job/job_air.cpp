#include "job/job_air.hpp"

#include "quantity/error.hpp"

namespace railseep {

namespace {

std::string_view word(Energised energise) {
  return energise == Energised::no ? "no" : energise == Energised::by_tool ? "by tool" : "from battery";
}

Energised read_energised(JsonFields& fields) {
  const std::string text = fields.text("energise", "by tool");
  for (const Energised energise : {Energised::no, Energised::by_tool, Energised::from_battery})
    if (word(energise) == text) return energise;
  throw Error(fields.place_of("energise"), "\"" + text + "\" is no way to energise the regulator",
              "write \"no\", \"by tool\" or \"from battery\"");
}

HeardFinding read_heard(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  HeardFinding heard;
  heard.place = fields.text("at");
  try {
    heard.word = parse_heard_word(fields.text("heard"));
  } catch (const Error& error) {
    throw error.within(fields.place_of("heard"));
  }
  heard.energised = fields.flag("energised", false);
  fields.finish();
  return heard;
}

/// "time" of a fall to the end, or "watched" when it did not fall so far.
DecayFinding read_fall(const Json& json, const std::string& place, const AirTestOptions& done) {
  JsonFields fields(json, place);
  DecayFinding fall;
  fall.from = done.hold_from, fall.to = done.hold_to;
  fall.fell = !fields.has("watched");
  fall.time = fields.quantity(fall.fell ? "time" : "watched", Quantity::time);
  fall.energised = fields.flag("energised", false);
  fields.finish();
  return fall;
}

FlowFinding read_flow(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  FlowFinding flow;
  flow.flow = fields.quantity("flow", Quantity::volume_flow);
  flow.energised = fields.flag("energised", false);
  fields.finish();
  return flow;
}

void put(Json& json, const char* key, double value, double usual, Quantity quantity, std::string_view unit) {
  if (value != usual) json[key] = write_quantity(value, quantity, unit);
}

}  // namespace

AirFindings read_air_findings(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  AirFindings findings;
  AirTestOptions& done = findings.done;
  done.feed = fields.text("feed", "");
  done.pressure = fields.quantity("pressure", Quantity::pressure, done.pressure);
  done.temperature = fields.quantity("temperature", Quantity::temperature, done.temperature);
  done.purge_time = fields.quantity("blown_dry_for", Quantity::time, done.purge_time);
  done.hold_from = fields.quantity("fall_from", Quantity::pressure, done.hold_from);
  done.hold_to = fields.quantity("fall_to", Quantity::pressure, done.hold_to);
  done.ear = fields.text("listened_by", done.ear);
  find_ear_tool(done.ear);
  done.energise = read_energised(fields);
  fields.each("heard",
              [&](const Json& heard, const std::string& at) { findings.heard.push_back(read_heard(heard, at)); });
  fields.each("falls",
              [&](const Json& fall, const std::string& at) { findings.decays.push_back(read_fall(fall, at, done)); });
  fields.each("flows", [&](const Json& flow, const std::string& at) { findings.flows.push_back(read_flow(flow, at)); });
  fields.finish();
  return findings;
}

Json air_json(const AirFindings& findings) {
  const AirTestOptions usual, &done = findings.done;
  Json json = Json::object();
  if (!done.feed.empty()) json["feed"] = done.feed;
  put(json, "pressure", done.pressure, usual.pressure, Quantity::pressure, "MPa");
  put(json, "temperature", done.temperature, usual.temperature, Quantity::temperature, "degC");
  put(json, "blown_dry_for", done.purge_time, usual.purge_time, Quantity::time, "s");
  put(json, "fall_from", done.hold_from, usual.hold_from, Quantity::pressure, "MPa");
  put(json, "fall_to", done.hold_to, usual.hold_to, Quantity::pressure, "MPa");
  if (done.ear != usual.ear) json["listened_by"] = done.ear;
  if (done.energise != usual.energise) json["energise"] = word(done.energise);
  for (const HeardFinding& heard : findings.heard)
    json["heard"].push_back({{"at", heard.place}, {"heard", word(heard.word)}, {"energised", heard.energised}});
  for (const DecayFinding& fall : findings.decays)
    json["falls"].push_back({{fall.fell ? "time" : "watched", write_quantity(fall.time, Quantity::time, "s")},
                             {"energised", fall.energised}});
  for (const FlowFinding& flow : findings.flows)
    json["flows"].push_back(
        {{"flow", write_quantity(flow.flow, Quantity::volume_flow, info(Quantity::volume_flow).si_unit)},
         {"energised", flow.energised}});
  return json;
}

}  // namespace railseep

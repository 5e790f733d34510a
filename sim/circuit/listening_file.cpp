#include "circuit/listening_file.hpp"

#include <algorithm>

#include "circuit/circuit_fields.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

double within(JsonFields& fields, const char* key, Quantity quantity, double least, double most, const char* expected) {
  const double value = fields.quantity(key, quantity);
  if (!(value >= least && value <= most))
    throw Error(fields.place_of(key), "the " + std::string(info(quantity).name) + " is out of range", expected);
  return value;
}

std::string one_of(JsonFields& fields, const char* key, const std::vector<std::string>& known, const char* what) {
  const std::string name = fields.text(key);
  if (std::find(known.begin(), known.end(), name) != known.end()) return name;
  const std::string near = nearest_word(name, known);
  throw Error(fields.place_of(key), "\"" + name + "\" is not " + what,
              near.empty() ? "name one that the file has" : "did you mean \"" + near + "\"");
}

std::vector<std::string> sources_of_sound(const Circuit& circuit) {
  std::vector<std::string> names;
  for (const Access& group : circuit.access) names.push_back(group.name);
  for (const Link& link : circuit.links) names.push_back(link.name);
  for (const Site& site : circuit.sites) names.push_back(site.name);
  return names;
}

}  // namespace

Listening read_listening(JsonFields fields, const Circuit& circuit) {
  Listening listening;
  std::vector<std::string> points;
  fields.each(
      "points",
      [&](const Json& json, const std::string& at) {
        JsonFields point(json, at);
        const std::string name = read_name(point);
        if (std::find(points.begin(), points.end(), name) != points.end())
          throw Error(point.place_of("name"), "the name \"" + name + "\" is used twice",
                      "give each listening point its own name");
        points.push_back(name);
        listening.points.push_back(
            {name, within(point, "room_noise", Quantity::level, 0, 130, "write 0 dB to 130 dB"), point.text("source")});
        point.finish();
      },
      true);
  const std::vector<std::string> sources = sources_of_sound(circuit);
  fields.each(
      "paths",
      [&](const Json& json, const std::string& at) {
        JsonFields path(json, at);
        SoundPath read;
        read.from = one_of(path, "from", sources, "a site, link or access group");
        read.to = one_of(path, "to", points, "a listening point");
        read.loss = within(path, "loss", Quantity::level, 0, 150, "write 0 dB to 150 dB");
        read.muffling = path.has("muffling")
                            ? within(path, "muffling", Quantity::level, 0, 30, "write 0 dB to 30 dB an octave")
                            : 0;
        read.distance = within(path, "distance", Quantity::length, 0.01, 20, "write 10 mm to 20 m");
        read.source = path.text("source");
        path.finish();
        for (const SoundPath& other : listening.paths)
          if (other.from == read.from && other.to == read.to)
            throw Error(path.place(), "there are two paths from \"" + read.from + "\" to \"" + read.to + "\"",
                        "keep one");
        listening.paths.push_back(std::move(read));
      },
      true);
  fields.finish();
  return listening;
}

Json listening_json(const Listening& listening) {
  Json json{{"points", Json::array()}, {"paths", Json::array()}};
  for (const ListeningPoint& point : listening.points)
    json["points"].push_back({{"name", point.name},
                              {"room_noise", write_quantity(point.room_noise, Quantity::level, "dB")},
                              {"source", point.source}});
  for (const SoundPath& path : listening.paths) {
    Json item{{"from", path.from}, {"to", path.to}, {"loss", write_quantity(path.loss, Quantity::level, "dB")}};
    if (path.muffling > 0) item["muffling"] = write_quantity(path.muffling, Quantity::level, "dB");
    item["distance"] = write_quantity(path.distance, Quantity::length, "m");
    item["source"] = path.source;
    json["paths"].push_back(std::move(item));
  }
  return json;
}

}  // namespace railseep

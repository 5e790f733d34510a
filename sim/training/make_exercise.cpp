#include "training/make_exercise.hpp"

#include <algorithm>
#include <cmath>

#include "quantity/error.hpp"
#include "study/dice.hpp"
#include "training/solver.hpp"
#include "training/suspicion.hpp"
#include "words/shown_units.hpp"

namespace railseep {

namespace {

constexpr std::uint64_t of_story = 100;  // stream of random numbers
constexpr double generous = 3;           // shop time and money, as a multiple of what the program needs
constexpr double least_clock = 240 * 60.0, least_money = 500;

std::vector<std::string> list(JsonFields& fields, const char* key) {
  std::vector<std::string> all;
  fields.each(
      key,
      [&](const Json& item, const std::string& place) {
        if (!item.is_string()) throw Error(place, item.dump().substr(0, 40) + " is not a text", "write it in quotes");
        all.push_back(item.get<std::string>());
      },
      true);
  if (all.empty()) throw Error(fields.place_of(key), "the list is empty", "add at least one text");
  return all;
}

std::string starts_word(const ToldStarts& starts) {
  return starts.hot ? starts.cold ? "always" : "cold" : starts.cold ? "hot" : "never";
}

}  // namespace

Stories read_stories(const std::string& path) {
  const Json json = read_json(path);
  JsonFields fields = JsonFields::top(json, path);
  if (fields.text("railseep") != "stories")
    throw Error(fields.place_of("railseep"), "this is not a file of stories", "write \"railseep\": \"stories\"");
  fields.text("source");
  Stories stories;
  stories.vehicles = list(fields, "vehicles");
  JsonFields complaints = fields.object("complaints");
  for (const char* key : {"hot", "cold", "never", "always"}) stories.complaints[key] = list(complaints, key);
  complaints.finish();
  const Json& history = fields.raw("history");
  JsonFields said(history, fields.place_of("history"));
  for (const auto& [key, value] : history.items()) stories.history[key] = list(said, key.c_str());
  if (!stories.history.contains("any"))
    throw Error(fields.place_of("history"), "it has no \"any\"", "add what every driver says");
  fields.finish();
  return stories;
}

Exercise make_exercise(const FaultTable& table, const Order& order, const Stories& stories) {
  Dice dice(order.seed, 0, of_story);
  Exercise exercise;
  exercise.level = order.level, exercise.circuit = order.circuit, exercise.seed = order.seed;
  exercise.withheld = order.withheld, exercise.battery = order.battery;
  exercise.hidden = {order.faults, order.lesson};
  const std::vector<Fault> faults = hidden_faults(exercise, table.circuit);
  const Bay bay(table, faults, faults.empty(), order.seed, {});
  exercise.starts = {bay.starts(hot_oil), bay.starts(cold_oil)};
  if (exercise.starts.hot && exercise.starts.cold)
    throw Error("exercise", "with this fault the engine starts hot and cold: nobody would complain",
                "give a larger size; railseep limit finds the smallest that matters");
  std::string vehicle = dice.pick(stories.vehicles);
  exercise.complaint = dice.pick(stories.complaints.at(starts_word(exercise.starts)));
  exercise.name = capital(vehicle.substr(vehicle.find(' ') + 1)) + " (invented)";
  exercise.about = "Invented: vehicle, people and words are made up.";
  const std::string suspicion =
      faults.empty() ? std::string(not_the_oil_side) : suspicion_of(table.circuit, faults.front());
  for (const auto& [key, said] : stories.history)
    if (suspicion.starts_with(key)) exercise.history.push_back(dice.pick(said));
  exercise.history.push_back(dice.pick(stories.history.at("any")));
  exercise.clock = exercise.money = 1e6;
  const Session par = solve(table, exercise);
  exercise.clock = std::max(least_clock, 1800 * std::ceil(generous * par.clock() / 1800));
  exercise.money = std::max(least_money, 100 * std::ceil(generous * par.spent() / 100));
  return exercise;
}

}  // namespace railseep

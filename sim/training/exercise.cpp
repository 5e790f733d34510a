#include "training/exercise.hpp"

#include <filesystem>

#include "procedure/condition.hpp"
#include "quantity/error.hpp"
#include "training/seal.hpp"

namespace railseep {

namespace {

constexpr std::string_view levels[] = {"guided",
                                       "one fault, strong and hot",
                                       "one fault, weak",
                                       "look-alikes",
                                       "not what it seems: supply, wiring, not oil",
                                       "two faults",
                                       "a repair that was left undone",
                                       "few tools"};

std::vector<std::string> texts(JsonFields& fields, const char* key, bool required) {
  std::vector<std::string> all;
  fields.each(
      key,
      [&](const Json& item, const std::string& place) {
        if (!item.is_string() || item.get_ref<const std::string&>().empty())
          throw Error(place, item.dump().substr(0, 40) + " is not a text", "write it in quotes");
        all.push_back(item.get<std::string>());
      },
      required);
  return all;
}

long long whole(JsonFields& fields, const char* key, long long least, long long most) {
  const Json& value = fields.raw(key);
  if (!value.is_number_integer() || value.get<long long>() < least || value.get<long long>() > most)
    throw Error(fields.place_of(key), value.dump().substr(0, 40) + " is no whole number in range",
                "write one from " + std::to_string(least) + " to " + std::to_string(most));
  return value.get<long long>();
}

Hidden read_hidden(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  Hidden hidden;
  hidden.faults = texts(fields, "faults", true);
  hidden.lesson = fields.text("lesson", "");
  fields.finish();
  return hidden;
}

Json hidden_json(const Hidden& hidden) {
  Json json{{"faults", hidden.faults}};
  if (!hidden.lesson.empty()) json["lesson"] = hidden.lesson;
  return json;
}

void read_sealed(Exercise& exercise, JsonFields sealed) {
  exercise.salt = sealed.text("salt");
  exercise.seal = sealed.text("sha256");
  const std::string text = [&] {
    try {
      return unveil(sealed.text("text"), exercise.salt);
    } catch (const Error& error) {
      throw error.within(sealed.place_of("text"));
    }
  }();
  sealed.text("note", "");
  if (exercise.salt.empty() || commitment(text, exercise.salt) != exercise.seal)
    throw Error(sealed.place_of("sha256"), "the hidden part is not the one that was sealed",
                "ask the trainer for the file as it was sealed");
  exercise.hidden = read_hidden(parse_json(text, sealed.place_of("text")), sealed.place_of("text"));
  sealed.finish();
}

}  // namespace

std::string_view level_words(int level) { return levels[level]; }

Exercise parse_exercise(const std::string& text, const std::string& file) {
  const Json json = parse_json(text, file);
  JsonFields fields = JsonFields::top(json, file);
  fields.expect({"hidden", "sealed"});
  if (fields.text("railseep") != "exercise")
    throw Error(fields.place_of("railseep"), "this is not an exercise", "write \"railseep\": \"exercise\"");
  Exercise exercise;
  exercise.name = fields.text("name");
  exercise.about = fields.text("about", "");
  exercise.level = static_cast<int>(whole(fields, "level", 0, highest_level));
  exercise.complaint = fields.text("complaint");
  exercise.history = texts(fields, "history", false);
  exercise.circuit = fields.text("circuit");
  JsonFields starts = fields.object("starts");
  exercise.starts = {starts.flag("hot", false), starts.flag("cold", false)};
  starts.finish();
  exercise.oil_temperature = within_range(fields.quantity("oil_temperature", Quantity::temperature, cold_oil),
                                          condition_range::oil_temperature, fields.place_of("oil_temperature"));
  exercise.battery = within_range(fields.quantity("battery", Quantity::ratio, 1.0), {Quantity::ratio, 0.5, 1, "%"},
                                  fields.place_of("battery"));
  exercise.seed = static_cast<std::uint64_t>(whole(fields, "seed", 0, 1LL << 53));
  exercise.clock = within_range(fields.quantity("clock", Quantity::time), {Quantity::time, 60, 3.6e6, "min"},
                                fields.place_of("clock"));
  exercise.money =
      within_range(fields.quantity("money", Quantity::ratio), {Quantity::ratio, 1, 1e9, ""}, fields.place_of("money"));
  exercise.withheld = texts(fields, "withheld", false);
  exercise.hints = fields.has("hints") ? static_cast<int>(whole(fields, "hints", 0, 3)) : 3;
  if (fields.has("hidden") == fields.has("sealed"))
    throw Error(fields.place(), "it needs either \"hidden\" or \"sealed\"", "give one of the two");
  if (fields.has("hidden"))
    exercise.hidden = read_hidden(fields.raw("hidden"), fields.place_of("hidden"));
  else
    read_sealed(exercise, fields.object("sealed"));
  fields.finish();
  return exercise;
}

Exercise read_exercise(const std::string& path) {
  Exercise exercise = parse_exercise(read_text(path), path);
  exercise.folder = std::filesystem::path(path).parent_path().string();
  return exercise;
}

std::string exercise_text(const Exercise& exercise) {
  Json json{{"railseep", "exercise"}, {"name", exercise.name}};
  if (!exercise.about.empty()) json["about"] = exercise.about;
  json["level"] = exercise.level;
  json["complaint"] = exercise.complaint;
  if (!exercise.history.empty()) json["history"] = exercise.history;
  json["circuit"] = exercise.circuit;
  json["starts"] = {{"hot", exercise.starts.hot}, {"cold", exercise.starts.cold}};
  json["oil_temperature"] = write_quantity(exercise.oil_temperature, Quantity::temperature, "degC");
  json["battery"] = write_quantity(exercise.battery, Quantity::ratio, "%");
  json["seed"] = exercise.seed;
  json["clock"] = write_quantity(exercise.clock, Quantity::time, "min");
  json["money"] = exercise.money;
  if (!exercise.withheld.empty()) json["withheld"] = exercise.withheld;
  json["hints"] = exercise.hints;
  if (exercise.salt.empty()) {
    json["hidden"] = hidden_json(exercise.hidden);
  } else {
    json["sealed"] = {{"note",
                       "no cryptography: it only keeps eyes off; sha256 of salt, line feed and text shows "
                       "that it was not changed"},
                      {"salt", exercise.salt},
                      {"sha256", exercise.seal},
                      {"text", veil(hidden_json(exercise.hidden).dump(), exercise.salt)}};
  }
  return json.dump(2) + "\n";
}

void seal_exercise(Exercise& exercise, const std::string& salt) {
  exercise.salt = salt;
  exercise.seal = commitment(hidden_json(exercise.hidden).dump(), salt);
}

std::vector<Fault> hidden_faults(const Exercise& exercise, const Circuit& circuit) {
  std::vector<Fault> faults;
  for (std::size_t i = 0; i < exercise.hidden.faults.size(); ++i) {
    try {
      faults.push_back(parse_fault(exercise.hidden.faults[i], circuit));
    } catch (const Error& error) {
      throw error.within(exercise.name + ", hidden/faults/" + std::to_string(i));
    }
  }
  with_faults(circuit, faults);
  return faults;
}

}  // namespace railseep

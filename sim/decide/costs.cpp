#include "decide/costs.hpp"

#include <algorithm>

#include "circuit/faults.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

double money(JsonFields& fields, const char* key) {
  const Json& value = fields.raw(key);
  if (!value.is_number())
    throw Error(fields.place_of(key), value.dump().substr(0, 40) + " is not a sum of money",
                "write a plain number such as 120; the currency stands in \"currency\"");
  const double sum = value.get<double>();
  if (!(sum >= 0 && sum <= 1e9)) throw Error(fields.place_of(key), "the sum is out of range", "write 0 to 1e9");
  return sum;
}

double duration(JsonFields& fields, const char* key, std::optional<double> fallback = std::nullopt) {
  const double time = fields.quantity(key, Quantity::time, fallback);
  if (!(time >= 0 && time <= 3.6e6))
    throw Error(fields.place_of(key), "the time is out of range", "write 0 min to 1000 h");
  return time;
}

double share(JsonFields& fields, const char* key) {
  const double value = fields.quantity(key, Quantity::ratio);
  if (!(value >= 0 && value <= 1)) throw Error(fields.place_of(key), "the share is out of range", "write 0 % to 100 %");
  return value;
}

void check_kind(const std::string& kind, const std::string& place) {
  std::vector<std::string> words;
  for (const FaultKind& known : fault_kinds()) words.emplace_back(known.word);
  if (std::find(words.begin(), words.end(), kind) != words.end()) return;
  const std::string near = nearest_word(kind, words);
  throw Error(place, "there is no kind of fault \"" + kind + "\"",
              near.empty() ? "railseep faults lists them" : "did you mean \"" + near + "\"");
}

RepairPrice read_repair(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  RepairPrice repair;
  repair.kind = fields.text("kind");
  if (!repair.kind.empty()) check_kind(repair.kind, fields.place_of("kind"));
  repair.place = fields.text("place");
  repair.part = fields.text("part");
  repair.price = money(fields, "price");
  repair.labour = duration(fields, "labour", 0.0);
  if (fields.has("second_failure")) repair.second_failure = share(fields, "second_failure");
  fields.text("source");
  fields.finish();
  return repair;
}

OutsideWork read_outside(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  OutsideWork work;
  work.name = fields.text("name");
  fields.each(
      "kinds",
      [&](const Json& kind, const std::string& where) {
        if (!kind.is_string())
          throw Error(where, kind.dump().substr(0, 40) + " is not a kind of fault", "write its word in quotes");
        check_kind(kind.get<std::string>(), where);
        work.kinds.push_back(kind.get<std::string>());
      },
      true);
  work.time = duration(fields, "time");
  work.money = money(fields, "money");
  fields.text("source");
  fields.finish();
  return work;
}

}  // namespace

const RepairPrice& Costs::repair(const std::string& kind, const std::string& place) const {
  for (const RepairPrice& price : repairs)
    if ((price.kind.empty() || price.kind == kind) && place.find(price.place) != std::string::npos) return price;
  throw Error("costs, /repairs", "no line fits \"" + kind + "\" at \"" + place + "\"",
              "add one; an empty kind and place fit everything");
}

Costs read_costs(const std::string& path) {
  const Json json = read_json(path);
  JsonFields fields = JsonFields::top(json, path);
  if (fields.text("railseep") != "costs")
    throw Error(fields.place_of("railseep"), "this is not a file of costs", "write \"railseep\": \"costs\"");
  Costs costs;
  costs.source = fields.text("source");
  costs.currency = fields.text("currency");
  if (costs.currency.empty() || costs.currency.size() > 20)
    throw Error(fields.place_of("currency"), "it has no or too many letters", "write 1 to 20");
  costs.hourly_rate = money(fields, "hourly_rate");

  JsonFields opening = fields.object("opening");
  costs.opening_money = money(opening, "money");
  costs.looking_time = duration(opening, "looking");
  JsonFields proving = fields.object("proving");
  costs.proving_time = duration(proving, "time");
  costs.proving_money = money(proving, "money");
  JsonFields elsewhere = fields.object("elsewhere");
  costs.elsewhere_time = duration(elsewhere, "time");
  costs.elsewhere_money = money(elsewhere, "money");
  JsonFields comeback = fields.object("comeback");
  costs.comeback_money = money(comeback, "money");
  costs.towing_money = money(comeback, "towing");
  costs.comeback_time = duration(comeback, "time");
  JsonFields together = fields.object("together");
  costs.together_labour = share(together, "labour");
  for (JsonFields* part : {&opening, &proving, &elsewhere, &comeback, &together}) part->text("source"), part->finish();

  fields.each(
      "repairs", [&](const Json& item, const std::string& place) { costs.repairs.push_back(read_repair(item, place)); },
      true);
  fields.each(
      "outside",
      [&](const Json& item, const std::string& place) { costs.outside.push_back(read_outside(item, place)); }, true);
  fields.finish();
  if (costs.repairs.empty()) throw Error(fields.place_of("repairs"), "the list is empty", "add at least one line");
  if (costs.outside.empty() || !costs.outside.back().kinds.empty())
    throw Error(fields.place_of("outside"), "the last line names kinds, so that others have nowhere to go",
                "add a last one with \"kinds\": []");
  return costs;
}

}  // namespace railseep

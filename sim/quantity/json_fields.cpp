#include "quantity/json_fields.hpp"

#include <algorithm>
#include <set>

#include "quantity/error.hpp"

namespace railseep {

namespace {

std::string shown(const Json& value) {
  std::string text = value.dump();
  return text.size() > 60 ? text.substr(0, 57) + "..." : text;
}

std::string example_of(Quantity quantity) { return "\"" + std::string(info(quantity).example) + "\""; }

/// A text with its unit; a ratio may be a plain number. @throws Error
double plain_number(const Json& value, const std::string& place, Quantity wanted) {
  if (value.is_number() && wanted == Quantity::ratio) return value.get<double>();
  if (value.is_number()) throw Error(place, shown(value) + " has no unit", how_to_write(wanted));
  if (!value.is_string()) throw Error(place, shown(value) + " is not a number with its unit", how_to_write(wanted));
  try {
    return parse_quantity(value.get_ref<const std::string&>(), wanted);
  } catch (const Error& error) {
    throw error.within(place);
  }
}

constexpr std::size_t most_keys = 1000;  // of one object: finding one of them takes time that goes with their number

/// Watches a text while it is parsed: no key twice in one object, not too many keys, nothing nested so deep that
/// reading it exhausts the stack.
class Watch {
 public:
  explicit Watch(const std::string& place) : place_(place) {}

  bool operator()(int depth, Json::parse_event_t event, Json& value) {
    if (depth > 50)
      throw Error(place_, "objects and lists are nested more than 50 deep", "check for brackets that do not close");
    if (event == Json::parse_event_t::object_start) keys_.emplace_back();
    if (event == Json::parse_event_t::object_end) keys_.pop_back();
    if (event == Json::parse_event_t::key && keys_.back().size() == most_keys)
      throw Error(place_, "an object has more than " + std::to_string(most_keys) + " keys",
                  "check that it is the right file; no file of this program has so many");
    if (event == Json::parse_event_t::key && !keys_.back().insert(value.get<std::string>()).second)
      throw Error(place_, "the key " + shown(value) + " stands twice in one object", "remove one of the two");
    return true;
  }

 private:
  const std::string& place_;
  std::vector<std::set<std::string>> keys_;
};

}  // namespace

Json parse_json(const std::string& text, const std::string& place) {
  try {
    return Json::parse(text, Watch(place), true, true);
  } catch (const Json::parse_error& mistake) {
    const std::size_t at = std::min<std::size_t>(mistake.byte == 0 ? 0 : mistake.byte - 1, text.size());
    const auto line = 1 + std::count(text.begin(), text.begin() + static_cast<long>(at), '\n');
    const std::size_t start = at == 0 ? std::string::npos : text.rfind('\n', at - 1);
    const std::size_t column = start == std::string::npos ? at + 1 : at - start;
    const bool ended = at >= text.size();
    throw Error(place + ", line " + std::to_string(line) + ", column " + std::to_string(column),
                ended ? "the text ends too early" : std::string("this is not JSON here: '") + text[at] + "'",
                "check for a missing comma, quote or bracket");
  } catch (const Json::out_of_range&) {
    throw Error(place, "a number is too large", "write numbers below 1e308");
  }
}

Json read_json(const std::string& path) { return parse_json(read_text(path), path); }

JsonFields::JsonFields(const Json& object, std::string place, std::string below)
    : object_(&object), place_(std::move(place)), below_(std::move(below)) {
  if (!object.is_object()) throw Error(place_, shown(object) + " is not an object", "write { \"key\": value, ... }");
}

const Json* JsonFields::find(const char* key) {
  known_.emplace_back(key);
  const auto found = object_->find(key);
  return found == object_->end() ? nullptr : &*found;
}

const Json& JsonFields::require(const char* key, const char* what) {
  if (const Json* value = find(key)) return *value;
  // A mistyped key is likelier than a forgotten one: say so when one is near.
  for (const auto& [other, value] : object_->items())
    if (std::find(known_.begin(), known_.end(), other) == known_.end() &&
        !nearest_word(other, std::vector<std::string>{key}).empty())
      throw Error(place_of(other), "the key \"" + other + "\" is not known here",
                  std::string("did you mean \"") + key + "\"");
  throw Error(place_, std::string("\"") + key + "\" is missing", std::string("add \"") + key + "\": " + what);
}

bool JsonFields::has(const char* key) { return find(key) != nullptr; }

std::string JsonFields::text(const char* key) {
  const Json& value = require(key, "a text in quotes");
  if (!value.is_string()) throw Error(place_of(key), shown(value) + " is not a text", "write it in quotes");
  return value.get<std::string>();
}

std::string JsonFields::text(const char* key, const std::string& fallback) { return has(key) ? text(key) : fallback; }

bool JsonFields::flag(const char* key, bool fallback) {
  const Json* value = find(key);
  if (!value) return fallback;
  if (!value->is_boolean()) throw Error(place_of(key), shown(*value) + " is not yes or no", "write true or false");
  return value->get<bool>();
}

double JsonFields::quantity(const char* key, Quantity wanted, std::optional<double> fallback) {
  if (fallback && !has(key)) return *fallback;
  return plain_number(require(key, example_of(wanted).c_str()), place_of(key), wanted);
}

WrittenNumber JsonFields::number(const char* key, Quantity wanted) {
  const Json& value = require(key, example_of(wanted).c_str());
  if (!value.is_object()) return {plain_number(value, place_of(key), wanted), 0, ""};
  JsonFields fields(value, place_of(key));
  WrittenNumber read;
  read.value = fields.quantity("value", wanted);
  read.spread = fields.quantity("spread", Quantity::ratio, 0.0);
  read.source = fields.text("source", "");
  fields.finish();
  if (read.spread < 0 || read.spread > 3)
    throw Error(fields.place_of("spread"), "the spread is out of range", "write 0 % to 300 %");
  return read;
}

void JsonFields::each(const char* key, const std::function<void(const Json&, const std::string&)>& read,
                      bool required) {
  const Json* value = required ? &require(key, "[ ... ]") : find(key);
  if (!value) return;
  if (!value->is_array()) throw Error(place_of(key), shown(*value) + " is not a list", "write [ ... ]");
  for (std::size_t i = 0; i < value->size(); ++i) read((*value)[i], place_of(key) + "/" + std::to_string(i));
}

JsonFields JsonFields::object(const char* key) { return {require(key, "{ ... }"), place_of(key)}; }

const Json& JsonFields::raw(const char* key) { return require(key, "a value"); }

void JsonFields::finish() const {
  for (const auto& [key, value] : object_->items()) {
    if (std::find(known_.begin(), known_.end(), key) != known_.end()) continue;
    const std::string near = nearest_word(key, known_);
    std::string listed;
    for (const std::string& name : known_)
      if (listed.find("\"" + name + "\"") == std::string::npos)
        listed += (listed.empty() ? "\"" : ", \"") + name + "\"";
    throw Error(place_of(key), "the key \"" + key + "\" is not known here",
                near.empty() ? "known keys are " + listed : "did you mean \"" + near + "\"");
  }
}

}  // namespace railseep

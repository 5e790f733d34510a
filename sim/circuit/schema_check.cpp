#include "circuit/schema_check.hpp"

#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validation_results.hpp>
#include <valijson/validator.hpp>

#include "circuit/circuit_schema.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

using Plain = nlohmann::json;  // what valijson reads
using Adapter = valijson::adapters::NlohmannJsonAdapter;

struct CircuitSchema : valijson::Schema {
  CircuitSchema() {
    const Plain text = Plain::parse(circuit_schema_text);
    valijson::SchemaParser().populateSchema(Adapter(text), *this);
  }
};

const valijson::Schema& schema() {
  static const CircuitSchema parsed;
  return parsed;
}

/// {"<root>", "[links]", "[3]"} -> "/links/3"
std::string place_of(const std::vector<std::string>& context) {
  std::string place;
  for (std::size_t i = 1; i < context.size(); ++i) {
    const std::string& part = context[i];
    place += "/" + (part.size() > 2 && part.front() == '[' ? part.substr(1, part.size() - 2) : part);
  }
  return place;
}

}  // namespace

void check_against_schema(const Json& circuit) {
  const Plain plain = circuit;
  valijson::ValidationResults results;
  if (valijson::Validator().validate(schema(), Adapter(plain), &results)) return;
  valijson::ValidationResults::Error first;
  results.popError(first);
  throw Error(place_of(first.context), "the schema of circuit files does not allow this (" + first.description + ")",
              "compare with models/circuit.schema.json");
}

}  // namespace railseep

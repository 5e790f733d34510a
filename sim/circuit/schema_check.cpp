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

struct ParsedSchema : valijson::Schema {
  explicit ParsedSchema(const Plain& text) { valijson::SchemaParser().populateSchema(Adapter(text), *this); }
};

/// {"<root>", "[links]", "[3]"} -> "/links/3"
std::string place_of(const std::vector<std::string>& context) {
  std::string place;
  for (std::size_t i = 1; i < context.size(); ++i) {
    const std::string& part = context[i];
    place += "/" + (part.size() > 2 && part.front() == '[' ? part.substr(1, part.size() - 2) : part);
  }
  return place;
}

std::optional<SchemaMistake> first_mistake(const valijson::Schema& schema, const Plain& value) {
  valijson::ValidationResults results;
  if (valijson::Validator().validate(schema, Adapter(value), &results)) return std::nullopt;
  valijson::ValidationResults::Error first;
  results.popError(first);
  return SchemaMistake{place_of(first.context), first.description};
}

}  // namespace

std::optional<SchemaMistake> schema_mistake(const Json& schema, const Json& value) {
  return first_mistake(ParsedSchema(schema), value);
}

void check_against_schema(const Json& circuit) {
  static const ParsedSchema schema(Plain::parse(circuit_schema().dump()));
  if (const auto mistake = first_mistake(schema, circuit))
    throw Error(mistake->place, "the schema of circuit files does not allow this (" + mistake->reason + ")",
                "compare with models/circuit.schema.json");
}

}  // namespace railseep

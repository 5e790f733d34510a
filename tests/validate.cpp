// Holds a JSON file against a JSON Schema: 0 it fits, 1 it does not (place and reason are printed).
//
//     railseep_validate SCHEMA FILE

#include <iostream>

#include "circuit/schema_check.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

int main(int argc, char** argv) {
  if (argc != 3) {
    std::cerr << "railseep_validate SCHEMA FILE\n";
    return 2;
  }
  try {
    const auto mistake = railseep::schema_mistake(railseep::read_json(argv[1]), railseep::read_json(argv[2]));
    if (!mistake) return 0;
    std::cout << argv[2] << ", " << mistake->place << ": " << mistake->reason << "\n";
    return 1;
  } catch (const railseep::Error& error) {
    std::cerr << error.what() << "\n";
    return 2;
  }
}

#pragma once

#include "procedure/air_findings.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

/// A shop-air test in a job file: how it was done, then what was heard, timed and metered. @throws Error with the place
AirFindings read_air_findings(const Json& json, const std::string& place);
Json air_json(const AirFindings& findings);

}  // namespace railseep

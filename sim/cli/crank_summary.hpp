#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/output.hpp"
#include "procedure/crank.hpp"

namespace railseep {

/// What a technician reads off a crank or an idle, and where the oil goes unless that is kept from him.
void print_crank(Output& out, const Circuit& circuit, const CrankSummary& summary,
                 const std::optional<OilBalance>& oil);
Json crank_json(const Circuit& circuit, const CrankSummary& summary, const std::optional<OilBalance>& oil);
void print_oil_balance(Output& out, const OilBalance& oil);
Json oil_balance_json(const OilBalance& oil);

/// The usual cautions of a procedure that is done to an engine, in a breath each.
void print_cautions_for(Output& out, const std::vector<std::string>& procedures);

}  // namespace railseep

#pragma once

#include <string>

#include "job/job.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

/// What of a proof is kept in its job, with the fingerprint of the evidence it was computed from.
/// @throws Error when a file that the job names cannot be read
KeptProof kept_proof(const RepairProof& proof, const Job& job, const FindFile& find);

/// The part of a job that a match or a proof depends on: not its names, its words, its kept proof, or checks that are
/// told in words alone.
std::string evidence_text(const Job& job);

/// Fingerprint of all that a proof is computed from: what the job tells, the circuit, and the logs themselves, wherever
/// their files lie.
/// @throws Error when a file that the job names cannot be read
std::string evidence_fingerprint(const Job& job, const FindFile& find);

/// A kept proof in a job file. @throws Error with the place
KeptProof read_kept_proof(const Json& json, const std::string& place);
Json kept_proof_json(const KeptProof& proof);

}  // namespace railseep

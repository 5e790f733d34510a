#pragma once

#include <map>
#include <string>
#include <vector>

#include "circuit/faults.hpp"
#include "evidence/stage.hpp"

namespace railseep {

/// One kind of fault and the places it may be at. Places that the model cannot tell from one another stand together.
struct Suspect {
  enum class Presence { always, before_repair, after_repair };
  const FaultKind* kind = nullptr;
  std::vector<PossibleFault> places;
  Presence presence = Presence::always;  // in which logs it is there; in one of the good engine never

  bool in(Stage stage) const {
    return stage != Stage::good &&
           (presence == Presence::always || (presence == Presence::after_repair) == (stage == Stage::after));
  }
  std::string title() const;  // "hole at any of 6 seals: jumper tube seal (6)"
  Fault fault(double severity) const { return {places.front().place, std::string(kind->word), severity}; }
};

/// A fault hypothesis with unknown severities: nothing wrong on the oil side, one fault, or two at once.
struct Candidate {
  std::vector<Suspect> suspects;  // none: nothing wrong on the oil side
  double prior = 0;               // of all its places together [-]

  bool healthy() const { return suspects.empty(); }
  std::string title() const;
  std::vector<Fault> faults(const std::vector<double>& severities) const;  // @param severities one a suspect, SI
};

/// How likely each kind of fault is before anything was measured: a weight for each word of fault_kinds(), and for
/// "healthy". A kind that can stand in several places shares its weight among them.
using Priors = std::map<std::string, double>;

/// How likely it is that there is a second fault, when there is one. Assumed.
inline constexpr double second_fault_share = 0.1;

/// Whether two faults pass the same oil the same way when they are equally bad: readings of pressure and duty see one
/// and the same, and only how bad each may be tells them apart. A seat that leaks is a hole beside its valve.
bool same_effect(const Circuit& circuit, const PossibleFault& a, const PossibleFault& b);

/// Reads models/priors.json. @throws Error
Priors read_priors(const std::string& path);

/// All single faults of a circuit, and "healthy"; priors add up to 1. @throws Error when a kind has no weight
std::vector<Candidate> candidates(const Circuit& circuit, const Priors& priors);

}  // namespace railseep

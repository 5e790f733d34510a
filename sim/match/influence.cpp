#include "match/influence.hpp"

#include <algorithm>
#include <cmath>

#include "match/match_result.hpp"

namespace railseep {

namespace {

using Eigen::Index;
using Eigen::VectorXd;

/// The residuals of one log under one fit, some of whose samples are left out.
class Judged {
 public:
  Judged(const LogTolerance& tolerance, std::size_t width, const VectorXd& whitened)
      : level_(&tolerance.levels[width]), pull_(whitened), precision_(level_->precision) {
    tolerance.from_first(width, pull_);
    level_->whitener.whiten_transposed(pull_);
  }

  /// What -ln p loses without this sample.
  double gain_without(Index sample) const {
    return 0.5 * (pull_[sample] * pull_[sample] / precision_[sample] - std::log(precision_[sample]));
  }

  void leave_out(Index sample) {
    VectorXd column = VectorXd::Unit(pull_.size(), sample);
    level_->whitener.whiten(column);
    level_->whitener.whiten_transposed(column);
    for (const auto& [at, before] : left_out_) column -= before * (before[sample] / before[at]);
    pull_ -= column * (pull_[sample] / column[sample]);
    precision_ -= column.cwiseAbs2() / column[sample];
    left_out_.emplace_back(sample, std::move(column));
  }

 private:
  const LogTolerance::Level* level_;
  VectorXd pull_;                                     // P*r
  VectorXd precision_;                                // diagonal of P
  std::vector<std::pair<Index, VectorXd>> left_out_;  // columns of P, when each was left out
};

/// All logs under one fit, without its wild samples: those it does not count.
struct JudgedLogs {
  std::vector<Judged> logs;
  std::vector<std::vector<bool>> wild;

  JudgedLogs(const std::vector<CrankEvidence>& evidence, const FaultFit& fit) {
    Index size = 0;
    for (const CrankEvidence& log : evidence) size += static_cast<Index>(log.time.size());
    VectorXd whitened(size);
    Index first = 0;
    for (std::size_t i = 0; i < evidence.size(); ++i) {
      const VectorXd rows = evidence[i].whiten(fit.computed[i]);
      whitened.segment(first, rows.size()) = rows;
      first += rows.size();
    }
    const Weighing weighing = tolerances_of(evidence).weigh(whitened);
    first = 0;
    for (std::size_t i = 0; i < evidence.size(); ++i) {
      const auto count = static_cast<Index>(evidence[i].time.size());
      logs.emplace_back(*evidence[i].tolerance, weighing.widths[i], whitened.segment(first, count));
      wild.emplace_back(evidence[i].time.size());
      for (const Index sample : weighing.wild)
        if (sample >= first && sample < first + count) {
          wild.back()[static_cast<std::size_t>(sample - first)] = true;
          logs.back().leave_out(sample - first);
        }
      first += count;
    }
  }

  double gain_without(std::size_t log, std::size_t sample) const {
    return wild[log][sample] ? 0 : logs[log].gain_without(static_cast<Index>(sample));
  }
  void leave_out(std::size_t log, std::size_t sample) {
    if (!wild[log][sample]) logs[log].leave_out(static_cast<Index>(sample));
  }
};

bool is_computed(const std::vector<CrankEvidence>& logs, const FaultFit& fit) {
  if (fit.computed.size() != logs.size()) return false;
  for (std::size_t i = 0; i < logs.size(); ++i)
    if (fit.computed[i].size() != logs[i].time.size()) return false;
  return true;
}

}  // namespace

std::vector<SampleInfluence> influences(const std::vector<CrankEvidence>& logs, const FaultFit& first,
                                        const FaultFit& other, std::size_t most) {
  std::vector<SampleInfluence> all;
  if (!is_computed(logs, first) || !is_computed(logs, other)) return all;
  JudgedLogs of_first(logs, first);
  JudgedLogs of_other(logs, other);
  std::vector<std::vector<bool>> left_out;
  for (const CrankEvidence& log : logs) left_out.emplace_back(log.time.size());
  while (all.size() < most) {
    SampleInfluence best;
    for (std::size_t i = 0; i < logs.size(); ++i)
      for (std::size_t k = 0; k < logs[i].time.size(); ++k) {
        if (left_out[i][k]) continue;
        const double weight = of_other.gain_without(i, k) - of_first.gain_without(i, k);
        if (weight > best.weight) best = {i, k, weight};
      }
    if (!(best.weight > 0)) break;
    left_out[best.log][best.sample] = true;
    of_first.leave_out(best.log, best.sample);
    of_other.leave_out(best.log, best.sample);
    all.push_back(best);
  }
  return all;
}

bool hangs_on_few(double difference, const std::vector<SampleInfluence>& speaks) {
  const double told_apart = std::log(look_alike_factor);
  double left = difference;
  for (std::size_t i = 0; i < speaks.size() && i < few_samples - 1; ++i) left -= speaks[i].weight;
  return difference >= told_apart && left < told_apart;
}

double without_spoilt(double difference, const std::vector<SampleInfluence>& speaks) {
  for (std::size_t i = 0; i < speaks.size() && i < spoilt_samples; ++i) difference -= speaks[i].weight;
  return difference;
}

}  // namespace railseep

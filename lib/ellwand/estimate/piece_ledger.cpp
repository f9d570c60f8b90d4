#include "ellwand/estimate/piece_model.hpp"

#include <cmath>
#include <variant>

#include "ellwand/estimate/piece_warp.hpp"

namespace ellwand::estimate {

namespace {

using technique::Counting;
using technique::Entries;
using technique::Lie;
using technique::Portion;

}  // namespace

/// What of a yarn is spoilt when it is unpicked: of spun yarn, which is laid again, the tails of
/// its lengths; of roving, which falls apart, all.
bool PieceModel::is_unpicked(const Portion& portion, std::size_t yarn) const {
  const bool is_tail = portion == Portion::Tails || portion == Portion::HalfLength;
  return is_tail || yarns_[yarn]->kind == yarn::Kind::Roving;
}

void PieceModel::add_allowances(std::vector<LedgerLine>& lines) const {
  std::vector<Length<>> used(yarns_.size());
  std::vector<Length<>> unpicked(yarns_.size());
  for (const LedgerLine& line : lines) {
    if (line.band == 0) continue;
    used[line.yarn] += line.length;
    if (is_unpicked(line.portion, line.yarn)) unpicked[line.yarn] += line.length;
  }
  const auto add = [&](std::size_t yarn, technique::Cause cause, const Length<>& length) {
    if (length.si() > 0.0) lines.push_back({0, yarn, cause, Portion::Allowance, length});
  };
  const double sampled = sampling_share();
  for (std::size_t y = 0; y < yarns_.size(); ++y) {
    add(y, technique::Cause::Unpicking, allowances_.unpicking * unpicked[y]);
    add(y, technique::Cause::Sampling, sampled * used[y]);
  }
  lines.insert(lines.end(), warp_allowances_.begin(), warp_allowances_.end());
}

/// Those of the bands and of the cord.
std::vector<bool> PieceModel::waste_yarns() const {
  std::vector<bool> all(yarns_.size(), false);
  for (const BandYarn& one : band_yarns_) all[one.yarn] = true;
  if (cord_) all[cord_yarn_.yarn] = true;
  return all;
}

namespace {

void add_entries(int band, std::size_t yarn, const Entries<double>& entries,
                 std::vector<LedgerLine>& lines) {
  for (const auto& entry : entries) {
    lines.push_back({band, yarn, entry.cause, entry.portion, entry.yarn});
  }
}

void add_waste(std::size_t yarn, Portion portion, const Length<>& length,
               std::vector<LedgerLine>& lines) {
  if (length.si() > 0.0) lines.push_back({0, yarn, technique::Cause::Waste, portion, length});
}

}  // namespace

bool PieceModel::takes_beam_warp(const BandYarn& one) const { return is_beam() && one.rules_warp; }

/// The band's own yarn, and of a beam warp what the band takes of it.
void PieceModel::add_band(const BandYarn& one, const Worked<double>& worked, const Lie<double>& lie,
                          std::vector<LedgerLine>& lines) const {
  add_entries(static_cast<int>(one.band) + 1, one.yarn, worked.entries, lines);
  add_warp_through(one, worked, lie, lines);
}

void PieceModel::add_warp_through(const BandYarn& one, const Worked<double>& worked,
                                  const Lie<double>& lie, std::vector<LedgerLine>& lines) const {
  if (!takes_beam_warp(one)) return;
  const auto end = std::visit(EndThrough<double>{worked, lie, one.part, piece_.warp.ends},
                              piece_.bands[one.band].work);
  add_entries(0, warp_yarn(), technique::beam_warp_band_yarn(beam_warp_ends(piece_), end), lines);
}

Length<> PieceModel::warp_through(const std::vector<BandYarn>& bands,
                                  const std::vector<Worked<double>>& planned) const {
  std::vector<LedgerLine> lines;
  for (std::size_t i = 0; i < bands.size(); ++i) {
    add_warp_through(bands[i], planned[i], bands[i].medians, lines);
  }
  Length<> all;
  for (const LedgerLine& line : lines) all += line.length;
  return all;
}

void PieceModel::add_cord(const std::vector<double>& deviations,
                          std::vector<LedgerLine>& lines) const {
  if (!cord_) return;
  const Lie<double> lie = lie_with(cord_yarn_.medians, local_factors(cord_yarn_, deviations));
  add_entries(0, cord_yarn_.yarn, technique::cord_yarn(*cord_, lie), lines);
}

/// What is not of one band: the cord, the rest of the warp, and waste on all that was worked.
void PieceModel::add_warp_and_waste(const std::vector<double>& deviations,
                                    std::vector<LedgerLine>& lines) const {
  if (is_beam()) {
    add_entries(0, warp_yarn(), technique::beam_warp_rest_yarn(beam_warp(piece_)), lines);
  } else {
    const double stretch = stretch_ + deviations[index_of(Shared::Stretch)];
    add_entries(0, warp_yarn(),
                technique::spanned_warp_yarn(spanned_warp(piece_, tie_), warp_spacing_, stretch),
                lines);
  }
  add_cord(deviations, lines);
  std::vector<Length<>> used(yarns_.size());
  for (const LedgerLine& line : lines) {
    if (is_worked(line.band, line.portion)) used[line.yarn] += line.length;
  }
  const double share = waste_share_ * std::exp(deviations[index_of(Shared::WasteShare)]);
  const double fixed = std::exp(deviations[index_of(Shared::WastePerColour)]);
  const std::vector<bool> wasted = waste_yarns();
  for (std::size_t y = 0; y < yarns_.size(); ++y) {
    if (!wasted[y]) continue;
    add_waste(y, Portion::WasteShare, share * used[y], lines);
    add_waste(y, Portion::WastePerColour, fixed * waste_per_colour_, lines);
  }
  add_allowances(lines);
}

std::vector<LedgerLine> PieceModel::plan() const {
  std::vector<LedgerLine> lines;
  lines.reserve(8 * (band_yarns_.size() + yarns_.size()));
  for (std::size_t i = 0; i < band_yarns_.size(); ++i) {
    add_band(band_yarns_[i], planned_[i], band_yarns_[i].medians, lines);
  }
  for (std::size_t i = 0; i < lent_yarns_.size(); ++i) {
    add_warp_through(lent_yarns_[i], lent_planned_[i], lent_yarns_[i].medians, lines);
  }
  add_warp_and_waste(std::vector<double>(coefficients_.size(), 0.0), lines);
  return lines;
}

std::vector<LedgerLine> PieceModel::ledger(const std::vector<double>& deviations,
                                           Counting counting) const {
  std::vector<LedgerLine> lines;
  lines.reserve(8 * (band_yarns_.size() + yarns_.size()));
  const auto at = [&](const BandYarn& one) {
    Lie<double> lie = lie_with(one.medians, local_factors(one, deviations));
    lie.counting = counting;
    return lie;
  };
  for (const BandYarn& one : band_yarns_) {
    const Lie<double> lie = at(one);
    add_band(one, work_band(piece_.bands[one.band].work, one, lie), lie, lines);
  }
  for (const BandYarn& one : lent_yarns_) {
    const Lie<double> lie = at(one);
    add_warp_through(one, work_band(piece_.bands[one.band].work, one, lie), lie, lines);
  }
  add_warp_and_waste(deviations, lines);
  return lines;
}

}  // namespace ellwand::estimate

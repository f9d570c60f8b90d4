#include "ellwand/decide/kit_trial.hpp"

#include "ellwand/numeric/draws.hpp"

#include <algorithm>
#include <cmath>

namespace ellwand::decide {

using estimate::index_of;
using estimate::PieceModel;
using estimate::Shared;

namespace {

/// Draws what a buyer does, one after another.
class BuyerDraws {
 public:
  BuyerDraws(const KitTrial& trial, std::uint64_t seed)
      : trial_(trial),
        draws_(seed),
        scores_(trial.model.coefficients().size(), 0.0),
        root_(root_of(trial.model.coefficients())) {
    const PieceModel& model = trial.model;
    own_ = estimate::coefficient_ids(model.piece(), model.all_yarns(), model.warp_yarn());
  }

  /// What all pupils of a class have in common.
  void next_class() {
    for (double& score : scores_) score = draws_.next();
  }

  /// One pupil more: deviations of all coefficients.
  std::vector<double> next_buyer() {
    for (std::size_t c = 0; c < scores_.size(); ++c) {
      if (is_own(c)) scores_[c] = draws_.next();
    }
    const estimate::Coefficients& all = trial_.model.coefficients();
    std::vector<double> deviations(scores_.size());
    for (std::size_t c = 0; c < scores_.size(); ++c) {
      deviations[c] = all.spreads[c] * correlated_score(c);
    }
    deviations[index_of(Shared::Weaver)] = way();
    return deviations;
  }

  double strays(double log_sd) { return log_sd > 0.0 ? std::exp(log_sd * draws_.next()) : 1.0; }

 private:
  static std::vector<double> root_of(const estimate::Coefficients& all) {
    if (all.correlation.empty()) return {};
    return estimate::triangular_root(all.correlation, all.size());
  }

  bool is_own(std::size_t c) const {
    return c == index_of(Shared::PieceTake) || c == index_of(Shared::BeatPiece) || own_[c].empty();
  }

  double correlated_score(std::size_t c) const {
    if (root_.empty()) return scores_[c];
    double sum = 0.0;
    for (std::size_t k = 0; k <= c; ++k) sum += root_[c * scores_.size() + k] * scores_[k];
    return sum;
  }

  /// How she differs from other beginners.
  double way() {
    const Buyers& buyers = trial_.buyers;
    if (buyers.met == 0) return buyers.spread * draws_.next();
    const double n = buyers.met;
    return buyers.spread * std::sqrt(1.0 + 1.0 / n) * draws_.next_student(buyers.met - 1);
  }

  const KitTrial& trial_;
  numeric::NormalDraws draws_;
  std::vector<double> scores_;
  std::vector<double> root_;
  std::vector<std::string> own_;
};

/// Adds what a buyer takes of each yarn, g or m.
void add_needs(const KitTrial& trial, const std::vector<double>& deviations,
               std::vector<double>& needs) {
  const PieceModel& model = trial.model;
  std::vector<double> per_metre(needs.size(), 1.0);
  for (std::size_t y = 0; y < needs.size(); ++y) {
    if (!trial.packs[y].is_mass) continue;
    per_metre[y] =
        model.grams_per_metre(y) * std::exp(deviations[index_of(estimate::OfYarn::Lot, y)]);
  }
  for (const estimate::LedgerLine& line : model.ledger(deviations, technique::Counting::Whole)) {
    needs[line.yarn] += per_metre[line.yarn] * in_metres(line.length);
  }
}

}  // namespace

Tried try_on_buyers(const KitTrial& trial, int draws, std::uint64_t seed) {
  BuyerDraws buyers(trial, seed);
  Tried tried;
  tried.drawn = std::max(1, draws / trial.pupils);
  tried.short_of.assign(trial.packs.size(), 0);
  for (int i = 0; i < tried.drawn; ++i) {
    std::vector<double> needs(trial.packs.size(), 0.0);
    buyers.next_class();
    for (int k = 0; k < trial.pupils; ++k) add_needs(trial, buyers.next_buyer(), needs);
    bool suffices = true;
    for (std::size_t y = 0; y < needs.size(); ++y) {
      const KitPack& pack = trial.packs[y];
      const bool is_short = needs[y] > pack.amount * buyers.strays(pack.winding_error);
      if (is_short) ++tried.short_of[y];
      suffices = suffices && !is_short;
    }
    if (suffices) ++tried.finished;
  }
  return tried;
}

}  // namespace ellwand::decide

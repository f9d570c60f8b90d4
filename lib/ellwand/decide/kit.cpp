#include "ellwand/decide/kit.hpp"

#include "ellwand/decide/kit_trial.hpp"
#include "ellwand/decide/put_ups.hpp"
#include "ellwand/estimate/cuts.hpp"
#include "ellwand/estimate/piece_totals.hpp"
#include "ellwand/numeric/normal.hpp"
#include "ellwand/numeric/normal_joint.hpp"
#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::decide {

using estimate::index_of;
using estimate::PieceModel;

double common_score(const estimate::JointAmounts& joint, double finish) {
  if (joint.amounts.size() < 2) return numeric::normal_quantile(finish);
  return numeric::joint_quantile(joint.correlation, finish);
}

namespace {

double rounded_up(double amount, double step) { return step * std::ceil(amount / step - kHair); }
}  // namespace

int whole_kits(double stock, double pack, double lost) {
  require_range("share lost in rewinding", lost, 0.0, 0.99, "kits");
  if (!(pack > 0.0)) throw OutOfRange("a kit without yarn");
  return static_cast<int>(std::min(1e6, std::floor(stock * (1.0 - lost) / pack + kHair)));
}

PutUpsForKits put_ups_for(int kits, double pack, double holds, double lost) {
  const double whole = std::floor(pack / holds + kHair);
  require_range("put-ups of one yarn for all kits", (whole + 1.0) * std::max(1, kits), 0.0, 1e9,
                "kits");
  PutUpsForKits all;
  all.of_one = std::max(whole_kits(holds, pack, lost), pack <= holds * (1.0 + kHair) ? 1 : 0);
  all.put_ups = kits * static_cast<int>(whole);
  all.each_takes = whole * holds;
  const double rest = pack - whole * holds;
  if (rest > kHair * holds) {
    const int rests = std::max(1, whole_kits(holds, rest, lost));
    all.put_ups += (kits + rests - 1) / rests;
    all.each_takes += std::min(holds, rest / (1.0 - lost));
  }
  all.left = all.put_ups * holds - kits * all.each_takes;
  return all;
}

namespace {

/// A policy with everything settled.
struct SettledKit {
  double finish;
  double winding;
  double lost;
  double ball_step_g;
  double length_step_m;
};

SettledKit settled_kit(const KitQuestion& question) {
  const KitPolicy& policy = question.policy;
  const estimate::StartingValues& values = question.workshop.values;
  const bool is_class = question.pupils > 0;  // its yarn stays on the balls it came on
  const auto or_starting = [&](const auto& stated, const char* row) {
    return stated ? *stated : values.median(row);
  };
  return {or_starting(policy.finish, "kit.finish"),
          is_class ? 0.0 : or_starting(policy.winding_error, "kit.winding"),
          is_class ? 0.0 : or_starting(policy.lost, "kit.lost"),
          policy.ball_step ? in_grams(*policy.ball_step) : values.median("kit.ball_step"),
          policy.length_step ? in_metres(*policy.length_step) : values.median("kit.length_step")};
}

/// What allowed_spread takes at most.
constexpr double kMostFinish = 0.9999;

/// One question being answered.
class Packing {
 public:
  explicit Packing(const KitQuestion& question);
  Kits packed(int draws) const;

 private:
  estimate::Workshop workshop() const;
  PieceModel model_of(const std::string& buyer, double finish_each) const;
  double finish_of_each() const;
  PackedAs packed_as(const PieceModel& model, std::size_t yarn) const;
  double winding_error(const PieceModel& model, std::size_t yarn) const;
  estimate::Sum::Yarn label(const PieceModel& model, std::size_t yarn) const;
  double beyond(std::size_t yarn) const;
  estimate::JointAmounts of_one(const PieceModel& model) const;
  estimate::JointAmounts of_class() const;
  KitYarn yarn_of(std::size_t yarn, const estimate::JointAmounts& single,
                  const estimate::JointAmounts& all, const Kits& kits) const;
  bool lots_may_mix(std::size_t yarn) const;
  void take_from_shelf(std::size_t yarn, KitYarn& one) const;
  void buy(std::size_t yarn, KitYarn& one) const;
  void add_costs(Kits& kits) const;

  const KitQuestion& question_;
  SettledKit settled_;
  Buyers buyers_;
  std::optional<estimate::Learned> learned_;
  double finish_each_;  ///< share of the buyers whom one yarn alone suffices
  PieceModel model_;
  estimate::PieceEstimate estimate_;
};

/// Cuts in whole steps of her units; no chances.
estimate::Options plain_options(LengthShown shown) {
  estimate::Options options;
  options.chances = false;
  options.cut_step = estimate::usual_cut_step(shown);
  return options;
}

std::optional<estimate::Learned> learned_of(const KitQuestion& question) {
  const estimate::Learned* learned = question.workshop.learned;
  if (learned == nullptr) return std::nullopt;
  return of_another_hand(*learned, question.workshop.values);
}

Packing::Packing(const KitQuestion& question)
    : question_(question),
      settled_(settled_kit(question)),
      buyers_(buyers_of(question.policy.beginners_spread, question.policy.beginners_met,
                        question.workshop.learned, question.workshop.values)),
      learned_(learned_of(question)),
      finish_each_(finish_of_each()),
      model_(model_of("(buyer 1)", finish_each_)),
      estimate_(estimate::estimate(model_, {}, plain_options(question.workshop.shown))) {
  require_range("kits", question.kits, 1.0, kMostKits, "packing");
  require_range("pupils", question.pupils, 0.0, kMostPupils, "a class");
}

estimate::Workshop Packing::workshop() const {
  estimate::Workshop theirs = question_.workshop;
  theirs.learned = learned_ ? &*learned_ : nullptr;
  return theirs;
}

/// With the spread between buyers that is allowed for where one yarn alone suffices so many.
PieceModel Packing::model_of(const std::string& buyer, double finish_each) const {
  piece::Piece piece = woven_by(question_.piece, buyer);
  const PieceModel plain(piece, workshop());
  // The loom is set up as for any beginner: only the yarn is reckoned with a wider spread.
  for (auto* knots : {&piece.finish.bottom, &piece.finish.top}) {
    if (*knots) (*knots)->room = plain.room_to_tie(**knots);
  }
  estimate::Coefficients coefficients = plain.coefficients();
  coefficients.spreads[index_of(estimate::Shared::Weaver)] =
      allowed_spread(buyers_, finish_each, question_.sure);
  return {piece, workshop(), coefficients};
}

PackedAs Packing::packed_as(const PieceModel& model, std::size_t yarn) const {
  const auto found = question_.policy.packed.find(model.yarns()[yarn]->id);
  return found == question_.policy.packed.end() ? question_.policy.otherwise_packed : found->second;
}

/// A length is run off as a length is measured.
double Packing::winding_error(const PieceModel& model, std::size_t yarn) const {
  if (question_.pupils > 0) return 0.0;
  return packed_as(model, yarn) == PackedAs::Ball
             ? settled_.winding
             : question_.workshop.values.median("error.length");
}

estimate::Sum::Yarn Packing::label(const PieceModel& model, std::size_t yarn) const {
  const std::size_t lot = index_of(estimate::OfYarn::Lot, yarn);
  if (packed_as(model, yarn) == PackedAs::Length) return {1.0, lot, 0.0};
  return {model.grams_per_metre(yarn), lot, model.coefficients().spreads[lot]};
}

/// What one piece takes in whole cuts and to spare, g or m.
double Packing::beyond(std::size_t yarn) const {
  const estimate::YarnEstimate& one = estimate_.yarns[yarn];
  return (one.cut_rounding_m + one.spare_m) * label(model_, yarn).grams_per_metre;
}

estimate::JointAmounts Packing::of_one(const PieceModel& model) const {
  estimate::Parts parts = model.parts(estimate::Line::OverTheDoubt);
  std::vector<estimate::Sum::Yarn> labels;
  for (std::size_t y = 0; y < model.yarns().size(); ++y) {
    labels.push_back(label(model, y));
    parts.add_cause(y, winding_error(model, y));
  }
  return joint_amounts(labels, parts);
}

/// Few beginners met widen their spread by more the further out the score lies, and of several
/// yarns each has to suffice for more buyers than are to finish: both are found together.
double Packing::finish_of_each() const {
  double share = settled_.finish;
  if (buyers_.met == 0 || question_.sure) return share;
  constexpr int kMostTrials = 8;
  constexpr double kSettled = 1e-4;  // of the share, a hundredth of what a trial of buyers shows
  for (int i = 0; i < kMostTrials; ++i) {
    const double score = common_score(of_one(model_of("(buyer 1)", share)), settled_.finish);
    const double next = std::clamp(numeric::normal_cdf(score), settled_.finish, kMostFinish);
    if (std::abs(next - share) < kSettled) break;
    share = next;
  }
  return share;
}

/// Pupils have the hand's doubt, the yarns' and the lots' in common; each has her own way and her
/// own piece.
estimate::JointAmounts Packing::of_class() const {
  std::vector<PieceModel> models;
  models.reserve(static_cast<std::size_t>(question_.pupils));
  for (int k = 1; k <= question_.pupils; ++k) {
    models.push_back(model_of(fmt::format("(buyer {})", k), finish_each_));
  }
  std::vector<estimate::Estimated> pieces;
  for (const PieceModel& model : models) pieces.push_back({&model, &estimate_});
  const estimate::Together all = estimate::together(pieces, workshop().learned);
  std::vector<estimate::Sum::Yarn> labels;
  for (std::size_t y = 0; y < all.yarns.size(); ++y) {
    estimate::Sum::Yarn one = all.yarns[y].label;
    if (packed_as(model_, y) == PackedAs::Length) one = {1.0, one.lot, 0.0};
    labels.push_back(one);
  }
  return joint_amounts(labels, all.parts);
}

/// What kits of several lots leave is in the last of them.
void leave_last_lots(const std::vector<estimate::StockLot>& shelf, int made, KitYarn& one) {
  double left_g = one.on_shelf_g - made * one.takes_g;
  for (std::size_t i = shelf.size(); i-- > 0;) {
    one.lots[i].left_g = std::min(in_grams(shelf[i].mass), left_g);
    left_g -= one.lots[i].left_g;
  }
}

/// An area of colour is of one lot; a warp that other yarns cover, and a cord, are none.
bool Packing::lots_may_mix(std::size_t yarn) const {
  if (model_.piece().lots_may_mix) return true;
  const auto& yarns = model_.band_yarns();
  const bool in_band = std::any_of(yarns.begin(), yarns.end(),
                                   [&](const estimate::BandYarn& one) { return one.yarn == yarn; });
  if (in_band) return false;
  const auto& bands = model_.piece().bands;
  const bool warp_is_seen = std::any_of(bands.begin(), bands.end(), [](const piece::Band& band) {
    const auto* woven = std::get_if<technique::Woven>(&band.work);
    return woven != nullptr && woven->beat.face == cloth::Face::Warp;
  });
  return !warp_is_seen || model_.yarns()[yarn]->id != model_.piece().warp.yarn;
}

/// Kits lot after lot, until those asked for are made; a lot's rest goes on into the next where
/// lots may mix.
void Packing::take_from_shelf(std::size_t yarn, KitYarn& one) const {
  one.may_mix = lots_may_mix(yarn);
  const auto stock = question_.shelf.find(model_.yarns()[yarn]->id);
  if (stock == question_.shelf.end()) return;
  one.on_shelf_g = in_grams(stock->second.mass);
  int wanted = question_.kits;
  double begun_g = 0.0;  // of a kit that the lots before did not complete
  for (const estimate::StockLot& lot : stock->second.each) {
    const double there_g = begun_g + in_grams(lot.mass);
    const int makes = whole_kits(there_g, one.pack_g, settled_.lost);
    const int made = std::min(makes, wanted);
    one.from_shelf += makes;
    wanted -= made;
    one.lots.push_back({lot.lot, made, there_g - made * one.takes_g});
    if (one.may_mix) begun_g = there_g - makes * one.takes_g;
  }
  if (one.may_mix) leave_last_lots(stock->second.each, question_.kits - wanted, one);
}

/// Put-ups for the kits that the shelf does not make, each of one lot.
void Packing::buy(std::size_t yarn, KitYarn& one) const {
  const yarn::Yarn& its = *model_.yarns()[yarn];
  const double grams_per_metre = model_.grams_per_metre(yarn);
  const int missing = std::max(0, question_.kits - one.from_shelf);
  double takes_g = one.takes_g;
  if (const auto& put_up = its.put_up) {
    const double holds_g = put_up->net_mass ? in_grams(*put_up->net_mass)
                                            : in_metres(*put_up->length) * grams_per_metre;
    const PutUpsForKits bought = put_ups_for(missing, one.pack_g, holds_g, settled_.lost);
    one.per_put_up = bought.of_one;
    one.put_ups = bought.put_ups;
    one.left_of_bought_g = bought.left;
    takes_g = bought.each_takes;
  }
  const auto price = question_.prices.find(its.id);
  const yarn::PutUp* const amount = priced_amount(its, question_.priced_by);
  if (amount != nullptr && price != question_.prices.end()) {
    one.cost = price->second.times(put_ups_in(*amount, takes_g / grams_per_metre, takes_g));
  }
}

KitYarn Packing::yarn_of(std::size_t yarn, const estimate::JointAmounts& single,
                         const estimate::JointAmounts& all, const Kits& kits) const {
  const int pieces = std::max(1, question_.pupils);
  KitYarn one;
  one.yarn = model_.yarns()[yarn]->id;
  one.packed_as = packed_as(model_, yarn);
  const bool is_ball = one.packed_as == PackedAs::Ball;
  const double step = is_ball ? settled_.ball_step_g : settled_.length_step_m;
  const double metre_g = model_.grams_per_metre(yarn);
  one.need = is_ball ? estimate_.yarns[yarn].mass_g : estimate_.yarns[yarn].length_m;
  one.enough = all.amounts[yarn].at_score(kits.score) + pieces * beyond(yarn);
  one.pack = rounded_up(one.enough, step);
  one.pack_g = is_ball ? one.pack : one.pack * metre_g;
  one.pack_m = is_ball ? one.pack / metre_g : one.pack;
  one.takes_g = one.pack_g / (1.0 - settled_.lost);
  if (question_.pupils > 0) {
    const double score = common_score(single, settled_.finish);
    one.singly = rounded_up(single.amounts[yarn].at_score(score) + beyond(yarn), step);
  }
  take_from_shelf(yarn, one);
  buy(yarn, one);
  return one;
}

void Packing::add_costs(Kits& kits) const {
  const int shares = std::max(1, question_.pupils);
  KitCost cost;
  for (const KitYarn& one : kits.yarns) {
    if (one.cost) {
      cost.yarn += one.cost->times(Ratio{1, shares});
    } else {
      kits.without_price.push_back(one.yarn);
    }
  }
  for (const Consumable& one : kits.besides) cost.besides += one.cost;
  if (kits.minutes > 0.0 && question_.hourly_rate) {
    cost.labour = question_.hourly_rate->times(kits.minutes / 60.0);
  }
  cost.all = cost.yarn + cost.besides + cost.labour;
  if (kits.without_price.empty()) kits.cost = cost;
}

Kits Packing::packed(int draws) const {
  Kits kits;
  kits.piece = estimate_.piece;
  kits.name = estimate_.name;
  kits.kits = question_.kits;
  kits.pupils = question_.pupils;
  kits.finish = settled_.finish;
  kits.sure = question_.sure;
  kits.buyers = buyers_;
  kits.besides = question_.policy.besides;
  kits.minutes = question_.policy.minutes;
  kits.cuts = estimate_.cuts;
  kits.lent = estimate_.lent;
  const estimate::JointAmounts single = of_one(model_);
  const estimate::JointAmounts all = question_.pupils > 0 ? of_class() : single;
  kits.score = common_score(all, settled_.finish);
  kits.from_shelf = kMostKits;
  KitTrial trial{model_, buyers_, std::max(1, question_.pupils), {}};
  for (std::size_t y = 0; y < model_.yarns().size(); ++y) {
    kits.yarns.push_back(yarn_of(y, single, all, kits));
    const KitYarn& one = kits.yarns.back();
    kits.from_shelf = std::min(kits.from_shelf, one.from_shelf);
    trial.packs.push_back({one.packed_as == PackedAs::Ball, one.pack - trial.pupils * beyond(y),
                           winding_error(model_, y)});
  }
  add_costs(kits);
  if (draws > 0) kits.tried = try_on_buyers(trial, draws);
  return kits;
}

}  // namespace

Kits pack_kits(const KitQuestion& question, int draws) { return Packing(question).packed(draws); }

}  // namespace ellwand::decide

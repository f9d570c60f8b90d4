#include "ellwand/decide/swap.hpp"

#include "ellwand/decide/price.hpp"
#include "ellwand/estimate/room_and_cover.hpp"
#include "ellwand/estimate/sizes.hpp"
#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::decide {

namespace {

using estimate::BandYarn;
using estimate::PieceModel;

/// One place of a model, of a band that stays or one that comes out again.
struct Found {
  const BandYarn* yarn = nullptr;
  const estimate::Worked<double>* worked = nullptr;
};

Found found(const PieceModel& model, const YarnPlace& place) {
  const auto within = [&](const auto& yarns, const auto& planned) -> Found {
    for (std::size_t i = 0; i < yarns.size(); ++i) {
      if (yarns[i].band == place.band && yarns[i].part == place.part) {
        return {&yarns[i], &planned[i]};
      }
    }
    return {};
  };
  const Found staying = within(model.band_yarns(), model.planned());
  return staying.yarn != nullptr ? staying : within(model.lent_yarns(), model.lent_planned());
}

std::vector<std::string> names_of(const PieceModel& model) {
  return estimate::coefficient_ids(model.piece(), model.all_yarns(), model.warp_yarn());
}

double chance_too_thick(const PieceModel& model, const BandYarn& one) {
  return estimate::chance_below(estimate::log_room(model, one), 0.0, model.coefficients());
}

/// How far two are from each other: 0 where they are alike, towards 1 where one is far larger.
double apart(double ratio) { return 1.0 - std::min(ratio, 1.0 / ratio); }

/// "between ends 4 mm apart", or what else it has no room in.
std::string room_told(const PieceModel& model, const YarnPlace& place) {
  const bool in_knots = place.is_bundle;
  return in_knots
             ? "for the ends its knots stand on"
             : fmt::format("to lie round between ends {} apart", thread_size(model.warp_spacing()));
}

std::string place_told(const PlaceChange& change) {
  if (change.before.where != Where::Band) return change.work;
  return fmt::format("band {}", change.before.band + 1);
}

std::string strands_told(const technique::Strand& strand) {
  if (strand.split_into > 1) return fmt::format("split into {}", strand.split_into);
  return strand.held == 1 ? "one strand" : fmt::format("{} strands held together", strand.held);
}

/// Of ends.
std::string too_thick_for_wefts(const PlaceChange& change, const PieceModel& model) {
  return in_unit(fmt::format("warp: between ends {} apart, each {} of it, a weft has to be pressed "
                             "flat that lies round now",
                             thread_size(model.warp_spacing()), strands_told(change.after.strand)),
                 model.shown());
}

std::string reason_of(const BadInput& bad) {
  std::string all;
  for (const Complaint& complaint : bad.complaints()) {
    all += (all.empty() ? "" : "; ") + complaint.text;
  }
  return all;
}

/// Whether a part of a work is the weft of plain cloth.
struct IsWovenCloth {
  std::size_t part;

  bool operator()(const technique::Woven&) const { return true; }
  bool operator()(const technique::KnottedPile&) const {
    return part != technique::KnottedPile::kKnots;
  }
  template <class Other>
  bool operator()(const Other&) const {
    return false;
  }
};

/// Whether the ends are seen between rows of a weft: it lies round, and further apart than it is
/// thick.
bool lets_ends_show(const PieceModel& model, const BandYarn& one) {
  if (!std::visit(IsWovenCloth{one.part}, model.piece().bands[one.band].work)) return false;
  const auto cover = estimate::log_cover(model, one);
  return cover && cover->value < 0.0 && estimate::log_room(model, one).value > 0.0;
}

/// Whether the ends are seen in the finished piece: between rows, or bare.
bool warp_shows(const PieceModel& model) {
  const auto& bands = model.piece().bands;
  const auto& yarns = model.band_yarns();
  const auto is_bare = [](const piece::Band& band) {
    return std::holds_alternative<technique::Gap>(band.work);
  };
  return std::any_of(bands.begin(), bands.end(), is_bare) ||
         std::any_of(yarns.begin(), yarns.end(),
                     [&](const BandYarn& one) { return lets_ends_show(model, one); });
}

/// Whether one strand more than it may have would come nearer to the thickness it stands in for.
bool wants_more_strands(const PlaceChange& change, int most) {
  const technique::Strand& strand = change.after.strand;
  if (strand.split_into > 1 || strand.held < most) return false;
  const auto thickness = [&](int held) {
    return held_thickness(millimetres(1.0), {strand.yarn, held, 1}, change.after.is_bundle);
  };
  const double thicker = change.thickness * (thickness(strand.held + 1) / thickness(strand.held));
  return std::abs(std::log(thicker)) < std::abs(std::log(change.thickness)) - 1e-9;
}

/// Of what the shelf has of a yarn, how much; 0 where it says nothing.
double on_shelf_g(const SwapRow& row) { return row.amounts().on_shelf_g.value_or(0.0); }

/// Of that, what serves: what goes to one place stays in one lot, unless lots may mix.
double serving_g(const SwapRow& row, const SwapQuestion& question, double need_g) {
  const auto stock = question.shelf.find(row.yarn);
  const bool is_of_one_lot = row.places.size() == 1 && !question.piece.lots_may_mix;
  if (stock == question.shelf.end() || stock->second.lots == 0 || !is_of_one_lot) {
    return on_shelf_g(row);
  }
  return need_g <= in_grams(stock->second.largest_lot) ? on_shelf_g(row) : 0.0;
}

/// Put-ups for what the shelf lacks of the set-aside, whole cuts and spares.
int put_ups_to_buy(const yarn::Yarn& yarn, const SwapRow& row, const SwapQuestion& question) {
  const estimate::YarnEstimate& amounts = row.amounts();
  if (!(amounts.set_aside_m > 0.0)) return 0;
  const double need_m = amounts.set_aside_m + amounts.cut_rounding_m + amounts.spare_m;
  const double metre_g = amounts.set_aside_g / amounts.set_aside_m;
  const double need_g = need_m * metre_g;
  const double lack_g = need_g - serving_g(row, question, need_g);
  if (lack_g <= 1e-9) return 0;
  const double put_ups = put_ups_in(*yarn.put_up, lack_g / metre_g, lack_g);
  require_range("put-ups of one yarn", put_ups, 0.0, 1e9, "another yarn in its place");
  return static_cast<int>(std::ceil(put_ups - 1e-9));
}

/// Warnings that the original does not have, of one code and band.
std::vector<estimate::Warning> new_warnings(const estimate::PieceEstimate& original,
                                            const estimate::PieceEstimate& estimate) {
  std::vector<estimate::Warning> fresh;
  for (const estimate::Warning& warning : estimate.warnings) {
    const bool is_old = std::any_of(original.warnings.begin(), original.warnings.end(),
                                    [&](const estimate::Warning& one) {
                                      return one.code == warning.code && one.band == warning.band;
                                    });
    if (!is_old) fresh.push_back(warning);
  }
  return fresh;
}

}  // namespace

/// A piece rebuilt, as far as it could be.
struct Swap::Trial {
  std::string yarn;
  Rebuilt rebuilt;
  std::unique_ptr<PieceModel> model;  ///< null where it cannot be woven
  std::string refusal;                ///< and why; of picks that stay as stated, why they do
  Picks picks = Picks::ByThickness;
  std::string ends_refusal;  ///< why the ends that keep a stated width cannot be
  std::vector<PlaceChange> places;
};

Swap::Swap(SwapQuestion question)
    : question_(std::move(question)),
      places_(places_of(question_.piece, question_.yarn, question_.within)),
      model_(question_.piece, question_.workshop),
      names_(names_of(model_)),
      warp_shows_(warp_shows(model_)) {
  const bool stays = std::any_of(places_.begin(), places_.end(), [&](const YarnPlace& place) {
    return place.where != Where::Band || !question_.piece.bands[place.band].comes_out;
  });
  if (!stays) {
    throw OutOfRange("'" + question_.yarn +
                     (places_.empty() ? "' is nowhere in what is to be replaced"
                                      : "' is only in rows that come out again, for which any "
                                        "yarn does"));
  }
  original_ = row_of(trial_of(question_.yarn));
}

namespace {
/// Ends, floating selvedges among them, that make the width of a piece at another sett: between the
/// outermost of n there are n - 1 spacings.
/// @param closer  the other sett over the piece's
int ends_as_wide(const piece::Piece& piece, double closer) {
  return 1 + static_cast<int>(std::lround((piece.warp.ends - 1) * closer));
}
}  // namespace

/// The original with the ends that keep its stated width; nothing where it may keep them all, or
/// cannot have those.
/// @param rebuilt  the original with another yarn, its ends as many as they were
std::optional<piece::Piece> Swap::as_wide(const piece::Piece& rebuilt, Trial& trial) const {
  const piece::Warp& warp = question_.piece.warp;
  if (!question_.with_ends || !warp.sett || !rebuilt.warp.sett) return std::nullopt;
  const int ends = ends_as_wide(question_.piece, *rebuilt.warp.sett / *warp.sett);
  if (ends == warp.ends) return std::nullopt;
  const int woven = ends - (warp.floating_selvedges ? 2 : 0);
  try {
    return question_.with_ends({{{Knob::Of::Ends, 0}, static_cast<double>(woven)}});
  } catch (const BadInput& bad) {
    trial.ends_refusal = bad.complaints().front().text;
    return std::nullopt;
  }
}

/// Rebuilds the piece and makes its model, or notes why that cannot be.
void Swap::make(const std::string& yarn, Picks picks, Trial& trial) const {
  const SwapRules& rules = question_.rules;
  trial.refusal.clear();
  trial.ends_refusal.clear();
  trial.picks = picks;
  const auto rebuild = [&](const piece::Piece& piece) {
    trial.rebuilt = rebuilt_with(piece, model_, places_, yarn, question_.workshop, rules.most_held,
                                 rules.keep, picks);
  };
  rebuild(question_.piece);
  if (const auto wide = as_wide(trial.rebuilt.piece, trial)) rebuild(*wide);
  try {
    trial.model = std::make_unique<PieceModel>(trial.rebuilt.piece, question_.workshop);
    if (rules.keep == Keep::Height) {
      keep_heights(model_, *trial.model, trial.rebuilt);
      trial.model = std::make_unique<PieceModel>(trial.rebuilt.piece, question_.workshop);
    }
  } catch (const BadInput& bad) {
    trial.model.reset();
    trial.refusal = reason_of(bad);
  } catch (const OutOfRange& refusal) {
    trial.model.reset();
    trial.refusal = refusal.told(question_.workshop.shown);
  }
}

Swap::Trial Swap::trial_of(const std::string& yarn) const {
  Trial trial;
  trial.yarn = yarn;
  make(yarn, Picks::ByThickness, trial);
  if (!trial.model) {
    const std::string refusal = trial.refusal;
    make(yarn, Picks::AsStated, trial);
    trial.refusal = refusal;
  }
  if (trial.model) compare(trial);
  return trial;
}

void Swap::compare(Trial& trial) const {
  for (std::size_t i = 0; i < places_.size(); ++i) trial.places.push_back(change_at(trial, i));
}

PlaceChange Swap::change_at(const Trial& trial, std::size_t place) const {
  PlaceChange change;
  change.before = places_[place];
  change.after = trial.rebuilt.places[place];
  switch (change.before.where) {
    case Where::Warp:
      compare_in_warp(trial, change);
      break;
    case Where::Band:
      compare_in_band(trial, change);
      break;
    case Where::Cord: {
      change.work = "cord";
      const auto thickness = [](const PieceModel& model, const YarnPlace& cord) {
        return held_thickness(model.strand_diameter(model.cord_yarn().yarn), cord.strand, true);
      };
      change.thickness = thickness(*trial.model, change.after) / thickness(model_, change.before);
      break;
    }
  }
  return change;
}

void Swap::compare_in_band(const Trial& trial, PlaceChange& change) const {
  const PieceModel& model = *trial.model;
  const Found before = found(model_, change.before);
  const Found after = found(model, change.after);
  change.work = technique::name_of(question_.piece.bands[change.before.band].work);
  change.thickness = held_thickness(model.strand_diameter(after.yarn->yarn), change.after.strand,
                                    change.after.is_bundle) /
                     held_thickness(model_.strand_diameter(before.yarn->yarn), change.before.strand,
                                    change.before.is_bundle);
  change.too_thick = chance_too_thick(model, *after.yarn);
  change.rows_before = static_cast<int>(std::lround(before.worked->rows));
  change.rows_after = static_cast<int>(std::lround(after.worked->rows));
  change.height_before = model_.band_heights()[change.before.band];
  change.height_after = model.band_heights()[change.after.band];
  const auto old_cover = estimate::log_cover(model_, *before.yarn);
  const auto cover = estimate::log_cover(model, *after.yarn);
  if (!old_cover || !cover) return;
  change.cover = std::exp(cover->value - old_cover->value);
  change.too_thin = estimate::chance_below(
      *cover, model.coefficients(), names_of(model), *old_cover, model_.coefficients(), names_,
      std::log(question_.rules.least_cover), question_.workshop.learned);
}

/// Other ends leave every weft another room; one that was pressed flat already tells nothing.
void Swap::compare_in_warp(const Trial& trial, PlaceChange& change) const {
  const PieceModel& model = *trial.model;
  change.work = "warp";
  change.thickness = model.end_diameter() / model_.end_diameter();
  for (std::size_t i = 0; i < model.band_yarns().size(); ++i) {
    if (chance_too_thick(model_, model_.band_yarns()[i]) > 0.5) continue;
    change.too_thick = std::max(change.too_thick, chance_too_thick(model, model.band_yarns()[i]));
  }
  if (!warp_shows_) return;
  const auto old_cover = estimate::log_warp_cover(model_);
  const auto cover = estimate::log_warp_cover(model);
  change.cover = std::exp(cover.value - old_cover.value);
  change.too_thin = estimate::chance_below(
      cover, model.coefficients(), names_of(model), old_cover, model_.coefficients(), names_,
      std::log(question_.rules.least_cover), question_.workshop.learned);
}

/// Nothing where it can serve.
/// @param thin_ones  those that cover too little for sure are wanted too
std::optional<std::string> Swap::why_not(const Trial& trial, bool thin_ones) const {
  const yarn::Yarn& yarn = question_.workshop.yarns.at(trial.yarn);
  for (const YarnPlace& place : places_) {
    if (yarn.kind == yarn::Kind::Roving && place.where != Where::Band) {
      return fmt::format("unspun roving parts when it is pulled, so it is no {}",
                         place.where == Where::Warp ? "warp" : "cord");
    }
  }
  if (!trial.model) return trial.refusal;
  const PieceModel& model = *trial.model;
  const double most = question_.rules.most_chance;
  for (std::size_t i = 0; i < trial.places.size(); ++i) {
    const PlaceChange& change = trial.places[i];
    if (change.too_thick >= most && original_.places[i].too_thick < most) {
      if (change.before.where == Where::Warp) return too_thick_for_wefts(change, model);
      return in_unit(
          fmt::format("{}: {} of it {} too thick {}", place_told(change),
                      strands_told(change.after.strand),
                      change.after.strand.held > 1 ? "are" : "is", room_told(model, change.after)),
          question_.workshop.shown);
    }
    if (!thin_ones && change.too_thin >= most) {
      return fmt::format("{}: {} of it cover {:.0f} % of what {} covers", place_told(change),
                         strands_told(change.after.strand), 100.0 * *change.cover, question_.yarn);
    }
  }
  const auto budget = estimate::span_budget(model);
  if (!budget) return std::nullopt;
  const auto complaint = estimate::does_not_fit(model, *budget);
  return complaint ? std::optional(complaint->text) : std::nullopt;
}

WarpChange Swap::warp_change(const PieceModel& model) const {
  WarpChange change;
  change.sett_before = 1.0 / model_.warp_spacing();
  change.sett_after = 1.0 / model.warp_spacing();
  change.sett_that_covers =
      sett_that_covers(change.sett_before, model_.end_diameter(), model.end_diameter());
  change.ends_for_width = ends_as_wide(question_.piece, change.sett_after / change.sett_before);
  change.ends_before = question_.piece.warp.ends;
  change.ends_after = model.piece().warp.ends;
  return change;
}

SwapRow Swap::row_of(Trial trial) const {
  const PieceModel& model = *trial.model;
  estimate::Options options;
  options.chances = false;
  SwapRow row;
  row.yarn = trial.yarn;
  row.estimate = estimate::estimate(model, question_.shelf, options);
  while (row.amounts().yarn != trial.yarn) ++row.yarn_index;
  row.places = std::move(trial.places);
  for (const PlaceChange& change : row.places) {
    row.too_thick = std::max(row.too_thick, change.too_thick);
    row.too_thin = std::max(row.too_thin, change.too_thin);
    if (change.before.where == Where::Warp) row.warp = warp_change(model);
  }
  const yarn::Yarn& yarn = question_.workshop.yarns.at(trial.yarn);
  if (trial.yarn == question_.yarn) {
    row.is_elsewhere = places_of(question_.piece, trial.yarn, {}).size() > places_.size();
  } else {
    row.is_elsewhere = std::any_of(model_.yarns().begin(), model_.yarns().end(),
                                   [&](const yarn::Yarn* one) { return one->id == trial.yarn; });
    row.notes = fibre_notes(model_, model, places_, question_.workshop.yarns.at(question_.yarn),
                            yarn, question_.workshop.values);
    row.warnings = new_warnings(original_.estimate, row.estimate);
    warn_of_what_was_not_kept(trial, row);
  }
  reckon_places(model, row);
  reckon_cost(yarn, row);
  hold_against(row);
  return row;
}

/// Of the yarn put in, what the places take; its losses at a colour's start are theirs unless it is
/// elsewhere too.
void Swap::reckon_places(const PieceModel& model, SwapRow& row) const {
  if (!row.is_elsewhere) {
    const estimate::YarnEstimate& all = row.amounts();
    row.here = {all.length_m, all.mass_g, all.mean_m, all.mean_g, all.set_aside_m, all.set_aside_g};
    return;
  }
  const auto has = [&](Where where) {
    return std::any_of(places_.begin(), places_.end(),
                       [where](const YarnPlace& place) { return place.where == where; });
  };
  const auto is_among = [&](const estimate::Parts::Place& part) {
    const estimate::Purpose purpose = estimate::purpose_of(part.band, part.portion);
    if (purpose == estimate::Purpose::Warp) return has(Where::Warp);
    if (purpose == estimate::Purpose::Cord) return has(Where::Cord);
    return std::any_of(places_.begin(), places_.end(), [&](const YarnPlace& place) {
      return place.where == Where::Band && static_cast<int>(place.band) + 1 == part.band &&
             place.part == part.part;
    });
  };
  row.here = estimate::yarn_of_places(model, model.parts(estimate::Line::OverTheDoubt),
                                      row.yarn_index, is_among, false, estimate::Options().service);
}

/// What of the original the yarn could not take over, though it serves.
void Swap::warn_of_what_was_not_kept(const Trial& trial, SwapRow& row) const {
  if (trial.picks == Picks::AsStated) {
    row.warnings.push_back(
        {"picks_as_stated",
         "its picks stay as stated; by its thickness they cannot be woven: " + trial.refusal, 0});
  }
  if (!trial.ends_refusal.empty()) {
    row.warnings.push_back({"ends_as_stated",
                            "its ends stay as many, and the piece is not as wide as stated; those "
                            "that keep the width cannot be: " +
                                trial.ends_refusal,
                            0});
  }
  for (const PlaceChange& change : row.places) {
    if (!wants_more_strands(change, question_.rules.most_held)) continue;
    const bool is_one = change.after.strand.held == 1;
    const int band =
        change.before.where == Where::Band ? static_cast<int>(change.before.band) + 1 : 0;
    row.warnings.push_back(
        {"wants_more_strands",
         fmt::format("{}: {} the most that [swap] most_held allows; {} {:.2f} times as thick as {} "
                     "there",
                     place_told(change),
                     strands_told(change.after.strand) + (is_one ? " is" : " are"),
                     is_one ? "it is" : "they are", change.thickness, question_.yarn),
         band});
  }
}

/// By use; nothing where the yarn has no price or put-up.
std::optional<Money> Swap::price_of(const std::string& yarn, double amount_m,
                                    double amount_g) const {
  const yarn::PutUp* const of =
      priced_amount(question_.workshop.yarns.at(yarn), question_.priced_by);
  const auto price = question_.prices.find(yarn);
  if (of == nullptr || price == question_.prices.end()) return std::nullopt;
  return price->second.times(put_ups_in(*of, amount_m, amount_g));
}

/// Of all that a piece takes of a yarn.
std::optional<Money> Swap::cost_of(const estimate::PieceEstimate& estimate,
                                   const std::string& yarn) const {
  for (const estimate::YarnEstimate& one : estimate.yarns) {
    if (one.yarn == yarn) return price_of(yarn, one.mean_m, one.mean_g);
  }
  return price_of(yarn, 0.0, 0.0);
}

void Swap::reckon_cost(const yarn::Yarn& yarn, SwapRow& row) const {
  if (yarn.put_up) row.to_buy = put_ups_to_buy(yarn, row, question_);
  row.cost = price_of(yarn.id, row.here.mean_m, row.here.mean_g);
  if (!row.cost) return;
  if (row.to_buy) row.buy_cost = question_.prices.at(yarn.id).times(std::int64_t{*row.to_buy});
  if (yarn.id == question_.yarn) {
    row.dearer = Money();
    return;
  }
  const auto from_before = cost_of(original_.estimate, question_.yarn);
  const auto from_after = cost_of(row.estimate, question_.yarn);
  const auto to_before = cost_of(original_.estimate, yarn.id);
  const auto to_after = cost_of(row.estimate, yarn.id);
  if (from_before && from_after && to_before && to_after) {
    row.dearer = *to_after + *from_after - *from_before - *to_before;
  }
}

void Swap::hold_against(SwapRow& row) const {
  const bool is_original = row.yarn == question_.yarn;
  const estimate::Size& meant = is_original ? row.estimate.finished : original_.estimate.finished;
  const auto term = [&](Term which) -> double& { return row.terms[index_of(which)]; };
  for (const PlaceChange& change : row.places) {
    term(Term::Cover) = std::max(term(Term::Cover), apart(change.cover.value_or(1.0)));
    term(Term::Thickness) = std::max(term(Term::Thickness), apart(change.thickness));
  }
  term(Term::Size) = std::max(apart(row.estimate.finished.width / meant.width),
                              apart(row.estimate.finished.height / meant.height));
  if (row.dearer && !is_original) {
    const double before = original_.cost->approximately();
    const double after = before + row.dearer->approximately();
    const double larger = std::max(before, after);
    if (larger > 0.0) term(Term::Cost) = row.dearer->approximately() / larger;
  }
  const double lack_g = std::max(0.0, row.amounts().set_aside_g - on_shelf_g(row));
  const double set_aside_g = row.here.set_aside_g;
  term(Term::Shelf) = set_aside_g > 0.0 ? std::min(1.0, lack_g / set_aside_g) : 0.0;
  term(Term::Risk) = std::min(1.0, row.too_thick + row.too_thin);
  term(Term::Fibre) = static_cast<double>(row.notes.size());
  row.score = score(row.terms, question_.rules.weights);
}

SwapAnswer Swap::weigh(const std::vector<std::string>& yarns, bool thin_ones) const {
  SwapAnswer answer;
  answer.original = original_;
  for (const std::string& yarn : yarns) {
    if (yarn == question_.yarn) continue;
    Trial trial = trial_of(yarn);
    if (const auto reason = why_not(trial, thin_ones)) {
      answer.left_out.push_back({yarn, *reason});
    } else {
      answer.candidates.push_back(row_of(std::move(trial)));
    }
  }
  std::stable_sort(answer.candidates.begin(), answer.candidates.end(),
                   [](const SwapRow& a, const SwapRow& b) { return a.score < b.score; });
  return answer;
}

SwapAnswer Swap::among(const std::vector<std::string>& yarns) const { return weigh(yarns, true); }

SwapAnswer Swap::among_all() const {
  std::vector<std::string> all;
  for (const auto& [id, yarn] : question_.workshop.yarns) all.push_back(id);
  return weigh(all, false);
}

}  // namespace ellwand::decide

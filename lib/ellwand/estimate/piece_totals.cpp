#include "ellwand/estimate/piece_totals.hpp"

#include "ellwand/estimate/yarn_totals.hpp"

#include <algorithm>

namespace ellwand::estimate {

namespace {

/// The place of a word in a list, which it joins where it is new.
std::size_t place_in(std::vector<std::string>& list, const std::string& word) {
  const auto found = std::find(list.begin(), list.end(), word);
  if (found != list.end()) return static_cast<std::size_t>(found - list.begin());
  list.push_back(word);
  return list.size() - 1;
}

/// Puts one piece's parts beside the others'.
/// @param place_of     where each of its coefficients stands among all
/// @param with_states  what bends stays at its states; otherwise each part keeps to its nearest
/// line
void append(const NamedParts& piece, const std::vector<std::size_t>& place_of, bool with_states,
            Parts& all) {
  const Parts& mine = *piece.parts;
  for (std::size_t i = 0; i < mine.size(); ++i) {
    Parts::Place place = mine.places[i];
    place.yarn = piece.yarns[place.yarn];
    all.places.push_back(place);
    all.medians_m.push_back(mine.medians_m[i]);
    all.at_states_m.push_back(with_states ? mine.at_states_m[i] : std::vector<double>());
    const std::size_t row = all.slopes.size();
    all.slopes.resize(row + all.coefficients, 0.0);
    for (std::size_t c = 0; c < mine.coefficients; ++c) {
      all.slopes[row + place_of[c]] += mine.slopes[i * mine.coefficients + c];
    }
  }
}

}  // namespace

Parts side_by_side(const std::vector<NamedParts>& pieces, std::vector<std::string>& names) {
  std::vector<std::vector<std::size_t>> places(pieces.size());
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    for (const std::string& name : pieces[p].coefficients) {
      places[p].push_back(place_in(names, name));
    }
  }
  Parts all;
  all.coefficients = names.size();
  // The states of one piece are not those of another.
  const bool with_states = pieces.size() == 1;
  if (with_states) all.states = pieces[0].parts->states;
  for (std::size_t p = 0; p < pieces.size(); ++p) append(pieces[p], places[p], with_states, all);
  return all;
}

namespace {

/// A yarn's sum as far as it follows from the pieces' own figures.
void add_plan(const YarnEstimate& of_piece, YarnEstimate& sum) {
  sum.yarn = of_piece.yarn;
  sum.plan_m += of_piece.plan_m;
  sum.plan_g += of_piece.plan_g;
  sum.cut_rounding_m += of_piece.cut_rounding_m;
  sum.spare_m += of_piece.spare_m;
}

/// The yarns of all pieces, and each piece's parts named by what they are over all of them.
struct Gathered {
  Totals totals;
  std::vector<std::string> ids;
  std::vector<const yarn::Yarn*> yarns;
  std::vector<std::string> lots;  ///< the names of their coefficients
  std::vector<double> lot_spreads;
  std::vector<double> grams_per_metre;
  std::vector<Parts> parts;
  std::vector<NamedParts> named;
};

/// The name of the coefficient of a yarn's lot.
std::string lot_name_in(const PieceModel& model, std::size_t yarn) {
  return coefficient_ids(model.piece(), model.all_yarns(),
                         model.warp_yarn())[index_of(OfYarn::Lot, yarn)];
}

void gather_yarns(const Estimated& piece, NamedParts& named, Gathered& all) {
  const PieceModel& model = *piece.model;
  for (std::size_t y = 0; y < model.yarns().size(); ++y) {
    const std::size_t place = place_in(all.ids, model.yarns()[y]->id);
    named.yarns.push_back(place);
    if (place == all.yarns.size()) {
      all.yarns.push_back(model.yarns()[y]);
      all.lots.push_back(lot_name_in(model, y));
      all.lot_spreads.push_back(model.coefficients().spreads[index_of(OfYarn::Lot, y)]);
      all.grams_per_metre.push_back(model.grams_per_metre(y));
      all.totals.yarns.emplace_back();
      all.totals.used_in.emplace_back();
    }
    add_plan(piece.estimate->yarns[y], all.totals.yarns[place]);
    all.totals.used_in[place].push_back(piece.estimate->piece);
  }
}

/// What each of a piece's coefficients is over all pieces.
/// @param piece  a word for it, in the names of what is of it alone
std::vector<std::string> names_in(const PieceModel& model, const std::string& piece) {
  std::vector<std::string> names =
      coefficient_ids(model.piece(), model.all_yarns(), model.warp_yarn());
  for (std::size_t c = 0; c < names.size(); ++c) {
    const bool is_alone = c == index_of(Shared::PieceTake) || c == index_of(Shared::BeatPiece);
    if (is_alone || names[c].empty()) {
      names[c] = coefficient_name(c, model.all_yarns()) + " of " + piece;
    }
  }
  return names;
}

Gathered gather(const std::vector<Estimated>& pieces) {
  Gathered all;
  all.parts.reserve(pieces.size());
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    const PieceModel& model = *pieces[p].model;
    all.totals.pieces.push_back(pieces[p].estimate->piece);
    all.parts.push_back(model.parts_by_coefficient(Line::OverTheDoubt));
    NamedParts named{&all.parts.back(), names_in(model, std::to_string(p + 1)), {}};
    gather_yarns(pieces[p], named, all);
    all.named.push_back(std::move(named));
  }
  return all;
}

Together joined(const Gathered& all, const Learned* learned) {
  Together result;
  std::vector<std::string> names;
  result.parts = side_by_side(all.named, names);
  result.firsts = {0};
  for (const Parts& one : all.parts) result.firsts.push_back(result.firsts.back() + one.size());
  if (learned != nullptr) result.parts.turn(learned_correlation(*learned, names));
  for (std::size_t y = 0; y < all.yarns.size(); ++y) {
    result.yarns.push_back(
        {all.yarns[y], {all.grams_per_metre[y], place_in(names, all.lots[y]), all.lot_spreads[y]}});
  }
  return result;
}

}  // namespace

Together together(const std::vector<Estimated>& pieces, const Learned* learned) {
  return joined(gather(pieces), learned);
}

Totals totals_of(const std::vector<Estimated>& pieces, const Shelf& shelf, const Options& options,
                 const Learned* learned) {
  Gathered all = gather(pieces);
  const Together both = joined(all, learned);
  const Chances chances = reckon_yarns(both.yarns, both.parts, shelf, options, all.totals.yarns);
  all.totals.chance_any_short = chances.any_short;
  all.totals.chance_any_set_aside_short = chances.any_set_aside_short;
  return std::move(all.totals);
}

}  // namespace ellwand::estimate

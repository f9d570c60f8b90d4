#include "ellwand/estimate/piece_totals.hpp"

#include "ellwand/estimate/yarn_totals.hpp"
#include "ellwand/numeric/in_parallel.hpp"

#include <algorithm>
#include <unordered_map>
#include <utility>

namespace ellwand::estimate {

namespace {

/// Words, each once, and where each stands.
class Words {
 public:
  /// The place of a word, which joins the list where it is new.
  std::size_t place_of(const std::string& word) {
    const auto [found, is_new] = places_.emplace(word, list_.size());
    if (is_new) list_.push_back(word);
    return found->second;
  }
  std::size_t size() const { return list_.size(); }
  const std::vector<std::string>& list() const { return list_; }

 private:
  std::vector<std::string> list_;
  std::unordered_map<std::string, std::size_t> places_;
};

/// One row by where each of its columns stands among all, those that stand in one place added up.
void put_moved(const SlopeRows::Row& row, const std::vector<std::size_t>& place_of,
               SlopeRows& rows) {
  std::vector<std::pair<std::size_t, double>> moved;
  moved.reserve(row.columns.size());
  for (std::size_t k = 0; k < row.columns.size(); ++k) {
    moved.push_back({place_of[row.columns[k]], row.slopes[k]});
  }
  std::stable_sort(moved.begin(), moved.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  rows.open();
  for (std::size_t k = 0; k < moved.size(); ++k) {
    const bool goes_on = k + 1 < moved.size() && moved[k + 1].first == moved[k].first;
    if (goes_on) {
      moved[k + 1].second += moved[k].second;
    } else {
      rows.put(moved[k].first, moved[k].second);
    }
  }
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
    put_moved(mine.slopes.row(i), place_of, all.slopes);
  }
}

Parts side_by_side(const std::vector<NamedParts>& pieces, Words& names) {
  std::vector<std::vector<std::size_t>> places(pieces.size());
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    for (const std::string& name : pieces[p].coefficients) {
      places[p].push_back(names.place_of(name));
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

}  // namespace

Parts side_by_side(const std::vector<NamedParts>& pieces, std::vector<std::string>& names) {
  Words words;
  for (const std::string& name : names) words.place_of(name);
  Parts all = side_by_side(pieces, words);
  names = words.list();
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
  Words ids;
  std::vector<const yarn::Yarn*> yarns;
  std::vector<std::string> lots;  ///< the names of their coefficients
  std::vector<double> lot_spreads;
  std::vector<double> grams_per_metre;
  std::vector<Parts> parts;
  std::vector<NamedParts> named;
};

/// @param coefficients  ids of the model's
void gather_yarns(const Estimated& piece, const std::vector<std::string>& coefficients,
                  NamedParts& named, Gathered& all) {
  const PieceModel& model = *piece.model;
  for (std::size_t y = 0; y < model.yarns().size(); ++y) {
    const std::size_t place = all.ids.place_of(model.yarns()[y]->id);
    named.yarns.push_back(place);
    if (place == all.yarns.size()) {
      all.yarns.push_back(model.yarns()[y]);
      all.lots.push_back(coefficients[index_of(OfYarn::Lot, y)]);
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
/// @param names  ids of its coefficients
/// @param piece  a word for it, in the names of what is of it alone
std::vector<std::string> names_in(const PieceModel& model, std::vector<std::string> names,
                                  const std::string& piece) {
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
  all.parts.resize(pieces.size());
  numeric::in_parallel(pieces.size(), 4, 0, [&](std::size_t p) {
    all.parts[p] = pieces[p].model->parts_by_coefficient(Line::OverTheDoubt);
  });
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    const PieceModel& model = *pieces[p].model;
    all.totals.pieces.push_back(pieces[p].estimate->piece);
    const std::vector<std::string> ids =
        coefficient_ids(model.piece(), model.all_yarns(), model.warp_yarn());
    NamedParts named{&all.parts[p], names_in(model, ids, std::to_string(p + 1)), {}};
    gather_yarns(pieces[p], ids, named, all);
    all.named.push_back(std::move(named));
  }
  return all;
}

Together joined(const Gathered& all, const Learned* learned) {
  Together result;
  Words names;
  result.parts = side_by_side(all.named, names);
  result.firsts = {0};
  for (const Parts& one : all.parts) result.firsts.push_back(result.firsts.back() + one.size());
  if (learned != nullptr) result.parts.turn(learned_correlation(*learned, names.list()));
  for (std::size_t y = 0; y < all.yarns.size(); ++y) {
    result.yarns.push_back(
        {all.yarns[y], {all.grams_per_metre[y], names.place_of(all.lots[y]), all.lot_spreads[y]}});
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
  const Chances chances = reckon_yarns(both.yarns, sums_by_yarn(both.parts, both.yarns.size()),
                                       shelf, options, all.totals.yarns);
  all.totals.chance_any_short = chances.any_short;
  all.totals.chance_any_set_aside_short = chances.any_set_aside_short;
  return std::move(all.totals);
}

}  // namespace ellwand::estimate

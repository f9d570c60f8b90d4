#include "ellwand/decide/rebuilt.hpp"

#include "ellwand/cloth/setting.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>

namespace ellwand::decide {

namespace {

using estimate::BandYarn;
using estimate::PieceModel;
using technique::Strand;

bool is_wanted(const Within& within, std::size_t band) {
  return within.bands && (within.only.empty() || within.only.count(static_cast<int>(band) + 1) > 0);
}

/// The hem of a band that is sewn with the tail of a weft; null otherwise.
const technique::Hemstitch* sewn_hem(const piece::Piece& piece, std::size_t band) {
  const auto* hem = std::get_if<technique::Hemstitch>(&piece.bands[band].work);
  return hem != nullptr && hem->sewn_with_weft ? hem : nullptr;
}

/// Strands gathered into a round bundle: knots, wraps and stitches. The others lie side by side.
struct IsBundle {
  std::size_t part;

  bool operator()(const technique::Woven&) const { return false; }
  bool operator()(const technique::KnottedFringe&) const { return true; }
  bool operator()(const technique::Soumak&) const { return false; }
  bool operator()(const technique::Twining&) const { return false; }
  bool operator()(const technique::LoopedPile&) const { return false; }
  bool operator()(const technique::Wrapping&) const { return true; }
  bool operator()(const technique::KnottedPile&) const {
    return part == technique::KnottedPile::kKnots;
  }
  bool operator()(const technique::Gap&) const { return false; }
  bool operator()(const technique::Hemstitch&) const { return true; }
};

void add_band_places(const piece::Piece& piece, const std::string& yarn, const Within& within,
                     std::vector<YarnPlace>& places) {
  for (std::size_t b = 0; b < piece.bands.size(); ++b) {
    const std::size_t follows = sewn_hem(piece, b) != nullptr ? piece::sewn_edge(piece, b).band : b;
    if (!is_wanted(within, follows)) continue;
    std::size_t part = 0;
    technique::for_each_strand(piece.bands[b].work, [&](const Strand& strand) {
      if (strand.yarn == yarn) {
        places.push_back(
            {Where::Band, b, part, strand, std::visit(IsBundle{part}, piece.bands[b].work)});
      }
      ++part;
    });
  }
}

/// Puts what a place has into the piece.
void put(const YarnPlace& place, piece::Piece& piece) {
  switch (place.where) {
    case Where::Warp:
      piece.warp.yarn = place.strand.yarn;
      piece.warp.held = place.strand.held;
      return;
    case Where::Cord:
      piece.finish.cord->strand = place.strand;
      return;
    case Where::Band:
      break;
  }
  std::size_t part = 0;
  technique::for_each_strand(piece.bands[place.band].work, [&](Strand& strand) {
    if (part++ == place.part) strand = place.strand;
  });
}

/// How thick one strand of a yarn lies, of the lot the piece says, whether the piece has it or not.
Length<> strand_diameter(const std::string& id, const piece::Piece& piece,
                         const estimate::Workshop& workshop) {
  const auto mean = [&](const std::string& name) {
    if (workshop.learned == nullptr) return 0.0;
    const std::size_t at = workshop.learned->find(name);
    return at == estimate::Learned::kNone ? 0.0 : workshop.learned->means[at];
  };
  const auto lot = piece.lots.find(id);
  return estimate::known_diameter(
      workshop.yarns.at(id), workshop.values.packing(), mean("thickness " + id),
      mean("lot " + id + (lot == piece.lots.end() ? "" : " " + lot->second)));
}

/// The strand of the weft whose tail sews a hem.
Strand weft_of(const piece::Piece& piece, std::size_t hem) {
  const std::size_t band = piece::sewn_edge(piece, hem).band;
  return std::get<technique::Woven>(piece.bands[band].work).areas.at(0).strand;
}

/// The thickest weft of a woven band.
Length<> thickest_weft(const technique::Woven& band, const piece::Piece& piece,
                       const estimate::Workshop& workshop) {
  Length<> thickest;
  for (const technique::ColourArea& area : band.areas) {
    thickest = std::max(thickest, held_thickness(strand_diameter(area.strand.yarn, piece, workshop),
                                                 area.strand, false));
  }
  return thickest;
}

/// Rows that were measured with the old weft, as one of another thickness would beat down: in
/// weft-faced cloth of one weft by its beat, which is the old one's; otherwise by picks.
void beat_by_thickness(const piece::Piece& original, std::size_t index, Picks picks,
                       const estimate::Workshop& workshop, technique::Woven& band) {
  const auto& before = std::get<technique::Woven>(original.bands[index].work);
  if (!before.beat.is_stated()) return;
  const Length<> old = thickest_weft(before, original, workshop);
  const double thicker = thickest_weft(band, original, workshop) / old;
  if (const auto& measured = before.beat.measured) {
    const Length<> row = measured->height / measured->rows;
    band.beat.measured.reset();
    if (band.beat.face == cloth::Face::Weft && band.areas.size() == 1) {
      band.beat.ratio = row / (band.course_over_run() * old);
    } else {
      band.beat.picks = 1.0 / (row * (picks == Picks::ByThickness ? thicker : 1.0));
    }
  } else if (picks == Picks::ByThickness) {
    band.beat.picks = *before.beat.picks / thicker;
  }
}

/// States a woven band by what is to be kept of it.
void keep_extent(const PieceModel& model, std::size_t index, Keep keep, piece::Band& band) {
  auto& woven = std::get<technique::Woven>(band.work);
  if (keep == Keep::Height && woven.extent.by != technique::Extent::By::Height) {
    woven.extent = {technique::Extent::By::Height, 0, model.band_heights()[index]};
    band.height_state = piece::State::OnLoom;
  }
  if (keep != Keep::Rows || woven.extent.by != technique::Extent::By::Height) return;
  if (woven.areas.size() > 1) return;  // areas side by side share a height, not their rows
  for (std::size_t i = 0; i < model.band_yarns().size(); ++i) {
    if (model.band_yarns()[i].band != index) continue;
    woven.extent = {technique::Extent::By::Rows,
                    static_cast<int>(std::lround(model.planned()[i].rows)), Length<>()};
  }
}

/// A work stated by rows, so many times as many.
struct CountAnew {
  double times;

  int rows(int before) const { return static_cast<int>(std::max(1.0, std::round(times * before))); }
  void operator()(technique::Soumak& soumak) const { soumak.rows = rows(soumak.rows); }
  void operator()(technique::Twining& twining) const { twining.rows = rows(twining.rows); }
  void operator()(technique::LoopedPile& pile) const { pile.rows = rows(pile.rows); }
  /// Ground and knots go together.
  void operator()(technique::KnottedPile& pile) const {
    const int knots = rows(pile.knots.rows);
    pile.ground.extent.count = pile.ground.extent.count / pile.knots.rows * knots;
    pile.knots.rows = knots;
  }
  void operator()(technique::Woven&) const {}
  void operator()(technique::KnottedFringe&) const {}
  void operator()(technique::Wrapping&) const {}
  void operator()(technique::Gap&) const {}
  void operator()(technique::Hemstitch&) const {}
};

}  // namespace

const char* name_of(Keep keep) {
  switch (keep) {
    case Keep::AsStated:
      return "as stated";
    case Keep::Rows:
      return "rows";
    case Keep::Height:
      return "height";
  }
  return "";
}

std::vector<YarnPlace> places_of(const piece::Piece& piece, const std::string& yarn,
                                 const Within& within) {
  std::vector<YarnPlace> places;
  if (within.warp && piece.warp.yarn == yarn) {
    places.push_back({Where::Warp, 0, 0, {yarn, piece.warp.held, 1}, false});
  }
  add_band_places(piece, yarn, within, places);
  if (within.cord && piece.finish.cord && piece.finish.cord->strand.yarn == yarn) {
    places.push_back({Where::Cord, 0, 0, piece.finish.cord->strand, true});
  }
  return places;
}

Length<> held_thickness(const Length<>& strand_diameter, const Strand& strand, bool is_bundle) {
  const Length<> one = strand_diameter / std::sqrt(strand.split_into);
  return is_bundle ? yarn::bundle_diameter(one, strand.held)
                   : yarn::side_by_side_diameter(one, strand.held);
}

Strand nearest_strand(const yarn::Yarn& yarn, const Length<>& strand_diameter,
                      const Length<>& wanted, const YarnPlace& place, int most) {
  require_range("strands held together at most", most, 1.0, 1e4, "another yarn");
  Strand best{yarn.id, 1, 1};
  double nearest = technique::kFar;
  const auto meet = [&](const Strand& strand) {
    const double off =
        std::abs(std::log(held_thickness(strand_diameter, strand, place.is_bundle) / wanted));
    if (off < nearest - 1e-9) {
      nearest = off;
      best = strand;
    }
  };
  for (int held = 1; held <= most; ++held) meet({yarn.id, held, 1});
  if (yarn.kind != yarn::Kind::Roving || place.where != Where::Band) return best;
  for (int parts = 2; parts <= most; ++parts) meet({yarn.id, 1, parts});
  return best;
}

ThreadDensity<> sett_that_covers(const ThreadDensity<>& sett, const Length<>& from,
                                 const Length<>& to) {
  return sett * (from / to);
}

Rebuilt rebuilt_with(const piece::Piece& original, const PieceModel& model,
                     const std::vector<YarnPlace>& places, const std::string& yarn,
                     const estimate::Workshop& workshop, int most_held, Keep keep, Picks picks) {
  Rebuilt rebuilt{original, places};
  piece::Piece& piece = rebuilt.piece;
  const Length<> diameter = strand_diameter(yarn, original, workshop);
  for (YarnPlace& place : rebuilt.places) {
    if (place.strand.yarn == yarn) continue;
    const Length<> wanted = held_thickness(strand_diameter(place.strand.yarn, original, workshop),
                                           place.strand, place.is_bundle);
    place.strand = nearest_strand(workshop.yarns.at(yarn), diameter, wanted, place, most_held);
    put(place, piece);
    if (place.where == Where::Warp && piece.warp.sett) {
      piece.warp.sett = sett_that_covers(*piece.warp.sett, model.end_diameter(),
                                         held_thickness(diameter, place.strand, false));
    }
  }
  for (YarnPlace& place : rebuilt.places) {
    if (place.where != Where::Band) continue;
    if (sewn_hem(piece, place.band) != nullptr) {
      place.strand = weft_of(piece, place.band);
      put(place, piece);
    }
    piece::Band& band = piece.bands[place.band];
    auto* woven = std::get_if<technique::Woven>(&band.work);
    if (woven == nullptr) continue;
    if (place.strand.yarn !=
        std::get<technique::Woven>(original.bands[place.band].work).areas[place.part].strand.yarn) {
      beat_by_thickness(original, place.band, picks, workshop, *woven);
    }
    keep_extent(model, place.band, keep, band);
  }
  return rebuilt;
}

void keep_heights(const PieceModel& original, const PieceModel& model, Rebuilt& rebuilt) {
  std::set<std::size_t> done;
  for (const YarnPlace& place : rebuilt.places) {
    if (place.where != Where::Band || !done.insert(place.band).second) continue;
    const Length<> now = model.band_heights()[place.band];
    if (!(now.si() > 0.0)) continue;
    std::visit(CountAnew{original.band_heights()[place.band] / now},
               rebuilt.piece.bands[place.band].work);
  }
}

}  // namespace ellwand::decide

#include "ellwand/estimate/coefficients.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace ellwand::estimate {

namespace {

double share_of(const yarn::Yarn& yarn, const std::string& fibre) {
  double share = 0.0;
  for (const yarn::FibreShare& part : yarn.fibre) {
    if (part.fibre.name == fibre) share += part.by_mass;
  }
  return share;
}

StartingRow lot_row(yarn::Made made) {
  switch (made) {
    case yarn::Made::Mill:
      return row("lot.mill");
    case yarn::Made::HandDyed:
      return row("lot.hand_dyed");
    case yarn::Made::Handspun:
      break;
  }
  return row("lot.handspun");
}

}  // namespace

bool is_felting(const yarn::Yarn& yarn) {
  double share = 0.0;
  for (const yarn::FibreShare& part : yarn.fibre) {
    if (part.fibre.felts) share += part.by_mass;
  }
  return share >= 0.5;
}

bool is_spoilt_by_steam(const yarn::Yarn& yarn) {
  double share = 0.0;
  for (const yarn::FibreShare& part : yarn.fibre) {
    if (part.fibre.felts || part.fibre.softens) share += part.by_mass;
  }
  return share >= 0.5;
}

Length<> known_diameter(const yarn::Yarn& yarn, const yarn::Packing& packing, double thickness_mean,
                        double lot_mean) {
  const double log = thickness_mean + (yarn.measured_diameter ? 0.0 : 0.5 * lot_mean);
  return yarn::lying_diameter(yarn, packing) * std::exp(log);
}

const char* stretch_name(const yarn::Yarn& warp) {
  if (share_of(warp, "cotton") >= 0.5) return "stretch.cotton";
  if (share_of(warp, "linen") >= 0.5) return "stretch.linen";
  if (share_of(warp, "wool") >= 0.5) return "stretch.wool";
  return "stretch.other";
}

namespace {

/// In the order of Shared; where the spread depends on the piece, the first of its rows.
constexpr std::array<const char*, kShared> kSharedNames = {"hand",
                                                           "take.weave",
                                                           "take.knots",
                                                           "take.soumak",
                                                           "take.twining",
                                                           "take.loops",
                                                           "take.wraps",
                                                           "take.hemstitch",
                                                           "take.cord",
                                                           "weaver.experienced",
                                                           "piece",
                                                           "beat.weft_faced",
                                                           "beat.balanced",
                                                           "beat.warp_faced",
                                                           "beat.piece",
                                                           "row_height.knots",
                                                           "row_height.soumak",
                                                           "row_height.twining",
                                                           "row_height.loops",
                                                           "row_height.wraps",
                                                           "tail",
                                                           "trim",
                                                           "working_length.needle",
                                                           "draw_in",
                                                           "stretch.cotton",
                                                           "waste.share",
                                                           "waste.per_colour"};
constexpr std::array<const char*, kPerYarn> kYarnNames = {"yarn", "lot", "thickness", "split"};

/// The rows of the table that a yarn's own coefficients have their spreads from.
std::array<StartingRow, kPerYarn> yarn_rows(const yarn::Yarn& yarn) {
  const bool roving = yarn.kind == yarn::Kind::Roving;
  return {row("yarn"), lot_row(yarn.made), roving ? row("thickness.roving") : row("thickness.spun"),
          row("split.roving")};
}

consteval std::array<StartingRow, kShared> shared_rows() {
  std::array<StartingRow, kShared> rows{};
  for (std::size_t i = 0; i < kShared; ++i) rows[i] = row(kSharedNames[i]);
  return rows;
}

/// The row of the table a shared coefficient has its spread and its meaning from.
StartingRow shared_row(std::size_t coefficient, bool beginner) {
  static constexpr std::array<StartingRow, kShared> kRows = shared_rows();
  if (beginner && coefficient == index_of(Shared::Weaver)) return row("weaver.beginner");
  if (beginner && coefficient == index_of(Shared::DrawIn)) return row("draw_in.beginner");
  return kRows.at(coefficient);
}

const std::string& meaning_of(const StartingValues& values, StartingRow row) {
  return values.at(kStartingNames[row.place]).meaning;
}

/// In the order of piece::Carrier.
constexpr std::array<StartingRow, 3> kWorkingLengths = {
    row("working_length.needle"), row("working_length.butterfly"), row("working_length.shuttle")};

std::string working_length_meaning(const StartingValues& values,
                                   const std::vector<piece::Carrier>& carriers) {
  if (carriers.empty()) return "the longest length carried at once";
  std::string all;
  for (const piece::Carrier carrier : carriers) {
    if (!all.empty()) all += "; ";
    all += meaning_of(values, kWorkingLengths.at(static_cast<std::size_t>(carrier)));
  }
  return all;
}

}  // namespace

std::string coefficient_meaning(const StartingValues& values, std::size_t coefficient,
                                const std::vector<const yarn::Yarn*>& yarns, bool beginner,
                                const std::vector<piece::Carrier>& carriers) {
  if (coefficient == index_of(Shared::Stretch)) {
    return values.at(stretch_name(*yarns.at(0))).meaning;
  }
  if (coefficient == index_of(Shared::WorkingLength)) {
    return working_length_meaning(values, carriers);
  }
  if (coefficient < kShared) return meaning_of(values, shared_row(coefficient, beginner));
  const std::size_t place = coefficient - kShared;
  const yarn::Yarn& yarn = *yarns.at(place / kPerYarn);
  return meaning_of(values, yarn_rows(yarn).at(place % kPerYarn)) + " (" + yarn.id + ")";
}

std::string coefficient_name(std::size_t coefficient, const std::vector<const yarn::Yarn*>& yarns) {
  if (coefficient < kShared) return kSharedNames.at(coefficient);
  const std::size_t place = coefficient - kShared;
  return std::string(kYarnNames.at(place % kPerYarn)) + " " + yarns.at(place / kPerYarn)->id;
}

Coefficients starting_coefficients(const StartingValues& values,
                                   const std::vector<const yarn::Yarn*>& yarns, std::size_t warp,
                                   bool beginner) {
  Coefficients all;
  all.spreads.reserve(index_of(OfYarn::Take, yarns.size()));
  for (std::size_t i = 0; i < kShared; ++i) {
    all.spreads.push_back(values.spread(shared_row(i, beginner)));
  }
  all.spreads[index_of(Shared::Stretch)] = values.at(stretch_name(*yarns.at(warp))).spread;
  for (const yarn::Yarn* yarn : yarns) {
    for (const StartingRow one : yarn_rows(*yarn)) all.spreads.push_back(values.spread(one));
  }
  all.means.assign(all.spreads.size(), 0.0);
  return all;
}

namespace {
/// Who weaves where nobody is named.
constexpr const char* kOwner = "(owner)";
constexpr const char* kBeginner = "(beginner)";
}  // namespace

std::vector<std::string> coefficient_ids(const piece::Piece& piece,
                                         const std::vector<const yarn::Yarn*>& yarns,
                                         std::size_t warp) {
  std::vector<std::string> ids(kSharedNames.begin(), kSharedNames.end());
  const auto name = [&](Shared which, const std::string& id) { ids[index_of(which)] = id; };
  const std::string weaver = !piece.weaver.empty() ? piece.weaver
                             : piece.beginner      ? kBeginner
                                                   : kOwner;
  name(Shared::Weaver, "weaver " + weaver);
  name(Shared::PieceTake, "piece " + piece.id);
  name(Shared::BeatPiece, "beat.piece " + piece.id);
  name(Shared::WorkingLength, "working_length");
  if (piece.beginner) name(Shared::DrawIn, "draw_in of a beginner");
  name(Shared::Stretch, stretch_name(*yarns.at(warp)));
  for (const yarn::Yarn* yarn : yarns) {
    const auto lot = piece.lots.find(yarn->id);
    ids.push_back("yarn " + yarn->id);
    ids.push_back("lot " + yarn->id + (lot == piece.lots.end() ? "" : " " + lot->second));
    ids.push_back("thickness " + yarn->id);
    ids.emplace_back();
  }
  return ids;
}

std::vector<double> triangular_root(const std::vector<double>& correlation, std::size_t n) {
  std::vector<double> root(n * n, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      double rest = correlation[i * n + j];
      for (std::size_t k = 0; k < j; ++k) rest -= root[i * n + k] * root[j * n + k];
      if (i == j) {
        root[i * n + i] = rest > 1e-12 ? std::sqrt(rest) : 0.0;
      } else {
        root[i * n + j] = root[j * n + j] > 0.0 ? rest / root[j * n + j] : 0.0;
      }
    }
  }
  return root;
}

namespace {

std::vector<std::size_t> places_of(const Learned& learned, const std::vector<std::string>& names) {
  std::vector<std::size_t> places;
  places.reserve(names.size());
  for (const std::string& name : names) {
    places.push_back(name.empty() ? Learned::kNone : learned.find(name));
  }
  return places;
}

}  // namespace

std::vector<double> learned_correlation(const Learned& learned,
                                        const std::vector<std::string>& names) {
  const std::size_t n = names.size();
  const std::size_t known = learned.names.size();
  const std::vector<std::size_t> places = places_of(learned, names);
  const auto covariance = [&](std::size_t a, std::size_t b) {
    return learned.covariances[places[a] * known + places[b]];
  };
  std::vector<double> correlation(n * n, 0.0);
  for (std::size_t a = 0; a < n; ++a) {
    correlation[a * n + a] = 1.0;
    for (std::size_t b = 0; b < a; ++b) {
      if (places[a] == Learned::kNone || places[b] == Learned::kNone) continue;
      const double square = covariance(a, a) * covariance(b, b);
      if (!(square > 0.0)) continue;
      correlation[a * n + b] = correlation[b * n + a] = covariance(a, b) / std::sqrt(square);
    }
  }
  return correlation;
}

namespace {

/// The rows of the table whose spread is learned from the members met: for a member not met yet.
void widen_unmet(const Learned& learned, const std::vector<std::size_t>& places, bool beginner,
                 std::vector<double>& spreads) {
  const auto set = [&](std::size_t coefficient, const char* row) {
    const auto found = learned.spreads.find(row);
    if (places[coefficient] == Learned::kNone && found != learned.spreads.end()) {
      spreads[coefficient] = found->second;
    }
  };
  set(index_of(Shared::PieceTake), "piece");
  set(index_of(Shared::BeatPiece), "beat.piece");
  set(index_of(Shared::Weaver), beginner ? "weaver.beginner" : "weaver.experienced");
  for (std::size_t c = kShared; c < spreads.size(); c += kPerYarn) set(c, "yarn");
}

}  // namespace

Coefficients learned_coefficients(const Coefficients& starting, const Learned& learned,
                                  const piece::Piece& piece,
                                  const std::vector<const yarn::Yarn*>& yarns, std::size_t warp) {
  Coefficients all = starting;
  const std::size_t n = all.size();
  const std::vector<std::string> ids = coefficient_ids(piece, yarns, warp);
  const std::vector<std::size_t> places = places_of(learned, ids);
  widen_unmet(learned, places, piece.beginner, all.spreads);
  const std::size_t weaver = index_of(Shared::Weaver);
  if (learned.one_weaver && !piece.beginner && places[weaver] == Learned::kNone) {
    all.spreads[weaver] = 0.0;
  }

  const std::size_t known = learned.names.size();
  for (std::size_t c = 0; c < n; ++c) {
    if (places[c] == Learned::kNone) continue;
    all.means[c] = learned.means[places[c]];
    all.spreads[c] = std::sqrt(learned.covariances[places[c] * (known + 1)]);
  }
  all.correlation = learned_correlation(learned, ids);
  return all;
}

}  // namespace ellwand::estimate

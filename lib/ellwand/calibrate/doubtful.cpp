#include "ellwand/calibrate/doubtful.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>

namespace ellwand::calibrate {

namespace {

/// What was read beside what was foretold, as vectors over the figures.
struct Beside {
  Eigen::VectorXd mids;
  Eigen::VectorXd strays;
  Eigen::MatrixXd covariance;
};

Beside beside(const Swatch& swatch, const ForetoldTogether& told) {
  const auto n = static_cast<Eigen::Index>(swatch.measurements.size());
  Beside all{Eigen::VectorXd(n), Eigen::VectorXd(n), Eigen::MatrixXd(n, n)};
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto at = static_cast<std::size_t>(i);
    all.mids[i] = told.log_mids[at];
    all.strays[i] = std::log(swatch.measurements[at].value) - told.log_mids[at];
    for (Eigen::Index j = 0; j < n; ++j) {
      all.covariance(i, j) =
          told.covariance[at * static_cast<std::size_t>(n) + static_cast<std::size_t>(j)];
    }
  }
  return all;
}

std::vector<Doubtful> each_alone(const Beside& all) {
  std::vector<Doubtful> doubtful;
  for (Eigen::Index i = 0; i < all.strays.size(); ++i) {
    const double sd = std::sqrt(all.covariance(i, i));
    if (std::abs(all.strays[i]) <= kDoubtfulSds * sd) continue;
    doubtful.push_back({static_cast<std::size_t>(i), std::exp(all.mids[i]), sd, false});
  }
  return doubtful;
}

/// The last of those furthest off: of two figures both are as far from one another.
std::vector<Doubtful> by_the_others(const Beside& all) {
  const Eigen::Index n = all.strays.size();
  const Eigen::LLT<Eigen::MatrixXd> solved(all.covariance);
  if (n < 2 || solved.info() != Eigen::Success) return {};
  const Eigen::MatrixXd precision = solved.solve(Eigen::MatrixXd::Identity(n, n));
  const Eigen::VectorXd pulled = precision * all.strays;
  constexpr double kAsFar = 1.0 - 1e-9;  // rounding
  std::vector<Doubtful> worst;
  double furthest = kDoubtfulSds;
  for (Eigen::Index i = 0; i < n; ++i) {
    const double sd = 1.0 / std::sqrt(precision(i, i));
    const double stray = pulled[i] * sd * sd;
    if (std::abs(stray) < furthest * sd * kAsFar) continue;
    furthest = std::abs(stray) / sd;
    const double expected = std::exp(all.mids[i] + all.strays[i] - stray);
    worst = {{static_cast<std::size_t>(i), expected, sd, true}};
  }
  return worst;
}

}  // namespace

std::vector<Doubtful> doubtful_of(const Swatch& swatch, const estimate::Workshop& workshop) {
  if (swatch.measurements.empty()) return {};
  const Beside all = beside(swatch, foretold_together(swatch, workshop));
  const std::vector<Doubtful> alone = each_alone(all);
  return alone.empty() ? by_the_others(all) : alone;
}

namespace {
/// Between neighbouring ends, as the loom has them before anything draws in.
double end_spacing_m(const piece::Piece& piece) {
  if (piece.loom.kind == piece::LoomKind::Notched) {
    return in_metres(piece.loom.pitch) * piece.loom.every;
  }
  return piece.warp.sett ? in_metres(1.0 / *piece.warp.sett) : 0.0;
}

/// The one weft of an amount, from edge to edge in counted rows; null where there is none.
const technique::Woven* one_weft(const Swatch& swatch, const Measurement& amount) {
  const std::vector<piece::Band>& bands = swatch.piece.bands;
  if (bands.empty() || (!amount.band && bands.size() > 1)) return nullptr;
  const auto* woven = std::get_if<technique::Woven>(&bands.at(amount.band.value_or(0)).work);
  if (woven == nullptr || woven->areas.size() != 1 || woven->is_drawn()) return nullptr;
  const technique::Strand& strand = woven->areas.front().strand;
  const bool is_whole = strand.yarn == amount.yarn && strand.split_into == 1 &&
                        woven->extent.by == technique::Extent::By::Rows;
  return is_whole ? woven : nullptr;
}
}  // namespace

namespace {

constexpr double kSpringsBack = 0.9;
constexpr double kDrawnInOrWashed = 0.75;

/// How far it is from the first end to the last, at the least, by the loom.
double across_by_loom_m(const piece::Piece& piece, piece::State state) {
  const bool is_as_warped =
      piece.loom.kind == piece::LoomKind::Notched && state != piece::State::Finished;
  return (is_as_warped ? kSpringsBack : kDrawnInOrWashed) * end_spacing_m(piece) *
         (piece.warp.ends - 1);
}

/// The same by widths that were measured of the same; 0 where none was.
double across_by_widths_m(const Swatch& swatch, const Measurement& amount) {
  const int ends = swatch.piece.warp.ends;
  const double of_width = (ends - 1.0) / (ends + 1.0);  // half a space at each edge is left out
  double across_m = 0.0;
  for (const Measurement& one : swatch.measurements) {
    const bool is_of_it = !one.band || !amount.band || *one.band == *amount.band;
    if (one.what != Measured::Width || !is_of_it) continue;
    const bool has_shrunk =
        amount.state == piece::State::Finished && one.state != piece::State::Finished;
    const double least_m =
        (has_shrunk ? kDrawnInOrWashed : kSpringsBack) * of_width * (one.value - one.step);
    across_m = std::max(across_m, least_m);
  }
  return across_m;
}

}  // namespace

std::optional<double> straight_way_m(const Swatch& swatch, const Measurement& amount) {
  const technique::Woven* woven = one_weft(swatch, amount);
  if (woven == nullptr || !is_amount(amount)) return std::nullopt;
  const double across_m =
      std::max(across_by_loom_m(swatch.piece, amount.state), across_by_widths_m(swatch, amount));
  return across_m * woven->extent.count * amount.share * woven->areas.front().strand.held;
}

std::optional<double> least_mass_g(const Swatch& swatch, const Measurement& amount,
                                   const estimate::Workshop& workshop) {
  constexpr double kOnceIn700 = 3.0;  // standard deviations of a normal, one side
  const auto straight_m = straight_way_m(swatch, amount);
  if (!straight_m || amount.what != Measured::Mass) return std::nullopt;
  Measurement metre = amount;
  metre.what = Measured::Density;
  metre.reading_sd = 0.0;
  const Foretold g_per_m = foretold(swatch, metre, workshop);
  return *straight_m * std::exp(g_per_m.log_mid - kOnceIn700 * g_per_m.log_sd) - amount.step;
}

}  // namespace ellwand::calibrate

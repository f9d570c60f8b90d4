#include "ellwand/calibrate/found_shares.hpp"

#include "ellwand/calibrate/observe.hpp"
#include "ellwand/cloth/racetrack.hpp"
#include "ellwand/estimate/height_share.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <fmt/format.h>
#include <boost/math/tools/roots.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <utility>

namespace ellwand::calibrate {

namespace {

/// A height of all is that of the one band there is.
bool is_of_band(const Measurement& one, std::size_t band, const piece::Piece& piece) {
  return one.band ? *one.band == band : piece.bands.size() == 1;
}

/// What was measured of an end's band beside it.
Unpicked beside(const Measurement& end, const Swatch& swatch) {
  Unpicked found{&end, nullptr, nullptr};
  if (!end.band) return found;
  for (const Measurement& one : swatch.measurements) {
    if (!is_of_band(one, *end.band, swatch.piece)) continue;
    if (one.what == Measured::Height) found.height = &one;
    if (one.what == Measured::Length && one.includes == Includes::InTheBand) found.weft = &one;
  }
  return found;
}

/// One band as it was measured, its share not yet known.
class MeasuredBand {
 public:
  MeasuredBand(const estimate::PieceModel& model, std::size_t band, const Measurement& height)
      : band_(std::get<technique::Woven>(model.piece().bands[band].work)) {
    const auto one = std::find_if(model.band_yarns().begin(), model.band_yarns().end(),
                                  [&](const auto& it) { return it.band == band; });
    lie_ = one->medians;
    const double rows =
        model.planned()[static_cast<std::size_t>(one - model.band_yarns().begin())].rows;
    height_ = metres(at_rest_m(model, height) / height.share);
    row_ = height_ / rows;
  }

  double crimp(double share) const {
    technique::Woven band = band_;
    band.beat.weft_share = share;
    return technique::warp_crimp(band, 0, lie_, row_).over_cloth;
  }
  /// Of the weft, least and greatest: between them both threads cross with what room they have.
  std::pair<double, double> shares() const {
    const auto weft = cloth::lying_flat(
        yarn::side_by_side_diameter(lie_.strand_diameter, band_.areas.at(0).strand.held),
        lie_.weft_flatness);
    const auto end = cloth::lying_flat(lie_.warp_diameter, lie_.warp_flatness);
    const Length<> both = end.thickness + weft.thickness;
    const auto part = [&](const Length<>& spacing, const Length<>& flat) {
      return cloth::greatest_height(std::max(spacing - flat, 1e-6 * both), both) / both;
    };
    const double warp = part(row_, weft.width - weft.thickness);
    const double most = part(lie_.warp_spacing, end.width - end.thickness);
    return {std::min(1.0 - warp, most), most};
  }
  Length<> height() const { return height_; }
  cloth::Face face() const { return band_.beat.face; }

 private:
  /// Off the loom, as slack as an end that is drawn out; washed, both have shrunk.
  static double at_rest_m(const estimate::PieceModel& model, const Measurement& height) {
    const bool is_taut = height.state == piece::State::OnLoom;
    return height.value * (is_taut ? 1.0 - model.relaxation() : 1.0);
  }

  technique::Woven band_;
  technique::Lie<> lie_;
  Length<> height_;  ///< at rest
  Length<> row_;
};

/// How far the logarithm of a figure strays; of a height on the loom also how far it goes back.
double log_sd_of(const Measurement& one, const estimate::StartingValues& values) {
  const bool goes_back = one.what == Measured::Height && one.state == piece::State::OnLoom;
  const auto relaxation = estimate::row("relaxation");
  const double going_back =
      goes_back ? values.spread(relaxation) / (1.0 - values.median(relaxation)) : 0.0;
  return std::hypot(values.median(error_name(one.what)), one.reading_sd / one.value, going_back);
}

/// The share at which the warp has this crimp, which falls as the weft takes more.
double share_with(const MeasuredBand& band, double crimp, double low, double high) {
  if (crimp >= band.crimp(low)) return low;
  if (crimp <= band.crimp(high)) return high;
  std::uintmax_t most_steps = 100;
  const auto bracket =
      boost::math::tools::bisect([&](double share) { return crimp - band.crimp(share); }, low, high,
                                 boost::math::tools::eps_tolerance<double>(40), most_steps);
  return 0.5 * (bracket.first + bracket.second);
}

/// How fast the crimp falls about a share, within what there is.
double fall_about(const MeasuredBand& band, double share, double low, double high) {
  const double reach = 0.1 * (high - low);
  const double from = std::max(low, share - reach);
  const double to = std::min(high, share + reach);
  return (band.crimp(from) - band.crimp(to)) / (to - from);
}

constexpr double kStray = 3.0;  ///< standard deviations that a reading may be out by

void require_between(double crimp, double sd, double least, double most) {
  if (crimp < least - kStray * sd) {
    throw OutOfRange(fmt::format(
        "these ends are {:.1f} % {} than the cloth they came out of at rest, and between "
        "these rows they are {:.1f} % longer at least; straighten them, measure again, "
        "and see that the height is of the same band",
        100.0 * std::abs(crimp), crimp < 0.0 ? "shorter" : "longer", 100.0 * least));
  }
  if (crimp > most + kStray * sd) {
    throw OutOfRange(fmt::format(
        "these ends are {:.1f} % longer than the cloth they came out of at rest, and between "
        "rows so close they can be {:.1f} % longer at most; see that the number of "
        "ends is right and that the height is of the same band",
        100.0 * crimp, 100.0 * most));
  }
}

}  // namespace

std::vector<Unpicked> unpicked_of(const Swatch& swatch) {
  std::vector<Unpicked> all;
  for (const Measurement& one : swatch.measurements) {
    if (one.what == Measured::EndLength) all.push_back(beside(one, swatch));
  }
  return all;
}

std::optional<FoundShare> found_share(const Swatch& swatch, const Unpicked& unpicked,
                                      const estimate::Workshop& workshop) {
  if (!unpicked.is_whole()) return std::nullopt;
  const std::size_t number = *unpicked.end->band;
  const piece::Band& its = swatch.piece.bands.at(number);
  if (its.comes_out || !std::holds_alternative<technique::Woven>(its.work)) return std::nullopt;

  const estimate::PieceModel model(swatch.piece, workshop);
  const MeasuredBand band(model, number, *unpicked.height);
  const auto [low, high] = band.shares();
  if (!(low < high)) return std::nullopt;
  const double over = unpicked.end->value / in_metres(band.height());
  const double sd = over * std::hypot(log_sd_of(*unpicked.end, workshop.values),
                                      log_sd_of(*unpicked.height, workshop.values));
  require_between(over - 1.0, sd, band.crimp(high), band.crimp(low));
  const double share = share_with(band, over - 1.0, low, high);
  const double fall = fall_about(band, share, low, high);
  if (!(fall > 0.0)) return std::nullopt;
  const double starting = estimate::weft_height_share(workshop.values, nullptr, band.face());
  return FoundShare{band.face(), share - starting, sd / fall};
}

namespace {

/// Readings of one number, taken together by their precisions.
struct Together {
  double precision = 0.0;
  double sum = 0.0;
  void add(double value, double spread) {
    precision += 1.0 / (spread * spread);
    sum += value / (spread * spread);
  }
};

constexpr std::array kFaces = {cloth::Face::Weft, cloth::Face::Balanced, cloth::Face::Warp};

FittedCoefficient coefficient_of(cloth::Face face, Together readings,
                                 const estimate::StartingValues& values) {
  const estimate::StartingValue& start =
      values.at(estimate::kStartingNames[estimate::height_share_row(face).place]);
  readings.add(0.0, start.spread);
  return {estimate::height_share_name(face), start.meaning, start.spread,
          readings.sum / readings.precision, 1.0 / std::sqrt(readings.precision)};
}

}  // namespace

std::vector<FittedCoefficient> found_shares(const std::vector<Swatch>& swatches,
                                            const estimate::Workshop& workshop) {
  std::array<Together, kFaces.size()> by_face;
  std::vector<Complaint> complaints;
  for (const Swatch& swatch : swatches) {
    for (const Unpicked& unpicked : unpicked_of(swatch)) {
      try {
        const auto found = found_share(swatch, unpicked, workshop);
        if (found) by_face[static_cast<std::size_t>(found->face)].add(found->shift, found->spread);
      } catch (const OutOfRange& refusal) {
        complaints.push_back({swatch.file, unpicked.end->line, 0,
                              fmt::format("{}: {}", unpicked.end->column, refusal.what())});
      }
    }
  }
  if (!complaints.empty()) throw BadInput(complaints);
  std::vector<FittedCoefficient> found;
  for (const cloth::Face face : kFaces) {
    const Together& readings = by_face[static_cast<std::size_t>(face)];
    if (readings.precision > 0.0) found.push_back(coefficient_of(face, readings, workshop.values));
  }
  return found;
}

}  // namespace ellwand::calibrate

#pragma once
/// From the parts of a piece to the range of each yarn, its set-aside, and the chance of running
/// short of any.

#include "ellwand/estimate/estimate.hpp"
#include "ellwand/numeric/range.hpp"

#include <functional>
#include <memory>
#include <span>
#include <vector>

namespace ellwand::estimate {

/// Some of a piece's parts taken together.
///
/// More than kMostApart of them are drawn together: those of one portion that move nearly alike
/// along the direction in which the sum is steepest become one, with the mean of their slopes and,
/// so that the mean of the sum stays, a median a little larger. Apart they would cost the square of
/// their number.
///
/// Accuracy: against all of them apart see test Sum.OfManyPartsIsThatOfAllApart.
class Sum {
 public:
  static constexpr std::size_t kMostApart = 64;

  /// @param chosen  indices into the parts, which must outlive the sum
  Sum(const Parts& parts, std::vector<std::size_t> chosen);

  numeric::ShiftedLognormal length_m() const;
  /// The 5, 50 and 95 % points that it goes through.
  numeric::Range length_points_m() const;
  /// The same of some of them.
  /// @param some  of the chosen indices, rising as those must then be
  numeric::Range length_points_m(std::span<const std::size_t> some) const;
  /// Whether some of the chosen indices are all of them.
  bool is_all(std::span<const std::size_t> some) const { return some.size() == parts_in_all_; }

  /// As a mass in g, each part unsure by the lot as well, whose slope is `lot_spread` in the
  /// coefficient `lot`.
  numeric::ShiftedLognormal mass_g(double grams_per_metre, std::size_t lot,
                                   double lot_spread) const;

  struct Yarn {
    double grams_per_metre;
    std::size_t lot;
    double lot_spread;
  };
  numeric::Range mass_points_g(const Yarn& yarn) const;

  /// Covariance of two masses in g^2, the lots being the two yarns' own.
  double mass_covariance(const Yarn& mine, const Sum& other, const Yarn& its) const;

  /// How the mass moves with each coefficient where it is steepest, to first order: a row of length
  /// 1, or empty where nothing is unsure.
  SlopeRows mass_direction(const Yarn& yarn) const;

 private:
  SlopeRows::Row row(std::size_t i) const { return parts().slopes.row(chosen_[i]); }
  const Parts& parts() const { return drawn_ ? *drawn_ : *parts_; }
  void draw_together();
  /// @param lot  how the logarithm of every part moves with each factor beside its own slopes;
  ///             empty for a length
  numeric::Range over_states(double factor, const SlopeRows& lot) const;
  /// Covariances of the logarithms of the masses.
  void add_lot(const Yarn& yarn, double* with_lot) const;
  bool bends() const;
  SlopeRows grams_slopes(const Yarn& yarn) const;
  /// At each of them in m.
  std::span<const double> medians_m() const { return {numbers_.data(), chosen_.size()}; }
  /// Of the logarithms of the lengths.
  std::span<const double> covariances() const {
    return std::span(numbers_).subspan(chosen_.size());
  }

  const Parts* parts_;
  std::shared_ptr<const Parts> drawn_;  ///< in their place, where they are many
  std::vector<std::size_t> chosen_;
  std::size_t parts_in_all_;     ///< drawn together or not
  std::vector<double> numbers_;  ///< medians, then covariances
};

/// The parts of each yarn together, which must outlive their sums.
std::vector<Sum> sums_by_yarn(const Parts& parts, std::size_t yarns);

/// A yarn of some parts, with its doubt as a label has it.
struct LabelledYarn {
  const yarn::Yarn* yarn;
  Sum::Yarn label;
};

/// Amounts of several yarns that are unsure together.
struct JointAmounts {
  std::vector<numeric::ShiftedLognormal> amounts;
  std::vector<double> correlation;  ///< of their normal scores, row after row
};

/// What the parts come to, yarn by yarn.
///
/// @param yarns  in the order that the parts count them; with 1 g per metre and no spread of the
///               lot the amount is in metres
JointAmounts joint_amounts(const std::vector<Sum::Yarn>& yarns, const Parts& parts);

struct Chances {
  double any_short = 0.0;  ///< of the shelf where it is stated, of the set-aside otherwise
  double any_set_aside_short = 0.0;  ///< when each yarn is set aside as said
};

/// Fills lengths, masses, set-asides, put-ups and chances of every yarn. Plans and cut roundings
/// must stand already.
/// @param yarns  in the order that the parts count them
/// @param sums   of the parts of each
/// @returns      nothing but zeros unless `options.chances`
Chances reckon_yarns(const std::vector<LabelledYarn>& yarns, const std::vector<Sum>& sums,
                     const Shelf& shelf, const Options& options,
                     std::vector<YarnEstimate>& estimates);

/// Fills lengths, masses, set-asides, put-ups and chances of every yarn, and the piece's chances.
/// Plans and cut roundings must stand already.
void reckon_yarns(const PieceModel& model, const std::vector<Sum>& sums, const Shelf& shelf,
                  const Options& options, PieceEstimate& estimate);

/// What a yarn takes in some of the places that it is used in.
struct YarnOfPlaces {
  Spread length_m;
  Spread mass_g;
  double mean_m = 0.0;
  double mean_g = 0.0;
  double set_aside_m = 0.0;
  double set_aside_g = 0.0;
};

/// Waste and allowances go with what is worked, share by share; what every colour loses at its
/// start is taken only once in a piece.
///
/// @param parts        of the model, by independent factors
/// @param is_among     of a part of a band, the warp or the cord: whether it is of these places
/// @param starts_here  the loss of a colour's start is theirs
/// @param service      chance that the set-aside is enough, between 0 and 1
YarnOfPlaces yarn_of_places(const PieceModel& model, Parts parts, std::size_t yarn,
                            const std::function<bool(const Parts::Place&)>& is_among,
                            bool starts_here, double service);

/// A part of a yarn's doubt.
struct DoubtShare {
  std::size_t coefficient;
  double share;  ///< of the variance of the yarn's length, to first order; all sum to 1
};

/// Where the doubt about a yarn's length comes from, the largest share first. Of coefficients that
/// hang together each has half of what they share; one that makes up for others has less than 0.
///
/// @param parts  with slopes by the coefficients
std::vector<DoubtShare> doubt_shares(const Parts& parts, const Coefficients& coefficients,
                                     std::size_t yarn);

/// The range of one yarn in one band.
Spread range_of_place(const Parts& parts, int band, std::size_t yarn);

/// The length that the ends of a warp suffice with 19 times in 20, all together; nothing where no
/// part is of it.
/// @param warp  with its place, its range not yet
std::optional<double> enough_warp_m(const Parts& parts, const std::vector<Sum>& sums,
                                    const BandEstimate& warp);

/// Fills the range of every band and yarn.
/// @param sums  of the parts of each yarn
void reckon_bands(const Parts& parts, const std::vector<Sum>& sums, PieceEstimate& estimate);

}  // namespace ellwand::estimate

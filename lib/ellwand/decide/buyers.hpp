#pragma once
/// Those who weave from a kit: beginners, none of whom the studio knows.

#include "ellwand/estimate/coefficients.hpp"
#include "ellwand/piece/piece.hpp"

#include <optional>
#include <string>

namespace ellwand::decide {

/// How one beginner differs from another, and where that is known from.
struct Buyers {
  enum class Basis { Stated, Calibration, Starting };
  double spread = 0.2;  ///< log-sd of all a beginner lays
  int met = 0;          ///< so many beginners showed it; 0 where it is taken as known
  Basis basis = Basis::Starting;
};

/// Stated by the studio; or what her own weavers taught, where there were several; or the starting
/// value.
///
/// @param learned  null without a calibration
Buyers buyers_of(std::optional<double> stated, int met, const estimate::Learned* learned,
                 const estimate::StartingValues& values);

/// The spread to reckon with so that a share of new buyers is covered though only a few were met.
///
/// With z the score of `finish` and n met: spread t(n - 1; finish) sqrt(1 + 1/n) / z, on average
/// over what such a few might have shown; with `sure`, spread k / z, k the tolerance factor. Exact
/// where beginners are all that is unsure.
///
/// @param finish  from above 0.5 to 0.9999
/// @param sure    how sure the share is to be, from 0.5; none for on average
///
/// Source: prediction of one more normal value, e.g. G. J. Hahn, Industrial Quality Control 25
///         (1969) 613-617 (from memory); numeric/tolerance.hpp.
double allowed_spread(const Buyers& buyers, double finish, std::optional<double> sure);

/// The piece as somebody unknown weaves it: a beginner, of lots not met yet.
piece::Piece woven_by(const piece::Piece& piece, const std::string& buyer);

/// What her swatches taught, of another hand than her own. Where all evidence is of one weaver, her
/// way stands in the hand; some of it is hers alone.
///
/// With h and w the starting spreads of the hand and of a weaver, of what is known of their sum the
/// share r = h^2 / (h^2 + w^2) is the hand's, and its variance has h^2 w^2 / (h^2 + w^2) more.
/// Source: derived, conditional normals.
estimate::Learned of_another_hand(const estimate::Learned& learned,
                                  const estimate::StartingValues& values);

}  // namespace ellwand::decide

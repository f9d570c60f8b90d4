#include "ellwand/decide/buyers.hpp"

#include "ellwand/numeric/normal.hpp"
#include "ellwand/numeric/student.hpp"
#include "ellwand/numeric/tolerance.hpp"
#include "ellwand/units/error.hpp"

#include <cmath>

namespace ellwand::decide {

Buyers buyers_of(std::optional<double> stated, int met, const estimate::Learned* learned,
                 const estimate::StartingValues& values) {
  if (stated) return {*stated, met, Buyers::Basis::Stated};
  if (learned != nullptr && !learned->one_weaver) {
    const auto found = learned->spreads.find("weaver.beginner");
    if (found != learned->spreads.end()) return {found->second, 0, Buyers::Basis::Calibration};
  }
  return {values.at("weaver.beginner").spread, 0, Buyers::Basis::Starting};
}

double allowed_spread(const Buyers& buyers, double finish, std::optional<double> sure) {
  if (buyers.met == 0) return buyers.spread;
  require_range("a share of buyers", finish, 0.5001, 0.9999, "a kit");
  const double n = buyers.met;
  const double factor = sure
                            ? numeric::tolerance_factor(buyers.met, finish, *sure)
                            : numeric::student_quantile(finish, n - 1.0) * std::sqrt(1.0 + 1.0 / n);
  return buyers.spread * factor / numeric::normal_quantile(finish);
}

piece::Piece woven_by(const piece::Piece& piece, const std::string& buyer) {
  piece::Piece theirs = piece;
  theirs.beginner = true;
  theirs.weaver = buyer;
  for (auto& [yarn, lot] : theirs.lots) lot = "(of a kit)";
  return theirs;
}

estimate::Learned of_another_hand(const estimate::Learned& learned,
                                  const estimate::StartingValues& values) {
  estimate::Learned other = learned;
  const std::size_t hand = learned.find("hand");
  if (!learned.one_weaver || hand == estimate::Learned::kNone) return other;
  const double h2 = std::pow(values.at("hand").spread, 2.0);
  const double w2 = std::pow(values.at("weaver.experienced").spread, 2.0);
  const double share = h2 / (h2 + w2);
  const std::size_t n = learned.names.size();
  other.means[hand] *= share;
  for (std::size_t c = 0; c < n; ++c) {
    other.covariances[hand * n + c] *= share;
    other.covariances[c * n + hand] *= share;
  }
  other.covariances[hand * (n + 1)] += share * w2;
  return other;
}

}  // namespace ellwand::decide

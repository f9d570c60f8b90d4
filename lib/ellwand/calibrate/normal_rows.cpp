#include "ellwand/calibrate/normal_rows.hpp"

#include "ellwand/units/error.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace ellwand::calibrate {

/// The rows of one piece, as sums of products. What NormalRows is made of may not be of this file
/// alone.
struct PieceSums {
  std::vector<std::size_t> touched;  ///< common coefficients its rows move with
  Eigen::MatrixXd own;               ///< own x own
  Eigen::MatrixXd cross;             ///< own x touched
  Eigen::VectorXd right;             ///< own with the values
};

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

Index place_in(std::vector<std::size_t>& touched, std::size_t coefficient) {
  const auto found = std::find(touched.begin(), touched.end(), coefficient);
  if (found != touched.end()) return found - touched.begin();
  touched.push_back(coefficient);
  return static_cast<Index>(touched.size()) - 1;
}

/// Below this root of a pivot, in natural units, a coefficient is not pinned.
constexpr double kLeastPinned = 1e-7;

bool is_flat(double variance) { return std::isinf(variance); }

/// What each coefficient is measured in so that its prior variance is 1, or, where nothing is known
/// before, so that its own rows add up to 1.
VectorXd natural_units(const MatrixXd& gram, std::span<const double> variances, double noise) {
  VectorXd units(gram.rows());
  for (Index i = 0; i < units.size(); ++i) {
    const double variance = variances[static_cast<std::size_t>(i)];
    units(i) = !is_flat(variance) ? std::sqrt(variance) / noise
               : gram(i, i) > 0.0 ? 1.0 / std::sqrt(gram(i, i))
                                  : 1.0;
  }
  return units;
}

/// units G units, and 1 more on the diagonal where there is a prior.
MatrixXd precision(const MatrixXd& gram, std::span<const double> variances, const VectorXd& units) {
  MatrixXd all = units.asDiagonal() * gram * units.asDiagonal();
  for (Index i = 0; i < all.rows(); ++i) {
    if (!is_flat(variances[static_cast<std::size_t>(i)])) all(i, i) += 1.0;
  }
  return all;
}

double log_determinant(const Eigen::LLT<MatrixXd>& root) {
  return 2.0 * root.matrixLLT().diagonal().array().log().sum();
}

}  // namespace

struct NormalRows::Pressed {
  std::size_t common = 0;
  std::size_t own = 0;
  std::size_t rows = 0;
  MatrixXd gram;
  VectorXd right;
  double square = 0.0;
  double log_variances = 0.0;
  std::vector<PieceSums> pieces;

  void add(const LinearRow& row);
  void add_own(const LinearRow& row, double weight);
};

void NormalRows::Pressed::add(const LinearRow& row) {
  const double weight = 1.0 / (row.sd * row.sd);
  for (const Slope& a : row.common) {
    const auto i = static_cast<Index>(a.coefficient);
    right(i) += weight * a.slope * row.value;
    for (const Slope& b : row.common) {
      gram(i, static_cast<Index>(b.coefficient)) += weight * a.slope * b.slope;
    }
  }
  square += weight * row.value * row.value;
  log_variances += 2.0 * std::log(row.sd);
  ++rows;
  if (!row.own.empty()) add_own(row, weight);
}

void NormalRows::Pressed::add_own(const LinearRow& row, double weight) {
  PieceSums& piece = pieces.at(row.piece);
  if (piece.own.size() == 0) {
    const auto size = static_cast<Index>(own);
    piece.own = MatrixXd::Zero(size, size);
    piece.right = VectorXd::Zero(size);
    piece.cross = MatrixXd::Zero(size, 0);
  }
  for (const Slope& b : row.common) {
    const Index place = place_in(piece.touched, b.coefficient);
    if (place >= piece.cross.cols()) {
      piece.cross.conservativeResize(Eigen::NoChange, place + 1);
      piece.cross.col(place).setZero();
    }
    for (const Slope& a : row.own) {
      piece.cross(static_cast<Index>(a.coefficient), place) += weight * a.slope * b.slope;
    }
  }
  for (const Slope& a : row.own) {
    const auto i = static_cast<Index>(a.coefficient);
    piece.right(i) += weight * a.slope * row.value;
    for (const Slope& b : row.own) {
      piece.own(i, static_cast<Index>(b.coefficient)) += weight * a.slope * b.slope;
    }
  }
}

namespace {

void check(const LinearRow& row, std::size_t common, std::size_t own) {
  const auto is_within = [](const std::vector<Slope>& slopes, std::size_t size) {
    return std::all_of(slopes.begin(), slopes.end(), [&](const Slope& one) {
      return one.coefficient < size && std::isfinite(one.slope);
    });
  };
  if (!is_within(row.common, common) || !is_within(row.own, own)) {
    throw OutOfRange("a row's slope is not finite, or of a coefficient that is not there");
  }
  if (!std::isfinite(row.value) || !(row.sd > 0.0) || !std::isfinite(row.sd)) {
    throw OutOfRange("a row needs a finite value and a finite sd above 0");
  }
}

/// One piece's own coefficients, in their natural units.
struct OwnRoot {
  VectorXd units;
  Eigen::LLT<MatrixXd> root;
  OwnRoot(const PieceSums& piece, std::span<const double> variances, double noise)
      : units(natural_units(piece.own, variances, noise)),
        root(precision(piece.own, variances, units)) {}
};

}  // namespace

/// The common coefficients' sums once the pieces' own are integrated out.
struct CommonRows::Sums {
  MatrixXd gram;
  VectorXd right;
  double square = 0.0;
  double log_determinant = 0.0;  ///< of the values' covariance, the common coefficients held
  double rows = 0.0;
  double noise = 1.0;

  void take_out(const PieceSums& piece, const OwnRoot& own);
};

void CommonRows::Sums::take_out(const PieceSums& piece, const OwnRoot& own) {
  const MatrixXd cross = own.root.matrixL().solve(own.units.asDiagonal() * piece.cross);
  const VectorXd own_right = own.root.matrixL().solve(own.units.asDiagonal() * piece.right);
  const MatrixXd taken = cross.transpose() * cross;
  const VectorXd taken_right = cross.transpose() * own_right;
  for (Index i = 0; i < taken.rows(); ++i) {
    const auto row = static_cast<Index>(piece.touched[static_cast<std::size_t>(i)]);
    right(row) -= taken_right(i);
    for (Index j = 0; j < taken.cols(); ++j) {
      gram(row, static_cast<Index>(piece.touched[static_cast<std::size_t>(j)])) -= taken(i, j);
    }
  }
  square -= own_right.squaredNorm();
  log_determinant += calibrate::log_determinant(own.root);
}

NormalRows::NormalRows(std::span<const LinearRow> rows, std::size_t common, std::size_t own) {
  auto pressed = std::make_unique<Pressed>();
  pressed->common = common;
  pressed->own = own;
  const auto size = static_cast<Index>(common);
  pressed->gram = MatrixXd::Zero(size, size);
  pressed->right = VectorXd::Zero(size);
  std::size_t pieces = 0;
  for (const LinearRow& row : rows) {
    check(row, common, own);
    if (!row.own.empty()) pieces = std::max(pieces, row.piece + 1);
  }
  pressed->pieces.resize(pieces);
  for (const LinearRow& row : rows) pressed->add(row);
  pressed_ = std::move(pressed);
}

NormalRows::NormalRows(NormalRows&&) noexcept = default;
NormalRows::~NormalRows() = default;

CommonRows NormalRows::without_own(std::span<const double> own_variances, double noise) const {
  const Pressed& all = *pressed_;
  auto sums = std::make_unique<CommonRows::Sums>();
  sums->gram = all.gram;
  sums->right = all.right;
  sums->square = all.square;
  sums->rows = static_cast<double>(all.rows);
  sums->noise = noise;
  sums->log_determinant = all.log_variances + 2.0 * sums->rows * std::log(noise);
  for (const PieceSums& piece : all.pieces) {
    if (piece.own.size() > 0) sums->take_out(piece, OwnRoot(piece, own_variances, noise));
  }
  return CommonRows(std::move(sums));
}

CommonRows::CommonRows(std::unique_ptr<Sums> sums) : sums_(std::move(sums)) {}
CommonRows::CommonRows(CommonRows&&) noexcept = default;
CommonRows::~CommonRows() = default;

namespace {

/// Coefficients that no row moves with and that have a prior keep it, whatever was measured: only
/// the others need any algebra.
std::vector<Index> touched_of(const MatrixXd& gram, std::span<const double> variances) {
  std::vector<Index> touched;
  for (Index i = 0; i < gram.rows(); ++i) {
    if (gram(i, i) != 0.0 || is_flat(variances[static_cast<std::size_t>(i)])) touched.push_back(i);
  }
  return touched;
}

/// The precision of the common coefficients, in their natural units, as its root.
struct CommonRoot {
  std::vector<Index> touched;
  std::vector<double> priors;  ///< of those touched
  VectorXd units;
  VectorXd right;
  Eigen::LLT<MatrixXd> root;

  CommonRoot(const MatrixXd& all, const VectorXd& all_right, std::span<const double> variances,
             double noise)
      : touched(touched_of(all, variances)) {
    for (const Index i : touched) priors.push_back(variances[static_cast<std::size_t>(i)]);
    const MatrixXd gram = all(touched, touched);
    units = natural_units(gram, priors, noise);
    right = units.cwiseProduct(all_right(touched));
    root.compute(precision(gram, priors, units));
  }

  bool is_pinned() const {
    return root.rows() == 0 || (root.info() == Eigen::Success &&
                                root.matrixLLT().diagonal().minCoeff() >= kLeastPinned);
  }
};

}  // namespace

double CommonRows::log_likelihood(std::span<const double> variances) const {
  const Sums& sums = *sums_;
  const CommonRoot common(sums.gram, sums.right, variances, sums.noise);
  if (!common.is_pinned()) return -std::numeric_limits<double>::infinity();
  const VectorXd right = common.root.matrixL().solve(common.right);
  double flat = 0.0;
  double log_units = 0.0;
  for (std::size_t i = 0; i < common.priors.size(); ++i) {
    if (!is_flat(common.priors[i])) continue;
    flat += 1.0;
    log_units += 2.0 * std::log(common.units(static_cast<Index>(i)));
  }
  const double variance = sums.noise * sums.noise;
  return -0.5 * ((sums.rows - flat) * std::log(2.0 * std::numbers::pi) - flat * std::log(variance) +
                 sums.log_determinant + log_determinant(common.root) - log_units +
                 (sums.square - right.squaredNorm()) / variance);
}

Posterior CommonRows::posterior(std::span<const double> variances) const {
  const Sums& sums = *sums_;
  const CommonRoot common(sums.gram, sums.right, variances, sums.noise);
  if (!common.is_pinned()) {
    throw OutOfRange("the rows do not tell every coefficient apart that nothing is known of");
  }
  const Index n = sums.gram.rows();
  const auto size = static_cast<Index>(common.touched.size());
  Posterior posterior{std::vector<double>(variances.size(), 0.0),
                      std::vector<double>(variances.size() * variances.size(), 0.0)};
  Eigen::Map<VectorXd> means(posterior.means.data(), n);
  Eigen::Map<MatrixXd> covariances(posterior.covariances.data(), n, n);
  for (Index i = 0; i < n; ++i) covariances(i, i) = variances[static_cast<std::size_t>(i)];
  means(common.touched) = common.units.cwiseProduct(common.root.solve(common.right));
  const MatrixXd inverse = common.root.solve(MatrixXd::Identity(size, size));
  covariances(common.touched, common.touched) =
      sums.noise * sums.noise * (common.units.asDiagonal() * inverse * common.units.asDiagonal());
  return posterior;
}

std::vector<double> NormalRows::own_means(std::span<const double> own_variances,
                                          std::span<const double> common, double noise) const {
  const Pressed& all = *pressed_;
  std::vector<double> means(all.pieces.size() * all.own, 0.0);
  for (std::size_t p = 0; p < all.pieces.size(); ++p) {
    const PieceSums& piece = all.pieces[p];
    if (piece.own.size() == 0) continue;
    VectorXd touched(static_cast<Index>(piece.touched.size()));
    for (std::size_t i = 0; i < piece.touched.size(); ++i) {
      touched(static_cast<Index>(i)) = common[piece.touched[i]];
    }
    const OwnRoot own(piece, own_variances, noise);
    const VectorXd right = own.units.asDiagonal() * (piece.right - piece.cross * touched);
    const VectorXd mean = own.units.asDiagonal() * own.root.solve(right).eval();
    std::copy(mean.data(), mean.data() + mean.size(),
              means.begin() + static_cast<long>(p * all.own));
  }
  return means;
}

}  // namespace ellwand::calibrate

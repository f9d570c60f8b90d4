#include "ellwand/numeric/covariance.hpp"

#include <Eigen/SVD>
#include <cmath>

namespace ellwand::numeric {

namespace {

using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double kLeastSingular = 1e-13;

/// Lengths of the columns, 1 for one without length.
VectorXd column_lengths(const MatrixXd& slopes) {
  VectorXd lengths = slopes.colwise().stableNorm().transpose();
  for (double& length : lengths) {
    if (!(length > 0.0)) length = 1.0;
  }
  return lengths;
}

}  // namespace

Uncertainty uncertainty_of(std::span<const double> slopes, std::size_t unknowns,
                           std::size_t data_rows) {
  const auto columns = static_cast<Index>(unknowns);
  const auto rows = static_cast<Index>(slopes.size()) / columns;
  MatrixXd scaled = Eigen::Map<const RowMajor>(slopes.data(), rows, columns);
  const VectorXd lengths = column_lengths(scaled);
  scaled = scaled * lengths.cwiseInverse().asDiagonal();
  const Eigen::JacobiSVD<MatrixXd> svd(scaled, Eigen::ComputeThinU | Eigen::ComputeThinV);

  const VectorXd& singular = svd.singularValues();
  Uncertainty found;
  for (Index k = 0; k < singular.size(); ++k) {
    if (!(singular[k] > kLeastSingular * singular[0])) continue;
    ++found.rank;
    found.data_share += svd.matrixU().col(k).head(static_cast<Index>(data_rows)).squaredNorm();
  }
  if (found.rank < unknowns) return found;
  const MatrixXd root =
      lengths.cwiseInverse().asDiagonal() * svd.matrixV() * singular.cwiseInverse().asDiagonal();
  const RowMajor inverse = root * root.transpose();
  if (!inverse.allFinite()) return found;  // slopes so small that their squares are lost
  found.inverse.assign(inverse.data(), inverse.data() + inverse.size());
  return found;
}

}  // namespace ellwand::numeric

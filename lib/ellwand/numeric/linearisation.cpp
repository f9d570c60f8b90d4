#include "ellwand/numeric/linearisation.hpp"

#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <limits>

namespace ellwand::numeric {

namespace {

using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

Eigen::Map<const VectorXd> seen(std::span<const double> numbers) {
  return {numbers.data(), static_cast<Index>(numbers.size())};
}
Eigen::Map<VectorXd> seen(std::span<double> numbers) {
  return {numbers.data(), static_cast<Index>(numbers.size())};
}

/// Columns are taken as dependent when less than this part of one stands off those before it.
double least_standing_off(Index unknowns) {
  return 16.0 * static_cast<double>(unknowns) * std::numeric_limits<double>::epsilon();
}

class DenseLinearisation final : public Linearisation {
 public:
  explicit DenseLinearisation(MatrixXd slopes) : slopes_(std::move(slopes)), qr_(padded(slopes_)) {
    triangle_ = qr_.matrixQR().topRows(unknowns()).triangularView<Eigen::Upper>();
  }

  void column_norms(std::span<double> norms) const override {
    seen(norms) = slopes_.colwise().norm().transpose();
  }
  void gradient(std::span<const double> residuals, std::span<double> gradient) const override {
    seen(gradient).noalias() = slopes_.transpose() * seen(residuals);
  }
  void along(std::span<const double> step, std::span<double> change) const override {
    seen(change).noalias() = slopes_ * seen(step);
  }

  bool damp(std::span<const double> damping) override {
    damped_ = std::any_of(damping.begin(), damping.end(), [](double d) { return d != 0.0; });
    if (!damped_) {
      small_triangle_ = triangle_;
    } else {
      MatrixXd stacked = MatrixXd::Zero(2 * unknowns(), unknowns());
      stacked.topRows(unknowns()) = triangle_;
      stacked.bottomRows(unknowns()).diagonal() = seen(damping);
      small_.compute(stacked);
      small_triangle_ = small_.matrixQR().topRows(unknowns()).triangularView<Eigen::Upper>();
    }
    return stands_off();
  }

  void solve(std::span<const double> right, std::span<double> step) const override {
    VectorXd turned = VectorXd::Zero(qr_.rows());
    turned.head(slopes_.rows()) = seen(right);
    turned.applyOnTheLeft(qr_.householderQ().adjoint());
    VectorXd reduced = turned.head(unknowns());
    if (damped_) {
      VectorXd stacked = VectorXd::Zero(2 * unknowns());
      stacked.head(unknowns()) = reduced;
      stacked.applyOnTheLeft(small_.householderQ().adjoint());
      reduced = stacked.head(unknowns());
    }
    seen(step) = small_triangle_.triangularView<Eigen::Upper>().solve(reduced);
  }

 private:
  Index unknowns() const { return slopes_.cols(); }

  /// Rows of zeros below a matrix with fewer rows than columns.
  static MatrixXd padded(const MatrixXd& slopes) {
    MatrixXd tall = MatrixXd::Zero(std::max(slopes.rows(), slopes.cols()), slopes.cols());
    tall.topRows(slopes.rows()) = slopes;
    return tall;
  }

  /// Whether every column stands off those before it.
  bool stands_off() const {
    for (Index j = 0; j < unknowns(); ++j) {
      const double length = small_triangle_.col(j).head(j + 1).norm();
      const double off = std::abs(small_triangle_(j, j));
      if (!(off > least_standing_off(unknowns()) * length)) return false;
    }
    return true;
  }

  MatrixXd slopes_;
  Eigen::HouseholderQR<MatrixXd> qr_;
  MatrixXd triangle_;
  bool damped_ = false;
  Eigen::HouseholderQR<MatrixXd> small_;
  MatrixXd small_triangle_;
};

}  // namespace

double moved_start(double at, double by) {
  constexpr double kThroughZero = -1.0;
  if (at == 0.0) return by;
  return by > kThroughZero ? at * std::exp(by) : -at * std::exp(2.0 * kThroughZero - by);
}

double ResidualProblem::moved(std::size_t /*unknown*/, double at, double by) const {
  return moved_start(at, by);
}

bool ResidualProblem::at_boundary(std::span<const double> /*at*/) const { return false; }

std::unique_ptr<Linearisation> dense_linearisation(std::span<const double> slopes,
                                                   std::size_t unknowns) {
  for (const double slope : slopes) {
    if (!std::isfinite(slope)) return nullptr;
  }
  const auto columns = static_cast<Index>(unknowns);
  const auto rows = static_cast<Index>(slopes.size()) / columns;
  return std::make_unique<DenseLinearisation>(
      Eigen::Map<const RowMajor>(slopes.data(), rows, columns));
}

}  // namespace ellwand::numeric

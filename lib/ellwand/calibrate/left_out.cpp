#include "ellwand/calibrate/left_out.hpp"

#include "ellwand/numeric/student.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <cmath>
#include <map>

namespace ellwand::calibrate {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// The rows of one piece.
class Group {
 public:
  Group(std::span<const LinearRow> rows, std::vector<std::size_t> members,
        std::span<const double> sds)
      : rows_(rows), members_(std::move(members)), sds_(sds) {}

  void tell(const Posterior& posterior, std::span<const double> own_variances, double robustness,
            std::vector<LeftOut>& all) const {
    const Index n = size();
    const MatrixXd own = own_part(own_variances);
    MatrixXd counted = own;
    for (Index i = 0; i < n; ++i) counted(i, i) += std::pow(row(i).sd, 2.0);
    const MatrixXd of_common = common_part(posterior);
    const Eigen::LDLT<MatrixXd> kept(counted - of_common);
    const VectorXd residuals = counted * kept.solve(strays(posterior));
    // The doubt of the coefficients without this piece, C S^-1 C - C = C S^-1 H V H'.
    const MatrixXd doubt = counted * kept.solve(of_common);
    for (Index i = 0; i < n; ++i) {
      const double error = std::pow(sds_[members_[static_cast<std::size_t>(i)]], 2.0);
      const double variance = std::max(doubt(i, i), 0.0) + own(i, i) + error;
      all[members_[static_cast<std::size_t>(i)]] = {residuals(i), std::sqrt(variance),
                                                    robustness * std::pow(variance / error, 2.0)};
    }
  }

 private:
  Index size() const { return static_cast<Index>(members_.size()); }
  const LinearRow& row(Index i) const { return rows_[members_[static_cast<std::size_t>(i)]]; }

  VectorXd strays(const Posterior& posterior) const {
    VectorXd strays(size());
    for (Index i = 0; i < size(); ++i) {
      strays(i) = row(i).value;
      for (const Slope& one : row(i).common) {
        strays(i) -= one.slope * posterior.means[one.coefficient];
      }
    }
    return strays;
  }

  MatrixXd common_part(const Posterior& posterior) const {
    const std::size_t n = posterior.means.size();
    MatrixXd all = MatrixXd::Zero(size(), size());
    for (Index i = 0; i < size(); ++i) {
      for (Index j = 0; j < size(); ++j) {
        for (const Slope& a : row(i).common) {
          for (const Slope& b : row(j).common) {
            all(i, j) +=
                a.slope * b.slope * posterior.covariances[a.coefficient * n + b.coefficient];
          }
        }
      }
    }
    return all;
  }

  MatrixXd own_part(std::span<const double> own_variances) const {
    MatrixXd all = MatrixXd::Zero(size(), size());
    for (Index i = 0; i < size(); ++i) {
      for (Index j = 0; j < size(); ++j) {
        for (const Slope& a : row(i).own) {
          for (const Slope& b : row(j).own) {
            if (a.coefficient != b.coefficient) continue;
            all(i, j) += a.slope * b.slope * own_variances[a.coefficient];
          }
        }
      }
    }
    return all;
  }

  std::span<const LinearRow> rows_;
  std::vector<std::size_t> members_;
  std::span<const double> sds_;
};

}  // namespace

std::vector<LeftOut> left_out(std::span<const LinearRow> rows, std::span<const double> sds,
                              const Posterior& posterior, std::span<const double> own_variances,
                              double robustness) {
  std::map<std::size_t, std::vector<std::size_t>> by_piece;
  for (std::size_t i = 0; i < rows.size(); ++i) by_piece[rows[i].piece].push_back(i);
  std::vector<LeftOut> all(rows.size());
  for (auto& [piece, members] : by_piece) {
    Group(rows, std::move(members), sds).tell(posterior, own_variances, robustness, all);
  }
  return all;
}

double tail_chance(const LeftOut& one) {
  return 2.0 * numeric::student_cdf(-std::abs(one.residual) / one.sd, one.degrees);
}

}  // namespace ellwand::calibrate

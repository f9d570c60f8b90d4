#include "ellwand/calibrate/design.hpp"

#include "ellwand/units/error.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <cmath>

namespace ellwand::calibrate {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// A pivot of the information scaled to 1 on its diagonal that is less is rounding.
constexpr double kLeastPivot = 1e-13;

Eigen::Map<const VectorXd> as_vector(std::span<const double> numbers) {
  return {numbers.data(), static_cast<Index>(numbers.size())};
}

void require_size(std::span<const double> slopes, std::size_t unknowns) {
  const bool is_sound =
      slopes.size() == unknowns &&
      std::all_of(slopes.begin(), slopes.end(), [](double slope) { return std::isfinite(slope); });
  if (!is_sound) throw OutOfRange("a row has one finite slope for each unknown");
}

void require_sd(double sd) {
  if (!(sd > 0.0) || std::isinf(sd)) throw OutOfRange("a measurement has an error above 0");
}

/// Mean by weight of a function of rows.
template <class OfRow>
double weighted_mean(std::span<const WeightedRow> rows, OfRow of_row) {
  double sum = 0.0;
  double weights = 0.0;
  for (const WeightedRow& row : rows) {
    if (!(row.weight >= 0.0)) throw OutOfRange("weights are 0 or more");
    weights += row.weight;
    sum += row.weight * of_row(row.slopes);
  }
  if (!(weights > 0.0)) throw OutOfRange("of what is to be predicted one weight is above 0");
  return sum / weights;
}

}  // namespace

/// By Cholesky in units in which the diagonal is 1.
struct Information::Root {
  VectorXd units;
  Eigen::LLT<MatrixXd> root;
};

Information::Information(std::span<const WeightedRow> rows) {
  if (rows.empty() || rows.front().slopes.empty()) throw OutOfRange("a design has rows");
  const std::size_t unknowns = rows.front().slopes.size();
  MatrixXd sum = MatrixXd::Zero(static_cast<Index>(unknowns), static_cast<Index>(unknowns));
  for (const WeightedRow& row : rows) {
    require_size(row.slopes, unknowns);
    if (!(row.weight >= 0.0)) throw OutOfRange("weights are 0 or more");
    sum += row.weight * as_vector(row.slopes) * as_vector(row.slopes).transpose();
  }
  auto root = std::make_unique<Root>();
  root->units = sum.diagonal().cwiseSqrt().cwiseInverse();
  root->root.compute(root->units.asDiagonal() * sum * root->units.asDiagonal());
  if (!root->units.allFinite() || root->root.info() != Eigen::Success ||
      root->root.matrixLLT().diagonal().cwiseAbs2().minCoeff() < kLeastPivot) {
    throw OutOfRange("the rows of the design do not tell every unknown apart");
  }
  root_ = std::move(root);
}

Information::Information(Information&&) noexcept = default;
Information::~Information() = default;

double Information::determinant() const {
  return (root_->root.matrixLLT().diagonal().array() / root_->units.array()).square().prod();
}

double Information::sensitivity(std::span<const double> slopes) const {
  require_size(slopes, static_cast<std::size_t>(root_->units.size()));
  const VectorXd scaled = root_->units.cwiseProduct(as_vector(slopes));
  return root_->root.matrixL().solve(scaled).squaredNorm();
}

double Information::determinant_gain(std::span<const double> slopes, double weight) const {
  return 1.0 + weight * sensitivity(slopes);
}

double Information::average_variance(std::span<const WeightedRow> targets) const {
  return weighted_mean(targets, [&](const auto& slopes) { return sensitivity(slopes); });
}

Belief::Belief(std::vector<double> covariance, std::size_t unknowns)
    : covariance_(std::move(covariance)), unknowns_(unknowns) {
  bool is_sound = covariance_.size() == unknowns * unknowns;
  for (std::size_t i = 0; is_sound && i < covariance_.size(); ++i) {
    is_sound = std::isfinite(covariance_[i]) && (i % (unknowns + 1) != 0 || covariance_[i] >= 0.0);
  }
  if (!is_sound) throw OutOfRange("a covariance is finite, with no variance below 0");
}

namespace {

Eigen::Map<const MatrixXd> as_matrix(const std::vector<double>& numbers, std::size_t n) {
  return {numbers.data(), static_cast<Index>(n), static_cast<Index>(n)};
}

}  // namespace

double Belief::variance(std::span<const double> slopes) const {
  require_size(slopes, unknowns_);
  const auto f = as_vector(slopes);
  return std::max(0.0, f.dot(as_matrix(covariance_, unknowns_) * f));
}

double Belief::average_variance(std::span<const WeightedRow> targets) const {
  return weighted_mean(targets, [&](const auto& slopes) { return variance(slopes); });
}

double Belief::expected_information(std::span<const double> slopes, double sd) const {
  require_sd(sd);
  return 0.5 * std::log1p(variance(slopes) / (sd * sd));
}

std::vector<double> Belief::gain(std::span<const double> slopes, double sd) const {
  require_sd(sd);
  const double weight = 1.0 / (sd * sd + variance(slopes));
  std::vector<double> moved(unknowns_);
  Eigen::Map<VectorXd>(moved.data(), static_cast<Index>(unknowns_)) =
      weight * as_matrix(covariance_, unknowns_) * as_vector(slopes);
  return moved;
}

void Belief::learn(std::span<const double> slopes, double sd) {
  require_sd(sd);
  const double variance_there = variance(slopes);
  const VectorXd moved = as_matrix(covariance_, unknowns_) * as_vector(slopes);
  Eigen::Map<MatrixXd> covariance(covariance_.data(), moved.size(), moved.size());
  covariance -= moved * moved.transpose() / (sd * sd + variance_there);
  covariance.diagonal() = covariance.diagonal().cwiseMax(0.0);  // a rounding below
}

}  // namespace ellwand::calibrate

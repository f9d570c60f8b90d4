#pragma once
/// What a least-squares fit asks of its linear algebra, and a dense answer for small fits.
///
/// J is the matrix of slopes of the residuals by the unknowns at one point. The driver
/// (descent.hpp) sees J only through these functions, so that a problem with a structure of its own
/// brings its own and no dense matrix is ever formed.

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

namespace ellwand::numeric {

/// J at one point. Spans have one number a row (residual space) or one an unknown.
class Linearisation {
 public:
  Linearisation() = default;
  Linearisation(const Linearisation&) = delete;
  Linearisation& operator=(const Linearisation&) = delete;
  virtual ~Linearisation() = default;

  /// The length of each column of J.
  virtual void column_norms(std::span<double> norms) const = 0;

  /// J^T times a vector of residual space.
  virtual void gradient(std::span<const double> residuals, std::span<double> gradient) const = 0;

  /// J times a step of the unknowns.
  virtual void along(std::span<const double> step, std::span<double> change) const = 0;

  /// Makes ready for solve(): the rows diag(damping) stand below J.
  ///
  /// @param damping  one number an unknown, none negative; all 0 for the plain problem
  /// @returns        false when the columns depend on each other to rounding; solve() may not
  /// follow
  virtual bool damp(std::span<const double> damping) = 0;

  /// The step p that makes |J p - right|^2 + |damping p|^2 least, for the damping last given.
  virtual void solve(std::span<const double> right, std::span<double> step) const = 0;
};

/// A value moved by a change of its logarithm: at exp(by); below -1, where little of it is left,
/// through 0 to the other side, -at exp(-2 - by); from 0 to `by` itself.
double moved_start(double at, double by);

/// Residuals of the unknowns, and their slopes. Both are asked for at finite points only.
class ResidualProblem {
 public:
  ResidualProblem() = default;
  ResidualProblem(const ResidualProblem&) = delete;
  ResidualProblem& operator=(const ResidualProblem&) = delete;
  virtual ~ResidualProblem() = default;

  virtual std::size_t rows() const = 0;
  virtual std::size_t unknowns() const = 0;

  /// The residuals at a point; where they do not exist, any of them infinite or not a number.
  virtual void residuals(std::span<const double> at, std::span<double> residuals) const = 0;

  /// J at a point; null where a slope is infinite or not a number.
  virtual std::unique_ptr<Linearisation> linearise(std::span<const double> at) const = 0;

  /// Another value of an unknown to start from, `by` standing for a change of its logarithm: what a
  /// search for other minima takes. Here moved_start().
  virtual double moved(std::size_t unknown, double at, double by) const;

  /// Whether an unknown has run to the end of what it may be: then a vanished gradient says little.
  virtual bool at_boundary(std::span<const double> at) const;
};

/// A dense J by Householder QR: J = Q R once, then [R; diag(damping)] for every damping; J^T J is
/// never formed, which would square the condition (test
/// NistLinear.FilipKeepsSevenDigits: by the normal equations nothing is left).
///
/// @param slopes    J row after row
/// @param unknowns  numbers in a row, 1 or more
/// @returns         null when a slope is infinite or not a number
///
/// Source: J. J. More, The Levenberg-Marquardt algorithm: implementation and theory, Lecture Notes
///         in Mathematics 630 (1978) 105-116, section 3, with Householder reflections throughout.
std::unique_ptr<Linearisation> dense_linearisation(std::span<const double> slopes,
                                                   std::size_t unknowns);

}  // namespace ellwand::numeric

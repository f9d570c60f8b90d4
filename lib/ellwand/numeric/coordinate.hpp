#pragma once
/// The line on which a bounded parameter is fitted: no step can leave its bounds.

namespace ellwand::numeric {

/// How a parameter p hangs on its coordinate u, which is free from minus to plus infinity.
class Coordinate {
 public:
  /// p = u.
  static Coordinate plain() { return Coordinate(Kind::Plain, 0.0, 0.0); }
  /// p = exp(u): stays above 0, and an error in u is a relative error of p.
  static Coordinate above_zero() { return Coordinate(Kind::AboveZero, 0.0, 0.0); }
  /// p = low + (high - low) / (1 + exp(-u)): stays between the bounds.
  ///
  /// @throws OutOfRange unless both are finite and low < high
  static Coordinate between(double low, double high);

  /// u of a parameter; infinite or not a number when the parameter is not inside its bounds.
  double of(double parameter) const;
  /// p at u.
  double parameter(double u) const;
  /// dp/du at u.
  double slope(double u) const;
  /// Whether u has run so far from where it began that p is at a bound for all purposes: within
  /// 1e-9 of the way between two bounds, or a factor of 1e12 away from its start above 0.
  bool at_boundary(double u, double start) const;
  /// u moved by a change of the logarithm: of the parameter, or between bounds of the ratio of its
  /// distances to both; a plain one by moved_start() (linearisation.hpp).
  double moved(double u, double by) const;

 private:
  enum class Kind { Plain, AboveZero, Between };
  Coordinate(Kind kind, double low, double high) : kind_(kind), low_(low), high_(high) {}
  Kind kind_;
  double low_;
  double high_;
};

}  // namespace ellwand::numeric

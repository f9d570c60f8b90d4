#include "ellwand/numeric/coordinate.hpp"

#include <cmath>
#include <sstream>

#include "ellwand/numeric/linearisation.hpp"
#include "ellwand/units/error.hpp"

namespace ellwand::numeric {

namespace {
constexpr double kFarAlongLogit = 20.7;  // 1 / (1 + exp(20.7)) is 1e-9
constexpr double kFarAlongLog = 27.6;    // exp(27.6) is 1e12
}  // namespace

Coordinate Coordinate::between(double low, double high) {
  if (!(low < high) || !std::isfinite(low) || !std::isfinite(high)) {
    std::ostringstream text;
    text << "a parameter is to lie between " << low << " and " << high
         << "; give two finite bounds, the lower one first";
    throw OutOfRange(text.str());
  }
  return Coordinate(Kind::Between, low, high);
}

double Coordinate::of(double parameter) const {
  switch (kind_) {
    case Kind::Plain:
      return parameter;
    case Kind::AboveZero:
      return std::log(parameter);
    case Kind::Between:
      return std::log((parameter - low_) / (high_ - parameter));
  }
  return parameter;
}

double Coordinate::parameter(double u) const {
  switch (kind_) {
    case Kind::Plain:
      return u;
    case Kind::AboveZero:
      return std::exp(u);
    case Kind::Between:
      return low_ + (high_ - low_) / (1.0 + std::exp(-u));
  }
  return u;
}

double Coordinate::slope(double u) const {
  switch (kind_) {
    case Kind::Plain:
      return 1.0;
    case Kind::AboveZero:
      return std::exp(u);
    case Kind::Between: {
      const double e = std::exp(-std::abs(u));  // the slope is even in u; this never overflows
      return (high_ - low_) * e / ((1.0 + e) * (1.0 + e));
    }
  }
  return 1.0;
}

bool Coordinate::at_boundary(double u, double start) const {
  switch (kind_) {
    case Kind::Plain:
      return false;
    case Kind::AboveZero:
      return std::abs(u - start) > kFarAlongLog;
    case Kind::Between:
      return std::abs(u) > kFarAlongLogit;
  }
  return false;
}

double Coordinate::moved(double u, double by) const {
  return kind_ == Kind::Plain ? moved_start(u, by) : u + by;
}

}  // namespace ellwand::numeric

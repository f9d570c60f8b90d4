#pragma once
/// Lengths, masses and what is made of the two, with the unit at the door.
///
/// A quantity holds SI values (metres, kilograms) and cannot be made from a bare number: the doors
/// are the makers (`metres(2.0)`) and the readers (`in_metres(x)`), one pair for each unit the
/// trade writes. Sums of unlike quantities do not compile (test UnitsMustMatch).
///
/// Factors: the international yard (0.9144 m exactly) and pound (0.45359237 kg exactly),
/// agreement of 1959.

#include <numbers>
#include <type_traits>

namespace ellwand {

/// A number times metre^LengthPower times kilogram^MassPower.
template <int LengthPower, int MassPower, class Scalar = double>
class Quantity {
 public:
  using scalar_type = Scalar;

  constexpr Quantity() : si_(0.0) {}

  /// A plain quantity serves wherever one with slopes is wanted (its slopes are zero).
  template <class Other>
    requires(!std::is_same_v<Other, Scalar> && std::is_convertible_v<Other, Scalar>)
  // NOLINTNEXTLINE(google-explicit-constructor): conversion is what it is for
  constexpr Quantity(const Quantity<LengthPower, MassPower, Other>& other) : si_(other.si()) {}

  /// For makers, readers and the calibrator only: the value in SI units.
  static constexpr Quantity from_si(const Scalar& si) {
    Quantity made;
    made.si_ = si;
    return made;
  }
  constexpr const Scalar& si() const { return si_; }

  constexpr Quantity operator-() const { return from_si(-si_); }
  constexpr Quantity& operator+=(const Quantity& b) {
    si_ += b.si_;
    return *this;
  }
  constexpr Quantity& operator-=(const Quantity& b) {
    si_ -= b.si_;
    return *this;
  }

 private:
  Scalar si_;
};

template <class Scalar = double>
using Length = Quantity<1, 0, Scalar>;
template <class Scalar = double>
using Area = Quantity<2, 0, Scalar>;
template <class Scalar = double>
using Mass = Quantity<0, 1, Scalar>;
/// Mass of one length of yarn: g per km is tex.
template <class Scalar = double>
using LinearDensity = Quantity<-1, 1, Scalar>;
/// Threads per length: sett, wraps, picks.
template <class Scalar = double>
using ThreadDensity = Quantity<-1, 0, Scalar>;
/// Mass of one area of cloth.
template <class Scalar = double>
using ArealDensity = Quantity<-2, 1, Scalar>;
/// Mass of one volume of fibre or yarn.
template <class Scalar = double>
using VolumeDensity = Quantity<-3, 1, Scalar>;

namespace detail {
template <class A, class B>
using product_t = std::decay_t<decltype(std::declval<A>() * std::declval<B>())>;

template <int L, int M, class S>
constexpr auto made(const S& si) {
  if constexpr (L == 0 && M == 0) {
    return si;  // a ratio has no dimension
  } else {
    return Quantity<L, M, S>::from_si(si);
  }
}
template <class T>
struct is_quantity : std::false_type {};
template <int L, int M, class S>
struct is_quantity<Quantity<L, M, S>> : std::true_type {};
template <class T>
concept PureNumber = !is_quantity<T>::value;
}  // namespace detail

template <int L, int M, class A, class B>
constexpr auto operator+(const Quantity<L, M, A>& a, const Quantity<L, M, B>& b) {
  return Quantity<L, M, detail::product_t<A, B>>::from_si(a.si() + b.si());
}
template <int L, int M, class A, class B>
constexpr auto operator-(const Quantity<L, M, A>& a, const Quantity<L, M, B>& b) {
  return Quantity<L, M, detail::product_t<A, B>>::from_si(a.si() - b.si());
}
template <int L1, int M1, class A, int L2, int M2, class B>
constexpr auto operator*(const Quantity<L1, M1, A>& a, const Quantity<L2, M2, B>& b) {
  return detail::made<L1 + L2, M1 + M2, detail::product_t<A, B>>(a.si() * b.si());
}
template <int L1, int M1, class A, int L2, int M2, class B>
constexpr auto operator/(const Quantity<L1, M1, A>& a, const Quantity<L2, M2, B>& b) {
  return detail::made<L1 - L2, M1 - M2, detail::product_t<A, B>>(a.si() / b.si());
}
template <int L, int M, class A, detail::PureNumber B>
constexpr auto operator*(const Quantity<L, M, A>& a, const B& k) {
  return Quantity<L, M, detail::product_t<A, B>>::from_si(a.si() * k);
}
template <detail::PureNumber B, int L, int M, class A>
constexpr auto operator*(const B& k, const Quantity<L, M, A>& a) {
  return a * k;
}
template <int L, int M, class A, detail::PureNumber B>
constexpr auto operator/(const Quantity<L, M, A>& a, const B& k) {
  return Quantity<L, M, detail::product_t<A, B>>::from_si(a.si() / k);
}
template <detail::PureNumber B, int L, int M, class A>
constexpr auto operator/(const B& k, const Quantity<L, M, A>& a) {
  return detail::made<-L, -M, detail::product_t<A, B>>(k / a.si());
}

template <int L, int M>
constexpr bool operator==(const Quantity<L, M>& a, const Quantity<L, M>& b) {
  return a.si() == b.si();
}
template <int L, int M>
constexpr bool operator<(const Quantity<L, M>& a, const Quantity<L, M>& b) {
  return a.si() < b.si();
}
template <int L, int M>
constexpr bool operator>(const Quantity<L, M>& a, const Quantity<L, M>& b) {
  return b < a;
}
template <int L, int M>
constexpr bool operator<=(const Quantity<L, M>& a, const Quantity<L, M>& b) {
  return a.si() <= b.si();
}
template <int L, int M>
constexpr bool operator>=(const Quantity<L, M>& a, const Quantity<L, M>& b) {
  return b <= a;
}

inline constexpr double kMetresPerInch = 0.0254;
inline constexpr double kMetresPerYard = 0.9144;
inline constexpr double kKilogramsPerPound = 0.45359237;
inline constexpr double kKilogramsPerOunce = kKilogramsPerPound / 16.0;

// Lengths.
template <class S>
constexpr Length<S> metres(const S& x) {
  return Length<S>::from_si(x);
}
template <class S>
constexpr Length<S> centimetres(const S& x) {
  return Length<S>::from_si(x * 1e-2);
}
template <class S>
constexpr Length<S> millimetres(const S& x) {
  return Length<S>::from_si(x * 1e-3);
}
template <class S>
constexpr Length<S> inches(const S& x) {
  return Length<S>::from_si(x * kMetresPerInch);
}
template <class S>
constexpr Length<S> yards(const S& x) {
  return Length<S>::from_si(x * kMetresPerYard);
}
template <class S>
constexpr S in_metres(const Length<S>& x) {
  return x.si();
}
template <class S>
constexpr S in_centimetres(const Length<S>& x) {
  return x.si() * 1e2;
}
template <class S>
constexpr S in_millimetres(const Length<S>& x) {
  return x.si() * 1e3;
}
template <class S>
constexpr S in_inches(const Length<S>& x) {
  return x.si() / kMetresPerInch;
}
template <class S>
constexpr S in_yards(const Length<S>& x) {
  return x.si() / kMetresPerYard;
}

// Areas.
constexpr Area<> square_centimetres(double x) { return Area<>::from_si(x * 1e-4); }
constexpr Area<> square_inches(double x) {
  return Area<>::from_si(x * kMetresPerInch * kMetresPerInch);
}
constexpr double in_square_centimetres(const Area<>& x) { return x.si() * 1e4; }

// Masses.
template <class S>
constexpr Mass<S> grams(const S& x) {
  return Mass<S>::from_si(x * 1e-3);
}
template <class S>
constexpr Mass<S> ounces(const S& x) {
  return Mass<S>::from_si(x * kKilogramsPerOunce);
}
template <class S>
constexpr Mass<S> pounds(const S& x) {
  return Mass<S>::from_si(x * kKilogramsPerPound);
}
template <class S>
constexpr S in_grams(const Mass<S>& x) {
  return x.si() * 1e3;
}
template <class S>
constexpr S in_ounces(const Mass<S>& x) {
  return x.si() / kKilogramsPerOunce;
}

// Linear density. One tex is one gram per kilometre.
template <class S>
constexpr LinearDensity<S> tex(const S& x) {
  return LinearDensity<S>::from_si(x * 1e-6);
}
template <class S>
constexpr S in_tex(const LinearDensity<S>& x) {
  return x.si() * 1e6;
}

// Threads per length.
constexpr ThreadDensity<> per_metre(double x) { return ThreadDensity<>::from_si(x); }
constexpr ThreadDensity<> per_cm(double x) { return ThreadDensity<>::from_si(x * 1e2); }
constexpr ThreadDensity<> per_inch(double x) {
  return ThreadDensity<>::from_si(x / kMetresPerInch);
}
constexpr double in_per_cm(const ThreadDensity<>& x) { return x.si() * 1e-2; }
constexpr double in_per_inch(const ThreadDensity<>& x) { return x.si() * kMetresPerInch; }

// Density of cloth and of fibre.
constexpr ArealDensity<> grams_per_square_metre(double x) {
  return ArealDensity<>::from_si(x * 1e-3);
}
constexpr double in_grams_per_square_metre(const ArealDensity<>& x) { return x.si() * 1e3; }
constexpr VolumeDensity<> grams_per_cubic_cm(double x) { return VolumeDensity<>::from_si(x * 1e3); }
constexpr double in_grams_per_cubic_cm(const VolumeDensity<>& x) { return x.si() * 1e-3; }

}  // namespace ellwand

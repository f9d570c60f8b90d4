#pragma once
/// Amounts of money, exact to a millionth of the currency's unit, and rounded as the currency is
/// paid.

#include "ellwand/units/text.hpp"

#include <cstdint>
#include <string>
#include <string_view>

namespace ellwand::decide {

/// A ratio of whole numbers, such as 3 / 10 for 30 %.
struct Ratio {
  std::int64_t over = 0;
  std::int64_t under = 1;  ///< above 0
};

/// The ratio of a share as it was written: exact for up to nine decimals.
///
/// @param share  between -1e6 and 1e6
/// @throws OutOfRange for anything else
Ratio ratio_of(double share);

/// What becomes of an amount between two steps.
enum class Rounding {
  Nearest,  ///< to the nearer; from the middle away from nothing, as cash is counted
  Up        ///< to the higher
};

/// An amount in a currency that is known elsewhere; it may be negative.
///
/// Sums are exact. A product is rounded to the nearest millionth, from the middle away from
/// nothing. Whatever passes nine billion is refused.
/// @throws OutOfRange on overflow
///
/// Source: halves go up by Council Regulation (EC) No 1103/97, article 5 (from memory), and by
///         commercial practice; to the even digit would print 0.12 for 0.125 beside 0.14 for 0.135.
class Money {
 public:
  Money() = default;
  static constexpr std::int64_t kMillionths = 1'000'000;
  static Money of_millionths(std::int64_t count);
  static Money of_units(std::int64_t units);
  /// The nearest millionth. @throws OutOfRange for what is not finite
  static Money near(double units);

  std::int64_t millionths() const { return count_; }
  /// For chances and statistics only.
  double approximately() const { return static_cast<double>(count_) / kMillionths; }

  Money operator-() const { return of_millionths(-count_); }
  friend Money operator+(const Money& a, const Money& b);
  friend Money operator-(const Money& a, const Money& b);
  Money& operator+=(const Money& more) { return *this = *this + more; }
  Money times(std::int64_t count) const;
  Money times(const Ratio& ratio) const;
  /// By a measured number, exact but for the millionth it is rounded to.
  Money times(double factor) const;

  friend bool operator==(const Money& a, const Money& b) { return a.count_ == b.count_; }
  friend bool operator!=(const Money& a, const Money& b) { return a.count_ != b.count_; }
  friend bool operator<(const Money& a, const Money& b) { return a.count_ < b.count_; }
  friend bool operator>(const Money& a, const Money& b) { return a.count_ > b.count_; }
  friend bool operator<=(const Money& a, const Money& b) { return a.count_ <= b.count_; }
  friend bool operator>=(const Money& a, const Money& b) { return a.count_ >= b.count_; }

 private:
  std::int64_t count_ = 0;
};

/// A multiple of `step`, which is above nothing.
Money rounded(const Money& amount, const Money& step, Rounding rounding = Rounding::Nearest);

/// How a currency is written.
struct Currency {
  std::string code;        ///< "EUR"; or whatever else the studio calls its own; may be empty
  int digits = 2;          ///< after the mark, 0 to 4
  bool is_listed = false;  ///< a code of ISO 4217
  Money smallest() const;  ///< the last digit
};

/// The currency of a code, in capitals or not. The digits are those of ISO 4217; anything that is
/// no code of it keeps its spelling and is taken to have two.
///
/// Source: minor units of ISO 4217:2015, list one (from memory; tested against
///         data/published/currencies.csv).
Currency currency_of(const std::string& code);

/// Rounded to the currency's last digit.
Money rounded(const Money& amount, const Currency& currency, Rounding rounding = Rounding::Nearest);

/// "1242.29": rounded as above, without the code.
std::string figures(const Money& amount, const Currency& currency);

/// "1242.29 EUR"; only the figures where there is no code.
std::string told(const Money& amount, const Currency& currency);

/// "9.80", or "9,80" where that mark is meant: digits with at most six after the mark, no sign, no
/// thousands separators, no currency.
/// @throws UnreadableText, also for more than a billion
Money read_money(std::string_view text, DecimalMark mark = DecimalMark::Point);

}  // namespace ellwand::decide

#include "ellwand/decide/money.hpp"

#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

namespace ellwand::decide {

namespace {
__extension__ using Wide = __int128;

constexpr std::int64_t kLargest = std::numeric_limits<std::int64_t>::max() / 1024;
constexpr std::int64_t kDearest = 1'000'000'000;  ///< of a price that is read, in units
constexpr std::size_t kDecimals = 6;

std::int64_t checked(Wide count) {
  if (count > kLargest || count < -kLargest) {
    throw OutOfRange("an amount of money is beyond 9 000 000 000, the most that can be reckoned");
  }
  return static_cast<std::int64_t>(count);
}

/// a / b to the nearest whole number, halves away from nothing; b > 0.
Wide divided(Wide a, Wide b) {
  const Wide half = b / 2;
  const Wide rest = a < 0 ? -(-a % b) : a % b;
  const Wide whole = (a - rest) / b;
  const Wide size = rest < 0 ? -rest : rest;
  const bool rounds = size > half || (size == half && b % 2 == 0);
  if (!rounds) return whole;
  return a < 0 ? whole - 1 : whole + 1;
}

Wide power_of_two(int exponent) { return Wide{1} << exponent; }

std::int64_t power_of_ten(std::size_t exponent) {
  std::int64_t power = 1;
  for (std::size_t i = 0; i < exponent; ++i) power *= 10;
  return power;
}
}  // namespace

Ratio ratio_of(double share) {
  constexpr std::int64_t kNine = 1'000'000'000;
  require_range("a share", share, -1e6, 1e6, "money");
  return {std::llround(share * static_cast<double>(kNine)), kNine};
}

Money Money::of_millionths(std::int64_t count) {
  Money money;
  money.count_ = checked(count);
  return money;
}

Money Money::of_units(std::int64_t units) {
  return of_millionths(checked(Wide{units} * kMillionths));
}

Money Money::near(double units) { return of_units(1).times(units); }

Money operator+(const Money& a, const Money& b) {
  return Money::of_millionths(checked(Wide{a.count_} + b.count_));
}

Money operator-(const Money& a, const Money& b) { return a + -b; }

Money Money::times(std::int64_t count) const {
  return of_millionths(checked(Wide{count_} * count));
}

Money Money::times(const Ratio& ratio) const {
  return of_millionths(checked(divided(Wide{count_} * ratio.over, ratio.under)));
}

Money Money::times(double factor) const {
  require_range("a factor of money", factor, -1e15, 1e15, "money");
  // factor = mantissa 2^exponent, the mantissa a whole number of 53 bits: the product is exact, and
  // the exponent below 0 for any factor under 2^53.
  int exponent = 0;
  const double fraction = std::frexp(factor, &exponent);
  const auto mantissa = static_cast<std::int64_t>(std::ldexp(fraction, 53));
  exponent -= 53;
  const Wide product = Wide{count_} * mantissa;
  if (exponent < -120) return {};
  return of_millionths(checked(divided(product, power_of_two(-exponent))));
}

Money rounded(const Money& amount, const Money& step, Rounding rounding) {
  const Wide count = amount.millionths();
  const Wide width = step.millionths();
  Wide steps = divided(count, width);
  if (rounding == Rounding::Up) {
    steps = count / width;
    if (steps * width < count) ++steps;
  }
  return Money::of_millionths(checked(steps * width));
}

Money Currency::smallest() const {
  return Money::of_millionths(power_of_ten(kDecimals - static_cast<std::size_t>(digits)));
}

namespace {

struct CodesOfDigits {
  int digits;
  const char* codes;  ///< blanks between
};

/// ISO 4217 list one without metals, funds and test codes, but for the units of account of Chile
/// and Uruguay.
constexpr std::array<CodesOfDigits, 4> kCodes = {
    {{2,
      "AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BRL BSD BTN BWP BYN BZD "
      "CAD CDF CHF CNY COP CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD "
      "GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD "
      "MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP "
      "PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS "
      "TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG"},
     {0, "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"},
     {3, "BHD IQD JOD KWD LYD OMR TND"},
     {4, "CLF UYW"}}};

/// The digits of a code in capitals, or nothing.
std::optional<int> digits_of_code(const std::string& code) {
  if (code.size() != 3 || code.find(' ') != std::string::npos) return std::nullopt;
  for (const CodesOfDigits& one : kCodes) {
    if (std::string_view(one.codes).find(code) != std::string_view::npos) return one.digits;
  }
  return std::nullopt;
}

std::string in_capitals(std::string text) {
  for (char& c : text) {
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
  }
  return text;
}

}  // namespace

Currency currency_of(const std::string& code) {
  const std::string capitals = in_capitals(code);
  if (const auto digits = digits_of_code(capitals)) return {capitals, *digits, true};
  return {code, 2, false};
}

Money rounded(const Money& amount, const Currency& currency, Rounding rounding) {
  return rounded(amount, currency.smallest(), rounding);
}

std::string figures(const Money& amount, const Currency& currency) {
  const std::int64_t count = rounded(amount, currency).millionths();
  const std::int64_t size = count < 0 ? -count : count;
  std::string text = count < 0 ? "-" : "";
  text += std::to_string(size / Money::kMillionths);
  if (currency.digits == 0) return text;
  const std::int64_t part = size % Money::kMillionths / currency.smallest().millionths();
  return text + fmt::format(".{:0{}}", part, currency.digits);
}

std::string told(const Money& amount, const Currency& currency) {
  const std::string text = figures(amount, currency);
  return currency.code.empty() ? text : text + " " + currency.code;
}

namespace {
/// Digits before and after the mark, where the text is nothing else.
struct Digits {
  std::string whole;
  std::string part;
};

std::optional<Digits> digits_of(const std::string& plain, DecimalMark mark) {
  const bool takes_comma = mark == DecimalMark::Comma;
  const std::size_t at = plain.find_first_not_of("0123456789");
  if (at == std::string::npos) return Digits{plain, ""};
  const bool is_mark = plain[at] == '.' || (takes_comma && plain[at] == ',');
  const Digits digits{plain.substr(0, at), plain.substr(at + 1)};
  const bool is_digits = digits.part.find_first_not_of("0123456789") == std::string::npos;
  const bool may_be_thousands = takes_comma && plain[at] == '.' && digits.part.size() == 3;
  if (!is_mark || !is_digits || digits.part.empty() || may_be_thousands) return std::nullopt;
  return digits;
}
}  // namespace

Money read_money(std::string_view text, DecimalMark mark) {
  const std::string plain = folded(text);
  const std::optional<Digits> digits = digits_of(plain, mark);
  if (plain.empty() || !digits) {
    throw UnreadableText(fmt::format(
        "{}: an amount of money is wanted, in digits without a sign, a currency or thousands "
        "separators, such as {}",
        in_quotes(text), mark == DecimalMark::Comma ? "9,80" : "9.80"));
  }
  if (digits->part.size() > kDecimals) {
    throw UnreadableText(in_quotes(text) + " has more than six digits after the mark");
  }
  const std::size_t first = digits->whole.find_first_not_of('0');
  const std::string whole = first == std::string::npos ? "0" : digits->whole.substr(first);
  const std::string part = digits->part + std::string(kDecimals - digits->part.size(), '0');
  const bool is_short = whole.size() <= 10;
  const Money amount =
      is_short ? Money::of_units(std::min<std::int64_t>(std::stoll(whole), 2 * kDearest)) +
                     Money::of_millionths(std::stoll(part))
               : Money::of_units(2 * kDearest);
  if (amount > Money::of_units(kDearest)) {
    throw UnreadableText(in_quotes(text) + " is more than 1000000000, the most that is taken");
  }
  return amount;
}

}  // namespace ellwand::decide

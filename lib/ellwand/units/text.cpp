#include "ellwand/units/text.hpp"

#include "ellwand/units/characters.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <locale>
#include <sstream>
#include <utility>

#include <fmt/format.h>

namespace ellwand {
namespace {

std::string trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(' ');
  if (first == std::string_view::npos) return {};
  return std::string(text.substr(first, text.find_last_not_of(' ') - first + 1));
}

bool starts_with(std::string_view text, std::string_view start) {
  return text.substr(0, start.size()) == start;
}

bool ends_with(std::string_view text, std::string_view end) {
  return text.size() >= end.size() && text.substr(text.size() - end.size()) == end;
}

std::size_t digits_from(std::string_view text, std::size_t at) {
  std::size_t end = at;
  while (end < text.size() && is_digit(text[end])) ++end;
  return end - at;
}

/// A scan of a number: how far it reached, or why it failed.
struct Scan {
  double value = 0.0;
  std::size_t end = 0;
  bool whole = true;  ///< digits only: no mark, no exponent
  std::string wrong;  ///< empty when all is well
};

Scan failed(std::string why) {
  Scan scan;
  scan.wrong = std::move(why);
  return scan;
}

/// Digits already known to be well formed, with a point, to a double; no locale.
Scan converted(const std::string& digits, Scan scan) {
  std::istringstream in(digits);
  in.imbue(std::locale::classic());
  in >> scan.value;
  if (in.fail() || !std::isfinite(scan.value)) {
    return failed("the number is too large to be counted with");
  }
  const std::string mantissa = digits.substr(0, digits.find('e'));
  if (scan.value == 0.0 && mantissa.find_first_of("123456789") != std::string::npos) {
    return failed("the number is too small to be told from 0");
  }
  return scan;
}

bool is_exponent(std::string_view text, std::size_t at) {
  if (at >= text.size() || text[at] != 'e') return false;
  if (at + 1 < text.size() && (text[at + 1] == '+' || text[at + 1] == '-')) ++at;
  return digits_from(text, at + 1) > 0;
}

constexpr const char* kPointSentence =
    "numbers are written with a decimal point and without thousands separators, such as 12.5 or "
    "1200";
constexpr const char* kCommaSentence =
    "numbers are written with a decimal comma here and without thousands separators, such as 12,5 "
    "or 1200";

const char* mark_sentence(DecimalMark mark) {
  return mark == DecimalMark::Point ? kPointSentence : kCommaSentence;
}

/// The decimal a folded text starts with; no sign, no fraction.
Scan scan_decimal(std::string_view text, DecimalMark mark) {
  Scan scan;
  const std::size_t before = digits_from(text, 0);
  std::string digits(text.substr(0, before));
  std::size_t at = before;
  const bool comma = at < text.size() && text[at] == ',' && mark == DecimalMark::Comma;
  const bool point = at < text.size() && text[at] == '.';
  const std::size_t after = comma || point ? digits_from(text, at + 1) : 0;
  if (before == 0 && after == 0) return failed("it does not start with a number");
  if ((comma || point) && after == 0) return failed("digits are missing after the decimal mark");
  if (point && mark == DecimalMark::Comma && after == 3) return failed(mark_sentence(mark));
  if (after > 0) {
    digits += '.' + std::string(text.substr(at + 1, after));
    at += 1 + after;
    scan.whole = false;
  }
  const bool again = at + 1 < text.size() && (text[at] == '.' || text[at] == ',');
  if (again && is_digit(text[at + 1])) return failed(mark_sentence(mark));
  if (is_exponent(text, at)) {
    const std::size_t sign = text[at + 1] == '+' || text[at + 1] == '-' ? 1U : 0U;
    const std::size_t length = 1 + sign + digits_from(text, at + 1 + sign);
    digits += text.substr(at, length);
    at += length;
    scan.whole = false;
  }
  scan.end = at;
  return converted(digits, scan);
}

/// "3/8" from `at`, or an end of 0 when there is no fraction there.
Scan scan_fraction(std::string_view text, std::size_t at) {
  Scan scan;
  const std::size_t top = digits_from(text, at);
  const std::size_t slash = at + top;
  if (top == 0 || slash >= text.size() || text[slash] != '/') return scan;
  const std::size_t bottom = digits_from(text, slash + 1);
  if (bottom == 0) return scan;
  if (top > 6 || bottom > 6) return failed("a fraction has at most six digits on each side");
  const double numerator = std::stoi(std::string(text.substr(at, top)));
  const double denominator = std::stoi(std::string(text.substr(slash + 1, bottom)));
  if (denominator == 0.0) return failed("a fraction cannot be over 0");
  scan.value = numerator / denominator;
  scan.end = slash + 1 + bottom;
  return scan;
}

/// The number a folded text starts with, fractions included; no sign.
Scan scan_number(std::string_view text, DecimalMark mark) {
  const Scan alone = scan_fraction(text, 0);
  if (alone.end > 0 || !alone.wrong.empty()) return alone;
  Scan scan = scan_decimal(text, mark);
  const bool joined = scan.end < text.size() && (text[scan.end] == ' ' || text[scan.end] == '-');
  if (!scan.wrong.empty() || !joined) return scan;
  const Scan part = scan_fraction(text, scan.end + 1);
  if (!part.wrong.empty()) return part;
  if (part.end == 0) return scan;
  if (!scan.whole || part.value >= 1.0) {
    return failed("a whole number and a fraction below 1 are written like 1 3/8");
  }
  scan.value += part.value;
  scan.end = part.end;
  return scan;
}

// ---- units

struct Unit {
  const char* word;
  double si;
};

constexpr double kFoot = 12.0 * kMetresPerInch;
constexpr std::array<Unit, 33> kLengthUnits{{{"cm", 1e-2},
                                             {"mm", 1e-3},
                                             {"m", 1.0},
                                             {"km", 1e3},
                                             {"in", kMetresPerInch},
                                             {"ft", kFoot},
                                             {"yd", kMetresPerYard},
                                             {"\"", kMetresPerInch},
                                             {"''", kMetresPerInch},
                                             {"'", kFoot},
                                             {"inch", kMetresPerInch},
                                             {"inches", kMetresPerInch},
                                             {"ins", kMetresPerInch},
                                             {"in.", kMetresPerInch},
                                             {"foot", kFoot},
                                             {"feet", kFoot},
                                             {"yds", kMetresPerYard},
                                             {"yard", kMetresPerYard},
                                             {"yards", kMetresPerYard},
                                             {"metre", 1.0},
                                             {"metres", 1.0},
                                             {"meter", 1.0},
                                             {"meters", 1.0},
                                             {"centimetre", 1e-2},
                                             {"centimetres", 1e-2},
                                             {"centimeter", 1e-2},
                                             {"centimeters", 1e-2},
                                             {"millimetre", 1e-3},
                                             {"millimetres", 1e-3},
                                             {"millimeter", 1e-3},
                                             {"millimeters", 1e-3},
                                             {"dm", 1e-1},
                                             {"kilometres", 1e3}}};
constexpr std::array<Unit, 13> kMassUnits{{{"g", 1e-3},
                                           {"kg", 1.0},
                                           {"oz", kKilogramsPerOunce},
                                           {"lb", kKilogramsPerPound},
                                           {"lbs", kKilogramsPerPound},
                                           {"gram", 1e-3},
                                           {"grams", 1e-3},
                                           {"kilogram", 1.0},
                                           {"kilograms", 1.0},
                                           {"ounce", kKilogramsPerOunce},
                                           {"ounces", kKilogramsPerOunce},
                                           {"pound", kKilogramsPerPound},
                                           {"pounds", kKilogramsPerPound}}};

template <std::size_t N>
std::optional<double> unit_in(const std::array<Unit, N>& units, std::string_view word) {
  for (const Unit& unit : units) {
    if (word == unit.word) return unit.si;
  }
  return std::nullopt;
}

template <std::size_t N>
std::vector<std::string> words_of(const std::array<Unit, N>& units) {
  std::vector<std::string> words;
  for (const Unit& unit : units) words.emplace_back(unit.word);
  return words;
}

std::optional<double> area_unit_si(std::string_view word) {
  std::string side;
  for (const std::string_view start : {"sq ", "square ", "sq. "}) {
    if (starts_with(word, start)) side = trimmed(word.substr(start.size()));
  }
  for (const std::string_view end : {" squared", "^2", "2"}) {
    if (side.empty() && ends_with(word, end)) side = word.substr(0, word.size() - end.size());
  }
  const std::optional<double> length = unit_in(kLengthUnits, side);
  if (!length) return std::nullopt;
  return *length * *length;
}

/// "/in", "per 10 cm", "ends/in", "epi": threads per metre for one of them.
std::optional<double> thread_density_unit_si(std::string_view word) {
  if (word == "epi" || word == "ppi") return 1.0 / kMetresPerInch;
  for (const std::string_view thread : {"threads", "ends", "picks", "wraps"}) {
    if (starts_with(word, thread)) word.remove_prefix(thread.size());
  }
  std::string over = trimmed(word);
  if (starts_with(over, "/")) {
    over = trimmed(std::string_view(over).substr(1));
  } else if (starts_with(over, "per ")) {
    over = trimmed(std::string_view(over).substr(4));
  } else {
    return std::nullopt;
  }
  double times = 1.0;
  const Scan scan = scan_decimal(over, DecimalMark::Point);
  if (scan.wrong.empty()) {
    times = scan.value;
    over = trimmed(std::string_view(over).substr(scan.end));
  }
  const std::optional<double> length = unit_in(kLengthUnits, over);
  if (!length || times <= 0.0) return std::nullopt;
  return 1.0 / (times * *length);
}

enum class Wanted { Length, Mass, Area, ThreadDensity, Share, Angle, YarnCount };

struct WantedFacts {
  const char* is_one;    ///< "14 cm" is ...
  const char* wanted;    ///< "a length is wanted"
  const char* no_unit;   ///< "no unit of length"
  const char* many;      ///< "Lengths"
  const char* examples;  ///< two of them, quoted
};

WantedFacts facts_of(Wanted wanted) {
  switch (wanted) {
    case Wanted::Length:
      return {"a length", "a length is wanted", "no unit of length", "Lengths",
              "\"14 cm\", \"5.5 in\""};
    case Wanted::Mass:
      return {"a mass", "a mass is wanted", "no unit of mass", "Masses", "\"50 g\", \"2 oz\""};
    case Wanted::Area:
      return {"an area", "an area is wanted", "no unit of area", "Areas",
              "\"120 cm2\", \"18 in2\""};
    case Wanted::ThreadDensity:
      return {"a number of threads per length", "threads per length are wanted",
              "no unit of threads per length", "Threads per length", "\"8 /in\", \"6 /cm\""};
    case Wanted::Share:
      return {"a share", "a share is wanted", "no unit of a share", "Shares", "\"4 %\", \"0.04\""};
    case Wanted::Angle:
      return {"an angle", "an angle is wanted", "no unit of angle", "Angles",
              "\"20 deg\", \"45 deg\""};
    case Wanted::YarnCount:
      return {"a yarn count", "a yarn count is wanted", "no yarn count", "Yarn counts",
              "\"8/2 cotton\", \"3360 yd/lb\""};
  }
  return {"", "", "", "", ""};
}

struct Classified {
  Wanted kind = Wanted::Length;
  double si = 1.0;
};

bool names_a_count(std::string_view unit) {
  for (const std::string_view word :
       {"tex", "ktex", "dtex", "den", "nm", "ne", "yd/lb", "m/kg", "g/km"}) {
    if (unit == word) return true;
  }
  return false;
}

/// What the words after a number are the unit of.
std::optional<Classified> classified(std::string_view unit) {
  if (const auto si = unit_in(kLengthUnits, unit)) return Classified{Wanted::Length, *si};
  if (const auto si = unit_in(kMassUnits, unit)) return Classified{Wanted::Mass, *si};
  if (const auto si = area_unit_si(unit)) return Classified{Wanted::Area, *si};
  if (const auto si = thread_density_unit_si(unit)) return Classified{Wanted::ThreadDensity, *si};
  for (const std::string_view word : {"%", "percent", "per cent"}) {
    if (unit == word) return Classified{Wanted::Share, 1e-2};
  }
  for (const std::string_view word : {"deg", "degree", "degrees"}) {
    if (unit == word) return Classified{Wanted::Angle, 1.0};
  }
  if (names_a_count(unit)) return Classified{Wanted::YarnCount, 1.0};
  return std::nullopt;
}

std::vector<std::string> unit_words(Wanted wanted) {
  switch (wanted) {
    case Wanted::Length:
      return words_of(kLengthUnits);
    case Wanted::Mass:
      return words_of(kMassUnits);
    case Wanted::Area:
      return {"cm2", "m2", "in2", "mm2", "ft2", "yd2", "sq cm", "sq in", "sq m"};
    case Wanted::ThreadDensity:
      return {"/in", "/cm", "epi", "ppi", "per inch", "per cm", "/10 cm", "per 10 cm"};
    case Wanted::Share:
      return {"%", "percent"};
    case Wanted::Angle:
      return {"deg", "degrees"};
    case Wanted::YarnCount:
      break;
  }
  return {};
}

[[noreturn]] void refuse_unit(std::string_view text, const std::string& unit, Wanted wanted) {
  const WantedFacts facts = facts_of(wanted);
  const std::string near = nearest_word(unit, unit_words(wanted));
  const std::string ending = near.empty()
                                 ? fmt::format("{}, such as {}", facts.wanted, facts.examples)
                                 : fmt::format("did you mean {}?", in_quotes(near));
  refuse_text(text, fmt::format("{} is {}; {}", in_quotes(unit), facts.no_unit, ending));
}

[[noreturn]] void refuse_kind(std::string_view text, Wanted found, Wanted wanted) {
  const WantedFacts facts = facts_of(wanted);
  throw UnreadableText(fmt::format("{} is {}; {}, such as {}", in_quotes(text),
                                   facts_of(found).is_one, facts.wanted, facts.examples));
}

[[noreturn]] void refuse_bare(std::string_view text, double value, Wanted wanted) {
  const WantedFacts facts = facts_of(wanted);
  refuse_text(text, fmt::format("{:.6g} of what? {} are written with a unit: {}.", value,
                                facts.many, facts.examples));
}

double read_si(std::string_view text, const std::string& plain, DecimalMark mark, Wanted wanted);

/// "5 ft 3 in": the smaller unit after the larger.
std::optional<double> read_compound(std::string_view text, double value, const std::string& rest,
                                    DecimalMark mark, Wanted wanted) {
  const std::size_t digit = rest.find_first_of("0123456789");
  if (wanted != Wanted::Length && wanted != Wanted::Mass) return std::nullopt;
  if (digit == std::string::npos || digit == 0) return std::nullopt;
  const std::optional<Classified> unit = classified(trimmed(rest.substr(0, digit)));
  if (!unit || unit->kind != wanted) return std::nullopt;
  const double smaller = read_si(text, rest.substr(digit), mark, wanted);
  if (smaller >= unit->si) {
    refuse_text(text, fmt::format("the second part must be less than one {}",
                                  trimmed(rest.substr(0, digit))));
  }
  return value * unit->si + smaller;
}

[[noreturn]] void refuse_number(std::string_view text, const std::string& why, Wanted wanted) {
  const WantedFacts facts = facts_of(wanted);
  refuse_text(text, fmt::format("{}; {}, such as {}", why, facts.wanted, facts.examples));
}

/// The number and unit of `plain`, a folded part of `text`, in SI units.
double read_si(std::string_view text, const std::string& plain, DecimalMark mark, Wanted wanted) {
  if (plain.empty()) refuse_number(text, "nothing is written here", wanted);
  if (plain[0] == '-') refuse_number(text, "it may not be negative", wanted);
  Scan scan = scan_number(plain, mark);
  if (wanted == Wanted::ThreadDensity) {  // "60/10 cm" is 60 per 10 cm, no fraction
    const Scan decimal = scan_decimal(plain, mark);
    if (decimal.wrong.empty() && decimal.end < plain.size() && plain[decimal.end] == '/') {
      scan = decimal;
    }
  }
  if (!scan.wrong.empty()) refuse_number(text, scan.wrong, wanted);
  const std::string rest = trimmed(std::string_view(plain).substr(scan.end));
  if (rest.empty()) refuse_bare(text, scan.value, wanted);
  const std::optional<Classified> unit = classified(rest);
  if (!unit) {
    const std::optional<double> sum = read_compound(text, scan.value, rest, mark, wanted);
    if (!sum) refuse_unit(text, rest, wanted);
    return *sum;
  }
  if (unit->kind != wanted) refuse_kind(text, unit->kind, wanted);
  const double si = scan.value * unit->si;
  if (!std::isfinite(si)) refuse_text(text, "the number is too large to be counted with");
  return si;
}

/// Slips between two words: one letter too many, too few, wrong, or two neighbours swapped
/// (F. J. Damerau, Commun. ACM 7 (1964) 171; the restricted form, no letter touched twice).
std::size_t slips_between(std::string_view a, std::string_view b) {
  std::vector<std::vector<std::size_t>> slips(a.size() + 1,
                                              std::vector<std::size_t>(b.size() + 1, 0));
  for (std::size_t i = 0; i <= a.size(); ++i) slips[i][0] = i;
  for (std::size_t j = 0; j <= b.size(); ++j) slips[0][j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t wrong = a[i - 1] == b[j - 1] ? 0U : 1U;
      std::size_t best = std::min(slips[i - 1][j], slips[i][j - 1]) + 1;
      best = std::min(best, slips[i - 1][j - 1] + wrong);
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        best = std::min(best, slips[i - 2][j - 2] + 1);
      }
      slips[i][j] = best;
    }
  }
  return slips[a.size()][b.size()];
}

bool same_letters(std::string a, std::string b) {
  std::sort(a.begin(), a.end());
  std::sort(b.begin(), b.end());
  return a == b;
}

bool is_between_parts(char c) { return c == '_' || c == '-' || c == ' '; }

/// "working_length" in its parts.
std::vector<std::string> parts_of(std::string_view word) {
  std::vector<std::string> parts(1);
  for (const char c : word) {
    if (!is_between_parts(c)) {
      parts.back() += c;
    } else if (!parts.back().empty()) {
      parts.emplace_back();
    }
  }
  if (parts.back().empty()) parts.pop_back();
  return parts;
}

/// Whether letters are the beginnings of all parts from one on, each long enough to be known by.
bool is_of_beginnings(std::string_view letters, const std::vector<std::string>& parts,
                      std::size_t from) {
  constexpr std::size_t kLeast = 3;
  if (from == parts.size()) return letters.empty();
  const std::string& part = parts[from];
  for (std::size_t length = std::min(part.size(), letters.size()); length > 0; --length) {
    const bool is_long_enough = length >= std::min(kLeast, part.size());
    if (is_long_enough && letters.substr(0, length) == std::string_view(part).substr(0, length) &&
        is_of_beginnings(letters.substr(length), parts, from + 1)) {
      return true;
    }
  }
  return false;
}

/// The one candidate of several parts that is said by the beginnings of them.
std::string abbreviated(const std::string& word, const std::vector<std::string>& candidates) {
  std::string letters;
  for (const std::string& part : parts_of(word)) letters += part;
  std::string found;
  for (const std::string& candidate : candidates) {
    const std::vector<std::string> parts = parts_of(folded(candidate));
    if (parts.size() < 2 || !is_of_beginnings(letters, parts, 0)) continue;
    if (!found.empty()) return {};
    found = candidate;
  }
  return found;
}

}  // namespace

std::string folded(std::string_view text) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 31> kFolds{
      {{"\u00a0", " "},    {"\u2009", " "},    {"\u202f", " "},    {"\ufeff", ""},
       {"\u2212", "-"},    {"\u2013", "-"},    {"\u2014", "-"},    {"\u2010", "-"},
       {"\u2011", "-"},    {"\u00d7", " x "},  {"\u00b2", "2"},    {"\u00b0", " deg"},
       {"\u00ba", " deg"}, {"\u2033", "\""},   {"\u201c", "\""},   {"\u201d", "\""},
       {"\u2032", "'"},    {"\u2018", "'"},    {"\u2019", "'"},    {"\u2044", "/"},
       {"\u2215", "/"},    {"\u00bd", " 1/2"}, {"\u00bc", " 1/4"}, {"\u00be", " 3/4"},
       {"\u2153", " 1/3"}, {"\u2154", " 2/3"}, {"\u215b", " 1/8"}, {"\u215c", " 3/8"},
       {"\u215d", " 5/8"}, {"\u215e", " 7/8"}, {"\u00b5", "u"}}};
  std::string plain;
  const auto add = [&plain](char c) {
    if (c == '\t' || c == '\n' || c == '\r') c = ' ';
    if (c == ' ' && (plain.empty() || plain.back() == ' ')) return;
    plain += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  };
  const auto is_ascii = [](char c) { return static_cast<unsigned char>(c) < 0x80U; };
  bool has_folded = false;
  for (std::size_t at = 0; at < text.size();) {
    const auto fold = is_ascii(text[at])
                          ? kFolds.end()
                          : std::find_if(kFolds.begin(), kFolds.end(), [&](const auto& pair) {
                              return starts_with(text.substr(at), pair.first);
                            });
    if (fold == kFolds.end()) {
      add(text[at]);
      ++at;
    } else {
      for (const char c : fold->second) add(c);
      at += fold->first.size();
      has_folded = true;
    }
  }
  // What is left of a broken file may have come together to letters that are folded in their turn.
  const bool is_done = !has_folded || std::all_of(plain.begin(), plain.end(), is_ascii);
  return is_done ? trimmed(plain) : folded(plain);
}

void refuse_text(std::string_view text, const std::string& why) {
  throw UnreadableText(in_quotes(text) + ": " + why);
}

std::string in_quotes(std::string_view text) {
  constexpr std::size_t kLongest = 60;
  std::string shown(text.substr(0, kLongest));
  if (text.size() > kLongest) {  // not in the middle of a character
    while (!shown.empty() && (static_cast<unsigned char>(text[shown.size()]) & 0xC0U) == 0x80U) {
      shown.pop_back();
    }
    shown += "...";
  }
  for (char& c : shown) {
    if (static_cast<unsigned char>(c) < 0x20U || c == 0x7F) c = '?';
  }
  return '"' + shown + '"';
}

double read_decimal(std::string_view text, DecimalMark mark, Sign sign) {
  const std::string plain = folded(text);
  if (plain.empty()) refuse_text(text, "nothing is written here; a number is wanted, such as 12.5");
  const bool signed_text = plain[0] == '-' || plain[0] == '+';
  if (signed_text && sign == Sign::Refused) {
    refuse_text(text, "a number without a sign is wanted, such as 12.5");
  }
  const std::string_view body = std::string_view(plain).substr(signed_text ? 1 : 0);
  const Scan scan = scan_number(body, mark);
  if (!scan.wrong.empty())
    refuse_text(text, scan.wrong + "; a number is wanted, such as 12.5 or 1 3/8");
  if (scan.end != body.size()) {
    refuse_text(text,
                fmt::format("a number alone is wanted, such as 12.5 or 1 3/8, and {} follows it",
                            in_quotes(trimmed(body.substr(scan.end)))));
  }
  return plain[0] == '-' ? -scan.value : scan.value;
}

LeadingNumber leading_decimal(std::string_view text, DecimalMark mark) {
  const std::string plain = folded(text);
  const Scan scan = scan_decimal(plain, mark);
  if (!scan.wrong.empty()) refuse_text(text, scan.wrong);
  return {scan.value, trimmed(std::string_view(plain).substr(scan.end))};
}

Length<> read_length(std::string_view text, DecimalMark mark) {
  return Length<>::from_si(read_si(text, folded(text), mark, Wanted::Length));
}

Mass<> read_mass(std::string_view text, DecimalMark mark) {
  return Mass<>::from_si(read_si(text, folded(text), mark, Wanted::Mass));
}

Area<> read_area(std::string_view text, DecimalMark mark) {
  return Area<>::from_si(read_si(text, folded(text), mark, Wanted::Area));
}

ThreadDensity<> read_thread_density(std::string_view text, DecimalMark mark) {
  return ThreadDensity<>::from_si(read_si(text, folded(text), mark, Wanted::ThreadDensity));
}

double read_angle_degrees(std::string_view text, DecimalMark mark) {
  return read_si(text, folded(text), mark, Wanted::Angle);
}

double read_fraction(std::string_view text, DecimalMark mark, double most) {
  const std::string plain = folded(text);
  const Scan scan = scan_number(plain, mark);
  const bool bare = scan.wrong.empty() && scan.end == plain.size();
  if (!bare) return read_si(text, plain, mark, Wanted::Share);
  if (scan.value >= 1.0) {
    std::string offer = fmt::format(", and {:.6g} % is the most here", 100.0 * most);
    if (scan.value <= 100.0 * most) offer = fmt::format("; write \"{:.6g} %\"", scan.value);
    if (scan.value <= most) offer += fmt::format(" or \"{:.6g} %\"", 100.0 * scan.value);
    refuse_text(text, "without a % sign a share is below 1" + offer);
  }
  return scan.value;
}

std::string doubt_of_share(std::string_view text, double share) {
  constexpr double kLeast = 0.005;
  const bool has_sign = folded(text).find_first_of("%p") != std::string::npos;
  if (!has_sign || share <= 0.0 || share >= kLeast) return {};
  return fmt::format("{} is {:.3g} in ten thousand; is {:.3g} % meant?", in_quotes(text),
                     1e4 * share, 1e4 * share);
}

std::optional<Length<>> length_unit(std::string_view word) {
  const std::optional<double> si = unit_in(kLengthUnits, folded(word));
  if (!si) return std::nullopt;
  return Length<>::from_si(*si);
}

std::optional<Mass<>> mass_unit(std::string_view word) {
  const std::optional<double> si = unit_in(kMassUnits, folded(word));
  if (!si) return std::nullopt;
  return Mass<>::from_si(*si);
}

std::string nearest_word(std::string_view word, const std::vector<std::string>& candidates) {
  const std::string meant = folded(word);
  std::size_t best = meant.size() <= 3 ? 1 : 2;
  const std::string* nearest = nullptr;
  for (const std::string& candidate : candidates) {
    const std::string other = folded(candidate);
    const std::size_t shorter = std::min(meant.size(), other.size());
    const std::size_t longer = std::max(meant.size(), other.size());
    if (longer - shorter > best) continue;  // as many slips at least
    const std::size_t slips = slips_between(meant, other);
    if (slips > best || slips >= longer) continue;
    const bool better = nearest == nullptr || slips < best ||
                        (same_letters(meant, other) && !same_letters(meant, folded(*nearest)));
    if (better) nearest = &candidate;
    best = slips;
  }
  return nearest == nullptr ? abbreviated(meant, candidates) : *nearest;
}

}  // namespace ellwand

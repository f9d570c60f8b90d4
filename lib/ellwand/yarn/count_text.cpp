// Reads a count as the trade prints it: read_count of count.hpp. Steps: cut the text into tokens,
// take out what says the ply, then read it as a length of a mass or as numbers of one system.

#include "ellwand/units/characters.hpp"
#include "ellwand/yarn/count.hpp"
#include "ellwand/yarn/fibre.hpp"
#include "ellwand/yarn/strands.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include <fmt/format.h>

namespace ellwand::yarn {
namespace {

constexpr double kLeastReadTex = 0.5;
constexpr double kMostReadTex = 200000.0;
constexpr double kMostFold = 96.0;          // the thickest seine twines
constexpr double kMostUnmarkedFold = 12.0;  // of two numbers without any other hint

// ---- tokens

struct Token {
  enum class Type { Number, Word, Mark };
  Type type = Type::Mark;
  double number = 0.0;
  bool count_mark = false;  ///< an s behind the number: "20s" is a count, never a fold
  std::string word;         ///< letters of a word, or the one character of a mark

  bool is(std::string_view written) const { return type != Type::Number && word == written; }
  bool is_number() const { return type == Type::Number; }
  bool is_word() const { return type == Type::Word; }
};
using Tokens = std::vector<Token>;

Token take_word(std::string& rest) {
  const auto end = std::find_if_not(rest.begin(), rest.end(), is_letter);
  Token token{Token::Type::Word, 0.0, false, std::string(rest.begin(), end)};
  rest.erase(rest.begin(), end);
  if (token.is("x")) token.type = Token::Type::Mark;
  if (token.is("per")) token = {Token::Type::Mark, 0.0, false, "/"};
  return token;
}

/// A number and its s, with the text behind it left as it was: leading_decimal trims, and whether
/// the s touches the number tells "20s" from "20 S".
Token take_number(std::string_view text, std::string& rest, DecimalMark mark) {
  Token token;
  token.type = Token::Type::Number;
  try {
    LeadingNumber number = leading_decimal(rest, mark);
    token.number = number.value;
    const bool touching = rest[rest.size() - number.rest.size() - 1] != ' ';
    rest = std::move(number.rest);
    const std::size_t at = !rest.empty() && rest[0] == '\'' ? 1 : 0;
    const bool s = touching && at < rest.size() && rest[at] == 's';
    token.count_mark = s && (at + 1 == rest.size() || !is_letter(rest[at + 1]));
    if (token.count_mark) rest.erase(0, at + 1);
  } catch (const UnreadableText& wrong) {
    const std::string told = wrong.what();
    refuse_text(text,
                told.substr(told.rfind("\": ") + 3));  // what is wrong, without the part it quotes
  }
  return token;
}

std::string with_phrases_joined(std::string plain) {
  constexpr std::array<std::pair<std::string_view, std::string_view>, 3> kPhrases{
      {{"west of england", "westofengland"}, {"spun silk", "spunsilk"}, {"n.m.", "nm"}}};
  for (const auto& [apart, joined] : kPhrases) {
    const std::size_t at = plain.find(apart);
    if (at != std::string::npos) plain.replace(at, apart.size(), joined);
  }
  return plain;
}

Tokens tokens_of(std::string_view text, const std::string& plain, DecimalMark mark) {
  Tokens tokens;
  for (std::string rest = with_phrases_joined(plain); !rest.empty();) {
    if (is_letter(rest[0])) {
      tokens.push_back(take_word(rest));
    } else if (std::string_view(" ,.()").find(rest[0]) != std::string_view::npos &&
               !(rest[0] == '.' && rest.size() > 1 && rest[1] >= '0' && rest[1] <= '9')) {
      rest.erase(0, 1);
    } else if (std::string_view("/-=*").find(rest[0]) != std::string_view::npos) {
      const char c = rest[0] == '=' ? '/' : rest[0] == '*' ? 'x' : rest[0];
      tokens.push_back({Token::Type::Mark, 0.0, false, std::string(1, c)});
      rest.erase(0, 1);
    } else if ((rest[0] >= '0' && rest[0] <= '9') || rest[0] == '.') {
      tokens.push_back(take_number(text, rest, mark));
    } else {
      refuse_text(text, in_quotes(rest.substr(0, 1)) + " has no place in a yarn count");
    }
  }
  return tokens;
}

// ---- words

struct SystemWord {
  const char* word;
  CountSystem system;
  int strength;  ///< of two words the stronger names the system; equal ones contradict each other
};

/// A name of one system (3), a trade that has its own (2), and "Ne", which any English trade may
/// stand beside (1).
constexpr std::array<SystemWord, 40> kSystemWords{{
    {"tex", CountSystem::Tex, 3},
    {"ktex", CountSystem::Kilotex, 3},
    {"kilotex", CountSystem::Kilotex, 3},
    {"dtex", CountSystem::Decitex, 3},
    {"decitex", CountSystem::Decitex, 3},
    {"den", CountSystem::Denier, 3},
    {"denier", CountSystem::Denier, 3},
    {"d", CountSystem::Denier, 3},
    {"nm", CountSystem::Metric, 3},
    {"metric", CountSystem::Metric, 3},
    {"nec", CountSystem::Cotton, 3},
    {"nel", CountSystem::Linen, 3},
    {"nek", CountSystem::Worsted, 3},
    {"lea", CountSystem::Linen, 3},
    {"leas", CountSystem::Linen, 3},
    {"run", CountSystem::WoollenRun, 3},
    {"runs", CountSystem::WoollenRun, 3},
    {"spunsilk", CountSystem::SpunSilk, 3},
    {"galashiels", CountSystem::GalashielsCut, 3},
    {"hawick", CountSystem::Hawick, 3},
    {"alloa", CountSystem::Alloa, 3},
    {"dewsbury", CountSystem::Dewsbury, 3},
    {"yorkshire", CountSystem::YorkshireSkein, 3},
    {"westofengland", CountSystem::WestOfEngland, 3},
    {"french", CountSystem::FrenchCotton, 3},
    {"ypp", CountSystem::YardsPerPound, 3},
    {"cut", CountSystem::WoollenCut, 2},
    {"cuts", CountSystem::WoollenCut, 2},
    {"cotton", CountSystem::Cotton, 2},
    {"cottons", CountSystem::Cotton, 2},
    {"seine", CountSystem::Cotton, 2},
    {"linen", CountSystem::Linen, 2},
    {"flax", CountSystem::Linen, 2},
    {"worsted", CountSystem::Worsted, 2},
    {"ne", CountSystem::Cotton, 1},
    {"neb", CountSystem::Cotton, 3},
    {"spyndle", CountSystem::Spyndle, 3},
    {"spyndles", CountSystem::Spyndle, 3},
    {"grain", CountSystem::AmericanGrain, 3},
    {"grains", CountSystem::AmericanGrain, 3},
}};

const SystemWord* system_word(const std::string& word) {
  for (const SystemWord& known : kSystemWords) {
    if (word == known.word) return &known;
  }
  return nullptr;
}

/// Words that may stand on a label and say nothing about its count.
bool is_description(const std::string& word) {
  for (const std::string_view known :
       {"r",     "count",   "counts",   "yarn",       "yarns",   "twine",      "warp",
        "weft",  "thread",  "carpet",   "rug",        "skein",   "skeins",     "hank",
        "hanks", "woollen", "woolen",   "combed",     "carded",  "mercerised", "mercerized",
        "pearl", "perle",   "tow",      "line",       "wet",     "dry",        "spun",
        "dyed",  "natural", "bleached", "unbleached", "english", "system"}) {
    if (word == known) return true;
  }
  return is_fibre_word(word);
}

/// Names of a thickness that are no counts: "8 wpi", "aran", "worsted weight".
bool names_thickness(const std::string& word) {
  for (const std::string_view known :
       {"wpi", "wraps", "aran", "dk", "knitting", "fingering", "sport", "lace", "laceweight",
        "bulky", "chunky", "sock", "weight"}) {
    if (word == known) return true;
  }
  return false;
}

// ---- what the text says about the ply

struct Statement {
  std::string_view text;
  Tokens tokens;
  std::optional<int> ply;
  bool resultant = false;  ///< an R in front: the number is that of the folded yarn
  bool has(std::string_view word) const {
    return std::any_of(tokens.begin(), tokens.end(), [&](const Token& t) { return t.is(word); });
  }
};

bool is_fold(double number) {
  return number >= 1.0 && number <= kMostFold && number == std::floor(number);
}

bool ply_word_at(const Tokens& tokens, std::size_t i) {
  if (i >= tokens.size()) return false;
  for (const std::string_view word : {"ply", "plies", "fold", "folds", "plied"}) {
    if (tokens[i].is(word)) return true;
  }
  return false;
}

/// Takes "2-ply", "3 fold", "singles" out of the tokens.
void take_ply(Statement& statement) {
  Tokens& tokens = statement.tokens;
  for (std::size_t i = 0; i < tokens.size(); ++i) {
    if (tokens[i].is("singles") || tokens[i].is("single")) {
      statement.ply = 1;
      tokens.erase(tokens.begin() + static_cast<std::ptrdiff_t>(i));
      return;
    }
    const std::size_t word = i + (i + 1 < tokens.size() && tokens[i + 1].is("-") ? 2 : 1);
    if (!tokens[i].is_number() || !ply_word_at(tokens, word)) continue;
    if (!is_fold(tokens[i].number))
      refuse_text(statement.text, "the ply is a whole number up to 96");
    statement.ply = static_cast<int>(tokens[i].number);
    tokens.erase(tokens.begin() + static_cast<std::ptrdiff_t>(i),
                 tokens.begin() + static_cast<std::ptrdiff_t>(word) + 1);
    return;
  }
}

/// Joins a whole number and a fraction as rulers have it: "5 1/2 run", "8 3/8".
void join_fractions(Tokens& tokens) {
  for (std::size_t i = 0; i + 3 < tokens.size(); ++i) {
    const bool shape = tokens[i].is_number() && tokens[i + 1].is_number() &&
                       tokens[i + 2].is("/") && tokens[i + 3].is_number();
    if (!shape) continue;
    const double bottom = tokens[i + 3].number;
    const bool ruler = bottom == 2 || bottom == 3 || bottom == 4 || bottom == 8;
    if (!ruler || tokens[i + 1].number >= bottom || !is_fold(tokens[i + 1].number)) continue;
    tokens[i].number += tokens[i + 1].number / bottom;
    tokens[i].count_mark = tokens[i + 3].count_mark;
    tokens.erase(tokens.begin() + static_cast<std::ptrdiff_t>(i) + 1,
                 tokens.begin() + static_cast<std::ptrdiff_t>(i) + 4);
  }
}

// ---- a length of a mass

std::optional<Length<>> yarn_length_unit(const std::string& word) {
  for (const std::string_view spyndle : {"spyndle", "spyndles", "spindle"}) {
    if (word == spyndle) return yards(14400.0);
  }
  return length_unit(word);
}

std::optional<Mass<>> yarn_mass_unit(const std::string& word) {
  if (word == "grain" || word == "grains") return pounds(1.0 / 7000.0);
  return mass_unit(word);
}

/// One side of "105 m / 50 g": a number, 1 when there is none, and a unit.
struct Side {
  std::optional<Length<>> length;
  std::optional<Mass<>> mass;
};

Side side_of(const Tokens& tokens) {
  const bool numbered = tokens.size() == 2 && tokens[0].is_number();
  if (tokens.empty() || !tokens.back().is_word() || !(numbered || tokens.size() == 1)) return {};
  const double number = numbered ? tokens[0].number : 1.0;
  Side side;
  if (const auto unit = yarn_length_unit(tokens.back().word)) side.length = *unit * number;
  if (const auto unit = yarn_mass_unit(tokens.back().word)) side.mass = *unit * number;
  return side;
}

/// The text as a length of a mass, or nothing if it is no such thing.
std::optional<LinearDensity<>> mass_per_length(const Statement& statement) {
  Tokens plain;
  for (const Token& token : statement.tokens) {
    const bool unit =
        token.is_word() && (yarn_length_unit(token.word) || yarn_mass_unit(token.word));
    const bool said = token.is_word() && (system_word(token.word) || is_description(token.word) ||
                                          names_thickness(token.word));
    if (unit || !said) plain.push_back(token);
  }
  const auto slash =
      std::find_if(plain.begin(), plain.end(), [](const Token& t) { return t.is("/"); });
  if (slash == plain.end()) return std::nullopt;
  const Side one = side_of(Tokens(plain.begin(), slash));
  const Side other = side_of(Tokens(slash + 1, plain.end()));
  const auto length = one.length ? one.length : other.length;
  const auto mass = one.mass ? one.mass : other.mass;
  if (!length || !mass || bool(one.length) == bool(other.length)) return std::nullopt;
  if (length->si() <= 0.0 || mass->si() <= 0.0) {
    refuse_text(statement.text, "length and mass must both be above 0");
  }
  return *mass / *length;
}

// ---- numbers of a system

std::vector<std::string> known_words() {
  std::vector<std::string> words{"ply", "singles", "twine", "yd", "lb", "wool", "silk"};
  for (const SystemWord& known : kSystemWords) words.emplace_back(known.word);
  return words;
}

/// What a spreadsheet writes where "8/2" was typed.
bool is_month(std::string_view word) {
  constexpr std::string_view kMonths[] = {"jan", "feb", "mar", "apr", "may", "jun",
                                          "jul", "aug", "sep", "oct", "nov", "dec"};
  return std::find(std::begin(kMonths), std::end(kMonths), word) != std::end(kMonths);
}

void refuse_unknown_words(const Statement& statement) {
  for (const Token& token : statement.tokens) {
    if (!token.is_word() || !names_thickness(token.word)) continue;
    refuse_text(
        statement.text,
        "this names a thickness and is no count; weigh a measured length, say 10 m, and write "
        "both, such as \"10 m / 2.3 g\"");
  }
  for (const Token& token : statement.tokens) {
    if (!token.is_word() || system_word(token.word) || is_description(token.word)) continue;
    if (is_month(token.word)) {
      refuse_text(
          statement.text,
          "a spreadsheet has made a date of this count; write it again with its system, such as "
          "\"8/2 cotton\", which a spreadsheet leaves alone");
    }
    if (token.word == "gr") {
      refuse_text(statement.text,
                  "\"gr\" is a gram to some and a grain to others; write \"g\" or \"grains\"");
    }
    if (yarn_length_unit(token.word) || yarn_mass_unit(token.word)) {
      refuse_text(
          statement.text,
          "a count needs one length and its mass, such as \"105 m / 50 g\" or \"3360 yd/lb\"");
    }
    const std::string near = nearest_word(token.word, known_words());
    refuse_text(
        statement.text,
        in_quotes(token.word) + " is not a word of yarn counts; " +
            (near.empty() ? "write a count such as \"8/2 cotton\", \"Nm 20/2\", \"295 tex\" or "
                            "\"3360 yd/lb\""
                          : "did you mean " + in_quotes(near) + "?"));
  }
}

[[noreturn]] void refuse_without_system(const Statement& statement) {
  if (statement.has("silk")) {
    refuse_text(
        statement.text,
        "silk is sold by two counts that differ by more than three times; write \"Nm 60/2\" if "
        "two threads of 60 m per g are meant, \"60s-2 spun silk\" if 60 hanks of 840 yd per lb "
        "after folding, or the yards per pound of the label");
  }
  if (statement.has("wool")) {
    refuse_text(
        statement.text,
        "wool is counted in several ways; write \"2/8 worsted\", \"Nm 8/2\", \"4 run\", or the "
        "length and mass of the label, such as \"200 m / 100 g\"");
  }
  refuse_text(
      statement.text,
      "the count needs its system: \"8/2 cotton\", \"2/8 worsted\", \"16/2 linen\", \"Nm 8/2\", "
      "\"295 tex\", or a length and its mass such as \"3360 yd/lb\"");
}

CountSystem system_of(const Statement& statement) {
  const SystemWord* named = nullptr;
  for (const Token& token : statement.tokens) {
    const SystemWord* word = token.is_word() ? system_word(token.word) : nullptr;
    if (word == nullptr) continue;
    if (named != nullptr && word->strength == named->strength && word->system != named->system) {
      refuse_text(
          statement.text,
          fmt::format("it names both {} and {}; name the one system the number is in, such as "
                      "\"NeC 22/2\", \"NeL 22/2\" or \"Nm 22/2\"",
                      name_of(named->system), name_of(word->system)));
    }
    if (named == nullptr || word->strength > named->strength) named = word;
  }
  if (named == nullptr) refuse_without_system(statement);
  return named->system;
}

/// A count and the fold it comes in, as two numbers.
struct FoldedCount {
  double count = 0.0;
  std::optional<int> fold;
};

/// @param fold  one that is_fold
FoldedCount folded_count(double count, double fold) { return {count, static_cast<int>(fold)}; }

[[noreturn]] void refuse_fold(const Statement& statement, CountSystem system, double a, double b) {
  const bool metric = system == CountSystem::Metric;
  const std::string before = metric ? "Nm " : "";
  std::string after = metric ? "" : " " + name_of(system);
  if (system == CountSystem::Cotton) after = "s cotton";
  if (system == CountSystem::Worsted) after = "s worsted";
  if (system == CountSystem::Linen) after = "s linen";
  std::string ways;
  if (is_fold(a)) ways = fmt::format("\"{:.6g}-ply {}{:.6g}{}\"", a, before, b, after);
  if (is_fold(b)) {
    ways += (ways.empty() ? "" : " or ") +
            fmt::format("\"{:.6g}-ply {}{:.6g}{}\"", b, before, a, after);
  }
  if (a <= 0.0 || b <= 0.0) refuse_text(statement.text, "a count and its ply must be above 0");
  if (ways.empty())
    refuse_text(statement.text, "one of the two numbers must be the ply, a whole number");
  refuse_text(statement.text, "either number could be the ply; write " + ways);
}

/// Which of "a/b" is the fold. See read_count for the rule.
FoldedCount which_is_fold(const Statement& statement, CountSystem system, const Token& first,
                          const Token& second) {
  const double a = first.number;
  const double b = second.number;
  if (first.count_mark != second.count_mark) {
    const double count = first.count_mark ? a : b;
    const double fold = first.count_mark ? b : a;
    if (is_fold(fold)) return folded_count(count, fold);
    refuse_text(statement.text,
                "the number beside the count must be the ply, a whole number up to 96");
  }
  if (statement.ply) {
    if (a == *statement.ply) return folded_count(b, a);
    if (b == *statement.ply) return folded_count(a, b);
    refuse_text(statement.text, "neither of the two numbers is the ply that is named beside them");
  }
  if (statement.has("seine") && is_fold(b)) return folded_count(a, b);
  const bool a_usual = is_fold(a) && a <= 4.0;
  const bool b_usual = is_fold(b) && b <= 4.0;
  if (a_usual != b_usual) return a_usual ? folded_count(b, a) : folded_count(a, b);
  const bool either = a == b && is_fold(a);
  const bool fold_first = system == CountSystem::Worsted && a < b;
  const bool fold_last = (system == CountSystem::Cotton || system == CountSystem::Linen) && a > b;
  if (fold_first && is_fold(a) && a <= kMostUnmarkedFold) return folded_count(b, a);
  if ((fold_last || either) && is_fold(b) && b <= kMostUnmarkedFold) return folded_count(a, b);
  refuse_fold(statement, system, a, b);
}

/// The numbers of a statement and the marks between them, all words taken out.
struct Numbers {
  std::vector<Token> numbers;
  std::string marks;
  bool second_is_by_the_unit = false;  ///< "2 x 20 tex"; false for "20 tex x 2", "tex 20 x 2"
};

Numbers numbers_of(const Statement& statement) {
  Numbers found;
  bool unit_between = false;
  bool unit_first = false;
  for (std::size_t i = 0; i < statement.tokens.size(); ++i) {
    const Token& token = statement.tokens[i];
    const bool unit = token.is_word() && system_word(token.word);
    if (unit && found.numbers.empty()) unit_first = true;
    if (unit && found.numbers.size() == 1) unit_between = true;
    if (token.is_number()) found.numbers.push_back(token);
    const bool hyphen = token.is("-") && i > 0 && i + 1 < statement.tokens.size() &&
                        statement.tokens[i + 1].is_word();  // "20s-cotton", "wet-spun"
    if (!token.is_number() && !token.is_word() && !hyphen) found.marks += token.word;
    if (found.marks.size() > found.numbers.size()) found.marks = "before the number";
  }
  // "tex 2 x 20" cannot be told from "tex 20 x 2"; the number by the unit is the linear density.
  const bool crossed = found.marks == "x" && unit_between;
  found.second_is_by_the_unit = !unit_first && !crossed;
  if (crossed && !unit_first) {  // "2 x tex 20" or "20 tex x 2": by where the cross stands
    const auto at_unit =
        std::find_if(statement.tokens.begin(), statement.tokens.end(),
                     [](const Token& t) { return t.is_word() && system_word(t.word) != nullptr; });
    const auto at_cross = std::find_if(statement.tokens.begin(), statement.tokens.end(),
                                       [](const Token& t) { return t.is("x"); });
    found.second_is_by_the_unit = at_cross < at_unit;
  }
  return found;
}

FoldedCount times_fold(const Statement& statement, const Numbers& found) {
  const double count = found.numbers[found.second_is_by_the_unit ? 1 : 0].number;
  const double fold = found.numbers[found.second_is_by_the_unit ? 0 : 1].number;
  if (!is_fold(fold) || statement.resultant) {
    refuse_text(statement.text,
                "threads together are written like \"20 tex x 2\" or \"R 40 tex / 2\"");
  }
  return folded_count(count, fold);
}

std::string told(CountSystem system, double count) {
  const bool unit_behind = is_direct(system) || system == CountSystem::YardsPerPound;
  return unit_behind ? fmt::format("{:.6g} {}", count, name_of(system))
                     : fmt::format("{} {:.6g}", name_of(system), count);
}

std::string behind_ply(std::optional<int> ply, const std::string& of, const std::string& what) {
  if (!ply) return what;
  return *ply == 1 ? "singles" + of + what : fmt::format("{}-ply{}{}", *ply, of, what);
}

std::string rounded_tex(double yarn_tex) {
  if (yarn_tex < 1e-3) return "less than 0.001 tex";
  return yarn_tex < 1000.0 ? fmt::format("{:.4g} tex", yarn_tex)
                           : fmt::format("{:.0f} tex", yarn_tex);
}

std::string with_tex(const std::string& what, const LinearDensity<>& linear_density) {
  const std::string yarn_tex = rounded_tex(in_tex(linear_density));
  return what == yarn_tex ? what : what + ": " + yarn_tex;
}

/// What the number might have been meant as, when it gives an impossible yarn.
std::string hint_for(CountSystem system, double count, double yarn_tex) {
  const auto fits = [](CountSystem other, double number) {
    const double other_tex = in_tex(linear_density_of(other, number));
    return other_tex >= kLeastReadTex && other_tex <= kMostReadTex;
  };
  const auto meant = [count](const char* unit, const char* meaning) {
    return fmt::format("; if it was meant as {}, write \"{:.6g} {}\"", meaning, count, unit);
  };
  if (is_direct(system)) {
    if (yarn_tex > kMostReadTex && fits(CountSystem::Decitex, count)) {
      return meant("dtex", "g per 10 km");
    }
    return yarn_tex < kLeastReadTex && fits(CountSystem::Kilotex, count) ? meant("ktex", "g per m")
                                                                         : "";
  }
  if (yarn_tex > kMostReadTex) return "";
  if (system == CountSystem::Metric) {
    return fits(CountSystem::Metric, count / 1e3) ? meant("m/kg", "m per kg") : "";
  }
  return fits(CountSystem::YardsPerPound, count) ? meant("yd/lb", "yards per pound") : "";
}

void require_possible(std::string_view text, const LinearDensity<>& linear_density,
                      const std::string& hint) {
  const double yarn_tex = in_tex(linear_density);
  if (yarn_tex >= kLeastReadTex && yarn_tex <= kMostReadTex) return;
  refuse_text(text, fmt::format("this is {}, and yarn has {:g} to {:.0f} tex{}",
                                rounded_tex(yarn_tex), kLeastReadTex, kMostReadTex, hint));
}

LinearDensity<> density_or_refuse(const Statement& statement, CountSystem system, double count) {
  if (count < 1e-6 || count > 1e9)
    refuse_text(statement.text, "the count must be above 0 and possible");
  return linear_density_of(system, count);
}

/// A count whose fold is known, or known not to be told; the number is that of one single.
CountReading of_singles(const Statement& statement, CountSystem system, const FoldedCount& found) {
  const LinearDensity<> single = density_or_refuse(statement, system, found.count);
  const LinearDensity<> whole = single * static_cast<double>(found.fold.value_or(1));
  require_possible(statement.text, whole, hint_for(system, found.count, in_tex(whole)));
  const std::string what = behind_ply(found.fold, " of ", told(system, found.count));
  return {whole, found.fold, with_tex(what, whole)};
}

/// A number that already is that of the folded yarn.
CountReading of_whole(const Statement& statement, CountSystem system, const FoldedCount& found) {
  const LinearDensity<> whole = density_or_refuse(statement, system, found.count);
  require_possible(statement.text, whole, hint_for(system, found.count, in_tex(whole)));
  const std::string after = found.fold.value_or(1) > 1 ? " after folding" : "";
  const std::string what = behind_ply(found.fold, ", ", told(system, found.count) + after);
  return {whole, found.fold, with_tex(what, whole)};
}

/// "R 147.6 tex", "R 40 tex / 2", "20 tex x 2", "150 denier".
CountReading read_direct(const Statement& statement, CountSystem system, const Numbers& found) {
  const double first = found.numbers[0].number;
  const std::string unit = name_of(system);
  if (found.numbers.size() == 1) {
    if (statement.ply.value_or(1) > 1 && !statement.resultant) {
      refuse_text(
          statement.text,
          fmt::format("is that one thread or all together? Write \"{:.6g} {} x {}\" or \"R {:.6g} "
                      "{} / {}\"",
                      first, unit, *statement.ply, first, unit, *statement.ply));
    }
    return of_whole(statement, system, {first, statement.ply});
  }
  if (found.marks == "x") return of_singles(statement, system, times_fold(statement, found));
  const double second = found.numbers[1].number;
  if (!statement.resultant || !is_fold(second)) {
    refuse_text(statement.text,
                fmt::format("write \"{:.6g} {} x {:.6g}\" for threads of {:.6g} {} each, "
                            "or \"R {:.6g} {} / {:.6g}\" for all together",
                            first, unit, second, first, unit, first, unit, second));
  }
  return of_whole(statement, system, folded_count(first, second));
}

/// "40s-2 spun silk": the number is that of the folded yarn, and stands first.
CountReading read_spun_silk(const Statement& statement, const Numbers& found) {
  const CountSystem system = CountSystem::SpunSilk;
  const Token& first = found.numbers[0];
  if (found.numbers.size() == 1) return of_whole(statement, system, {first.number, statement.ply});
  const Token& second = found.numbers[1];
  if (found.marks == "x" || !is_fold(second.number) || second.count_mark ||
      first.number < second.number) {
    refuse_text(statement.text,
                "spun silk is written with its folded count first, such as \"40s-2 spun "
                "silk\"");
  }
  return of_whole(statement, system, folded_count(first.number, second.number));
}

/// One number, or two with one mark between them, in a system that is written as numbers.
void require_one_count(const Statement& statement, CountSystem system, const Numbers& found) {
  const bool one = found.numbers.size() == 1 && found.marks.empty();
  const bool two =
      found.numbers.size() == 2 && (found.marks == "/" || found.marks == "-" || found.marks == "x");
  if (!one && !two) {
    refuse_text(statement.text,
                "one count is wanted, such as \"8/2 cotton\", \"Nm 20/2\", \"295 tex\" or \"3360 "
                "yd/lb\"");
  }
  if (system == CountSystem::Spyndle || system == CountSystem::AmericanGrain) {
    refuse_text(
        statement.text,
        "write the mass and its length, such as \"8.5 lb/spyndle\" or \"20 grains/120 yd\"");
  }
}

CountReading read_numbers(const Statement& statement) {
  refuse_unknown_words(statement);
  const CountSystem system = system_of(statement);
  const Numbers found = numbers_of(statement);
  require_one_count(statement, system, found);
  const bool one = found.numbers.size() == 1;
  if (is_direct(system)) return read_direct(statement, system, found);
  if (system == CountSystem::SpunSilk) return read_spun_silk(statement, found);
  if (one && (statement.resultant || system == CountSystem::YardsPerPound)) {
    return of_whole(statement, system, {found.numbers[0].number, statement.ply});
  }
  if (one) return of_singles(statement, system, {found.numbers[0].number, statement.ply});
  if (statement.resultant) {
    refuse_text(statement.text, "R stands before tex only, such as \"R 40 tex / 2\"");
  }
  const bool times = found.marks == "x";
  return of_singles(statement, system,
                    times ? times_fold(statement, found)
                          : which_is_fold(statement, system, found.numbers[0], found.numbers[1]));
}

CountReading read_one(std::string_view text, const std::string& plain, DecimalMark mark) {
  Statement statement{text, tokens_of(text, plain, mark), std::nullopt};
  statement.resultant = statement.has("r");
  take_ply(statement);
  join_fractions(statement.tokens);
  if (const auto linear_density = mass_per_length(statement)) {
    require_possible(text, *linear_density, "; check the units of both numbers");
    return {*linear_density, statement.ply, with_tex(plain, *linear_density)};
  }
  return read_numbers(statement);
}

/// "Ne 60 + Ne 40": different threads folded together.
CountReading read_sum(std::string_view text, const std::string& plain, DecimalMark mark) {
  std::vector<LinearDensity<>> strands;
  int ply = 0;
  std::string what;
  for (std::size_t from = 0; from <= plain.size();) {
    const std::size_t to = std::min(plain.find('+', from), plain.size());
    const std::string strand = folded(plain.substr(from, to - from));
    if (strand.empty()) refuse_text(text, "a count is missing beside +, as in \"Ne 60 + Ne 40\"");
    const CountReading part = read_one(text, strand, mark);
    strands.push_back(part.linear_density);
    ply += part.ply.value_or(1);
    what += (what.empty() ? "" : " and ") + part.understood.substr(0, part.understood.rfind(':'));
    from = to + 1;
  }
  const LinearDensity<> whole = together(strands);
  require_possible(text, whole, "");
  return {whole, ply, with_tex(what + " together", whole)};
}

}  // namespace

CountReading read_count(std::string_view text, DecimalMark mark) {
  const std::string plain = folded(text);
  if (plain.empty()) {
    refuse_text(text,
                "a yarn count is wanted, such as \"8/2 cotton\", \"Nm 20/2\" or \"3360 yd/lb\"");
  }
  if (plain.find('+') != std::string::npos) return read_sum(text, plain, mark);
  return read_one(text, plain, mark);
}

}  // namespace ellwand::yarn

#include "ellwand/units/text.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <locale>
#include <random>
#include <sstream>
#include <string>

namespace ellwand {
namespace {

/// What the reader says about a text it refuses; empty if it took it.
template <class Reader>
std::string refusal(Reader read) {
  try {
    read();
  } catch (const UnreadableText& wrong) {
    return wrong.what();
  }
  return {};
}

// Sums of a few exactly given factors: a double's rounding, relative.
constexpr double kRounding = 1e-14;

TEST(Folded, IsFoldedOnceAndForAll) {
  EXPECT_EQ(folded("2 \xe2\xef\xbb\xbf\x85\x9d"), "2 5/8");  // U+FEFF amid the bytes of U+215D
  EXPECT_EQ(folded("\xc3\xef\xbb\xbf\x97"), "x");            // and of U+00D7
}

TEST(ReadDecimal, ReadsWholeNumbersDecimalsAndFractions) {
  EXPECT_EQ(read_decimal("12"), 12.0);
  EXPECT_EQ(read_decimal(" 12.5 "), 12.5);
  EXPECT_EQ(read_decimal(".5"), 0.5);
  EXPECT_EQ(read_decimal("007"), 7.0);
  EXPECT_EQ(read_decimal("3/8"), 0.375);
  EXPECT_EQ(read_decimal("1 3/8"), 1.375);
  EXPECT_EQ(read_decimal("1-3/8"), 1.375);
  EXPECT_EQ(read_decimal("1½"), 1.5);
  EXPECT_EQ(read_decimal("1 ½"), 1.5);
}

TEST(ReadDecimal, ReadsExponentsBecauseSpreadsheetsWriteThem) {
  EXPECT_EQ(read_decimal("1e3"), 1000.0);
  EXPECT_EQ(read_decimal("2.5E-1"), 0.25);
}

TEST(ReadDecimal, RefusesWhatIsNoPlainNumber) {
  for (const char* text :
       {"",      " ",       "nan",   "inf", "-inf",    "infinity",  "0x10", "1_000",
        "12abc", "5.",      ".",     "1e",  "--3",     "1,200",     "12,5", "1.2.3",
        "1/0",   "1.5 3/8", "1 9/8", "1 2", "1e2 3/8", "12345678/3"}) {
    EXPECT_THROW(read_decimal(text), UnreadableText) << text;
  }
}

TEST(ReadDecimal, RefusesWhatDoesNotFit) {
  EXPECT_EQ(refusal([] { read_decimal("1e999"); }),
            "\"1e999\": the number is too large to be counted with; a number is wanted, such as "
            "12.5 or 1 3/8");
  EXPECT_THROW(read_decimal("1e-999"), UnreadableText);
  EXPECT_EQ(read_decimal("0e-999"), 0.0);
}

TEST(ReadDecimal, TakesASignOnlyWhereOneMayStand) {
  EXPECT_THROW(read_decimal("-2"), UnreadableText);
  EXPECT_EQ(read_decimal("-2", DecimalMark::Point, Sign::Allowed), -2.0);
  EXPECT_EQ(read_decimal("\u22122.5", DecimalMark::Point, Sign::Allowed), -2.5);
  EXPECT_THROW(read_decimal("- -2", DecimalMark::Point, Sign::Allowed), UnreadableText);
}

TEST(ReadDecimal, TakesCommasInAFileThatWritesThem) {
  EXPECT_EQ(read_decimal("12,5", DecimalMark::Comma), 12.5);
  EXPECT_EQ(read_decimal("1,200", DecimalMark::Comma), 1.2);
  EXPECT_EQ(read_decimal("12.5", DecimalMark::Comma), 12.5);
  // 1.200 is twelve hundred to whoever writes decimals with a comma.
  EXPECT_THROW(read_decimal("1.200", DecimalMark::Comma), UnreadableText);
  EXPECT_THROW(read_decimal("1.200,5", DecimalMark::Comma), UnreadableText);
}

/// Numbers as a German program writes them.
class CommaMarks : public std::numpunct<char> {
  char do_decimal_point() const override { return ','; }
  char do_thousands_sep() const override { return '.'; }
  std::string do_grouping() const override { return "\3"; }
};

TEST(ReadDecimal, DoesNotCareForTheLocale) {
  const std::locale before = std::locale::global(std::locale(std::locale(), new CommaMarks));
  std::ostringstream written;
  written << 1234.5;
  const double decimal = read_decimal("1234.5");
  const double mass_g = in_grams(read_mass("12.5 g"));
  std::locale::global(before);
  EXPECT_EQ(written.str(), "1.234,5");  // the locale was at work
  EXPECT_EQ(decimal, 1234.5);
  EXPECT_EQ(mass_g, 12.5);
}

TEST(ReadLength, ReadsTheUnitsOfTheTrade) {
  EXPECT_NEAR(in_metres(read_length("14 cm")), 0.14, kRounding);
  EXPECT_NEAR(in_metres(read_length("340mm")), 0.34, kRounding);
  EXPECT_NEAR(in_metres(read_length("2 m")), 2.0, kRounding);
  EXPECT_NEAR(in_metres(read_length("14 CM")), 0.14, kRounding);
  EXPECT_NEAR(in_metres(read_length("5.5 in")), 0.1397, kRounding);          // 5.5 x 0.0254
  EXPECT_NEAR(in_metres(read_length("1 3/8 inches")), 0.034925, kRounding);  // 1.375 x 0.0254
  EXPECT_NEAR(in_metres(read_length("1 3/8\"")), 0.034925, kRounding);
  EXPECT_NEAR(in_metres(read_length("3 ft")), 0.9144, kRounding);
  EXPECT_NEAR(in_metres(read_length("12 yd")), 10.9728, 10 * kRounding);  // 12 x 0.9144
  EXPECT_NEAR(in_metres(read_length("0 cm")), 0.0, 0.0);
}

TEST(ReadLength, AddsASmallerUnitBehindALarger) {
  EXPECT_NEAR(in_metres(read_length("5 ft 3 in")), 1.6002, kRounding);  // 63 x 0.0254
  EXPECT_NEAR(in_metres(read_length("5' 3\"")), 1.6002, kRounding);
  EXPECT_NEAR(in_metres(read_length("1 m 20 cm")), 1.2, kRounding);
  EXPECT_NEAR(in_metres(read_length("5 ft 11 in")), 1.8034, kRounding);  // 71 x 0.0254
  EXPECT_THROW(read_length("5 ft 12 in"), UnreadableText);               // which is 6 ft
  EXPECT_THROW(read_length("5 ft 13 in"), UnreadableText);
  EXPECT_THROW(read_length("3 in 5 ft"), UnreadableText);
  EXPECT_THROW(read_length("5 ft 3"), UnreadableText);
}

TEST(ReadLength, AsksForTheUnitOfABareNumber) {
  EXPECT_EQ(refusal([] { read_length("14"); }),
            "\"14\": 14 of what? Lengths are written with a unit: \"14 cm\", \"5.5 in\".");
}

TEST(ReadLength, SaysWhatAWrongKindIs) {
  EXPECT_EQ(refusal([] { read_length("14 g"); }),
            "\"14 g\" is a mass; a length is wanted, such as \"14 cm\", \"5.5 in\"");
  EXPECT_EQ(refusal([] { read_length("14 cm2"); }),
            "\"14 cm2\" is an area; a length is wanted, such as \"14 cm\", \"5.5 in\"");
  EXPECT_EQ(refusal([] { read_length("147 tex"); }),
            "\"147 tex\" is a yarn count; a length is wanted, such as \"14 cm\", \"5.5 in\"");
}

TEST(ReadLength, NamesTheUnitThatWasProbablyMeant) {
  EXPECT_EQ(refusal([] { read_length("14 mc"); }),
            "\"14 mc\": \"mc\" is no unit of length; did you mean \"cm\"?");
  EXPECT_EQ(refusal([] { read_length("14 qq"); }),
            "\"14 qq\": \"qq\" is no unit of length; a length is wanted, such as \"14 cm\", \"5.5 "
            "in\"");
}

TEST(ReadLength, RefusesNegativeAndOverflowingLengths) {
  EXPECT_EQ(refusal([] { read_length("-3 cm"); }),
            "\"-3 cm\": it may not be negative; a length is wanted, such as \"14 cm\", \"5.5 in\"");
  EXPECT_THROW(read_length("1e306 km"), UnreadableText);
  EXPECT_THROW(read_length("nan cm"), UnreadableText);
  EXPECT_THROW(read_length("1,200 m"), UnreadableText);
}

TEST(ReadMass, ReadsTheUnitsOfTheTrade) {
  EXPECT_NEAR(in_grams(read_mass("50 g")), 50.0, 1e-12);
  EXPECT_NEAR(in_grams(read_mass("1.2 kg")), 1200.0, 1e-12);
  EXPECT_NEAR(in_grams(read_mass("2 lb")), 907.18474, 1e-10);          // 2 x 453.59237
  EXPECT_NEAR(in_grams(read_mass("3 1/2 oz")), 99.2233309375, 1e-10);  // 3.5 x 453.59237 / 16
  EXPECT_NEAR(in_grams(read_mass("1 lb 4 oz")), 566.9904625, 1e-10);   // 20 x 453.59237 / 16
  EXPECT_EQ(refusal([] { read_mass("5 gr"); }),
            "\"5 gr\": \"gr\" is no unit of mass; did you mean \"g\"?");
}

TEST(ReadArea, ReadsSquaresHoweverTheyAreWritten) {
  for (const char* text : {"120 cm2", "120 cm²", "120 cm^2", "120 sq cm", "120 square cm"}) {
    EXPECT_NEAR(in_square_centimetres(read_area(text)), 120.0, 1e-10) << text;
  }
  EXPECT_NEAR(in_square_centimetres(read_area("2 sq in")), 12.9032, 1e-10);  // 2 x 2.54^2
  EXPECT_THROW(read_area("5 cm"), UnreadableText);
  EXPECT_THROW(read_area("5"), UnreadableText);
}

TEST(ReadThreadDensity, ReadsThreadsPerInchAndPerCentimetre) {
  for (const char* text : {"8 /in", "8/in", "8 per inch", "8 epi", "8 ppi", "8 ends/in",
                           "8 ends per inch", "8 / in"}) {
    EXPECT_NEAR(in_per_inch(read_thread_density(text)), 8.0, 1e-12) << text;
  }
  EXPECT_NEAR(in_per_cm(read_thread_density("6 /cm")), 6.0, 1e-12);
  EXPECT_NEAR(in_per_cm(read_thread_density("60 per 10 cm")), 6.0, 1e-12);
  EXPECT_NEAR(in_per_cm(read_thread_density("60/10 cm")), 6.0, 1e-12);  // no fraction
  EXPECT_NEAR(in_per_inch(read_thread_density("7 1/2 per inch")), 7.5, 1e-12);
  EXPECT_EQ(refusal([] { read_thread_density("8"); }),
            "\"8\": 8 of what? Threads per length are written with a unit: \"8 /in\", \"6 /cm\".");
  EXPECT_THROW(read_thread_density("8 in"), UnreadableText);
  EXPECT_THROW(read_thread_density("8 per 0 cm"), UnreadableText);
}

TEST(ReadFraction, ReadsPercentAndSharesAlike) {
  EXPECT_NEAR(read_fraction("4 %"), 0.04, kRounding);
  EXPECT_NEAR(read_fraction("4%"), 0.04, kRounding);
  EXPECT_NEAR(read_fraction("4 percent"), 0.04, kRounding);
  EXPECT_EQ(read_fraction("0.04"), 0.04);
  EXPECT_EQ(read_fraction("1/8"), 0.125);
  EXPECT_NEAR(read_fraction("120 %"), 1.2, kRounding);
  EXPECT_NEAR(read_fraction("4,5 %", DecimalMark::Comma), 0.045, kRounding);
}

TEST(ReadFraction, AsksWhichIsMeantWhenABareNumberCouldBeAPercentage) {
  EXPECT_EQ(refusal([] { read_fraction("4"); }),
            "\"4\": without a % sign a share is below 1; write \"4 %\" or \"400 %\"");
  const auto refused_up_to = [](const char* text, double most) {
    return refusal([=] { read_fraction(text, DecimalMark::Point, most); });
  };
  EXPECT_EQ(refused_up_to("10", 0.5),
            "\"10\": without a % sign a share is below 1; write \"10 %\"");
  EXPECT_EQ(refused_up_to("1", 1.0),
            "\"1\": without a % sign a share is below 1; write \"1 %\" or \"100 %\"");
  EXPECT_EQ(refused_up_to("80", 0.5),
            "\"80\": without a % sign a share is below 1, and 50 % is the most here");
  EXPECT_THROW(read_fraction("1"), UnreadableText);
  EXPECT_THROW(read_fraction("-1 %"), UnreadableText);
  EXPECT_THROW(read_fraction("4 g"), UnreadableText);
  EXPECT_THROW(read_fraction("%"), UnreadableText);
}

TEST(ReadAngle, ReadsDegreesAndNothingElse) {
  EXPECT_EQ(read_angle_degrees("20 deg"), 20.0);
  EXPECT_EQ(read_angle_degrees("20°"), 20.0);
  EXPECT_EQ(read_angle_degrees("20 degrees"), 20.0);
  EXPECT_THROW(read_angle_degrees("20"), UnreadableText);
  EXPECT_THROW(read_angle_degrees("20 rad"), UnreadableText);
}

TEST(LeadingDecimal, LeavesWhatFollowsAndTakesNoFraction) {
  const LeadingNumber found = leading_decimal("8/2 Cotton");
  EXPECT_EQ(found.value, 8.0);
  EXPECT_EQ(found.rest, "/2 cotton");
  EXPECT_THROW(leading_decimal("cotton 8"), UnreadableText);
}

TEST(NearestWord, FindsOneOrTwoSlips) {
  const std::vector<std::string> words{"estimate", "calibrate", "kit", "price"};
  EXPECT_EQ(nearest_word("estimat", words), "estimate");
  EXPECT_EQ(nearest_word("Estimtae", words), "estimate");
  EXPECT_EQ(nearest_word("clibrtae", words), "calibrate");
  EXPECT_EQ(nearest_word("kti", words), "kit");
}

TEST(NearestWord, FindsNothingWhenNothingIsNear) {
  const std::vector<std::string> words{"estimate", "kit", "m"};
  EXPECT_EQ(nearest_word("weave", words), "");
  EXPECT_EQ(nearest_word("kxt", {"kit"}), "kit");
  EXPECT_EQ(nearest_word("kxx", {"kit"}), "");  // two slips of three letters
  EXPECT_EQ(nearest_word("q", words), "");      // every letter is one slip from m
  EXPECT_EQ(nearest_word("kit", {}), "");
}

TEST(NearestWord, KnowsAWordByTheBeginningsOfItsParts) {
  const std::vector<std::string> words{"waste_per_colour", "working_length", "warp-ends", "waste"};
  EXPECT_EQ(nearest_word("worklength", words), "working_length");
  EXPECT_EQ(nearest_word("work_len", words), "working_length");
  EXPECT_EQ(nearest_word("WasPerCol", words), "waste_per_colour");
  EXPECT_EQ(nearest_word("waends", words), "");                                  // "wa" may be any
  EXPECT_EQ(nearest_word("working", words), "");                                 // of what?
  EXPECT_EQ(nearest_word("worklen", {"working_length", "worked_lengths"}), "");  // either
}

TEST(NearestWord, PrefersSwappedLettersAmongEquals) {
  EXPECT_EQ(nearest_word("mc", {"m", "mm", "cm"}), "cm");
}

TEST(InQuotes, CutsLongTextsBetweenCharacters) {
  const std::string shown = in_quotes(std::string(59, 'a') + "éa");  // é takes bytes 60 and 61
  EXPECT_EQ(shown, '"' + std::string(59, 'a') + "...\"");
  EXPECT_EQ(in_quotes("a\nb"), "\"a?b\"");
}

/// Texts made of pieces that units are made of, and of any byte.
std::string scrap(std::mt19937& dice) {
  static const std::vector<std::string> pieces{"1", "9",  "0",  ".",   ",",   "/", " ",  "-",
                                               "e", "cm", "in", "per", "ft",  "g", "lb", "sq",
                                               "2", "%",  "½",  "\"",  "epi", "'", "10", "nan"};
  std::string text;
  const auto length = dice() % 9;
  for (auto i = length; i > 0; --i) {
    text += dice() % 12 == 0 ? std::string(1, static_cast<char>(dice() % 256))
                             : pieces[dice() % pieces.size()];
  }
  return text;
}

template <class Reader>
void expect_finite_or_refused(Reader read, const std::string& text) {
  try {
    const double value = read(text);
    EXPECT_TRUE(std::isfinite(value) && value >= 0.0) << text << " gave " << value;
  } catch (const UnreadableText& wrong) {
    EXPECT_NE(std::string(wrong.what()), "") << text;
  }
}

TEST(Readers, GiveAFiniteValueOrOneRefusalForAnyText) {
  std::mt19937 dice(1959);
  for (int i = 0; i < 10000; ++i) {
    const std::string text = scrap(dice);
    const DecimalMark mark = i % 2 == 0 ? DecimalMark::Point : DecimalMark::Comma;
    expect_finite_or_refused([&](const auto& t) { return read_decimal(t, mark); }, text);
    expect_finite_or_refused([&](const auto& t) { return in_metres(read_length(t, mark)); }, text);
    expect_finite_or_refused([&](const auto& t) { return in_grams(read_mass(t, mark)); }, text);
    expect_finite_or_refused([&](const auto& t) { return in_per_cm(read_thread_density(t, mark)); },
                             text);
    expect_finite_or_refused(
        [&](const auto& t) { return in_square_centimetres(read_area(t, mark)); }, text);
    expect_finite_or_refused([&](const auto& t) { return read_fraction(t, mark); }, text);
  }
}

}  // namespace
}  // namespace ellwand

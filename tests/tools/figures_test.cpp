// The figures as they are shown: for programs, for the eye, and opened to their causes.

#include "program.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <regex>
#include <set>
#include <utility>
#include <vector>

namespace ellwand::test {
namespace {

using nlohmann::json;

class Figures : public Program {
 protected:
  json estimated(const std::string& arguments) const {
    return json::parse(run("estimate --json " + arguments).out);
  }
};

const std::vector<std::string> kPieces = {
    "demo/pieces/saltmarsh.toml", "demo/pieces/sedge.toml",    "demo/pieces/shingle.toml",
    "demo/pieces/tideline.toml",  "demo/pieces/undertow.toml", "demo/pieces/wrackline.toml"};

void expect_fields(const json& object, const std::vector<const char*>& fields) {
  for (const char* field : fields) EXPECT_TRUE(object.contains(field)) << field << " in " << object;
}

void expect_range(const json& range) {
  EXPECT_GE(range.at("low").get<double>(), 0.0) << range;
  EXPECT_LE(range.at("low").get<double>(), range.at("mid").get<double>()) << range;
  EXPECT_LE(range.at("mid").get<double>(), range.at("high").get<double>()) << range;
}

void expect_machine_output(const json& piece) {
  expect_fields(piece, {"piece", "yarns", "chance_any_short", "bands", "cuts", "size",
                        "warp_left_cm", "warnings", "cautions"});
  for (const json& yarn : piece.at("yarns")) {
    expect_fields(yarn, {"yarn", "plan_m", "mean_m", "set_aside_m", "set_aside_g", "put_ups",
                         "left_over_m", "chance_short"});
    expect_range(yarn.at("length_m"));
    expect_range(yarn.at("mass_g"));
  }
  for (const json& band : piece.at("bands")) {
    expect_fields(band, {"band", "work", "yarn", "rows", "height_cm", "causes_m"});
    expect_range(band.at("length_m"));
  }
  for (const json& cut : piece.at("cuts")) {
    expect_fields(cut, {"what", "yarn", "count", "length_cm"});
  }
  for (const char* state : {"loom", "off_loom", "finished"}) {
    EXPECT_GT(piece.at("size").at(state).at("width_cm").get<double>(), 0.0);
    EXPECT_GT(piece.at("size").at(state).at("height_cm").get<double>(), 0.0);
  }
  for (const json& warning : piece.at("warnings")) expect_fields(warning, {"code", "text"});
}

TEST_F(Figures, ForProgramsHaveEveryFieldByItsName) {
  const json all = estimated("demo");
  EXPECT_EQ(all.at("schema"), 1);
  EXPECT_EQ(all.at("engine"), "0.1.0");
  EXPECT_TRUE(all.at("calibration").is_null());
  ASSERT_EQ(all.at("pieces").size(), kPieces.size());
  EXPECT_EQ(all["pieces"][0].at("piece"), "saltmarsh");
  EXPECT_EQ(all["pieces"][1].at("piece"), "sedge");
  for (const json& piece : all.at("pieces")) expect_machine_output(piece);
  EXPECT_FALSE(all["pieces"][0].at("cuts").empty());
  EXPECT_FALSE(all["pieces"][0].at("warnings").empty());
}

/// The causes of one yarn over all bands.
double causes_of(const json& piece, const json& yarn) {
  double sum = 0.0;
  for (const json& band : piece.at("bands")) {
    if (band.at("yarn") != yarn.at("yarn")) continue;
    for (const json& cause : band.at("causes_m")) sum += cause.get<double>();
  }
  return sum;
}

TEST_F(Figures, ForProgramsHaveCausesThatSumToThePlan) {
  const json all = estimated("demo");
  for (const json& piece : all.at("pieces")) {
    for (const json& yarn : piece.at("yarns")) {
      const double plan = yarn.at("plan_m");
      EXPECT_NEAR(causes_of(piece, yarn), plan, 1e-9 * plan) << yarn.at("yarn");  // rounding only
    }
  }
}

TEST_F(Figures, AreTheSameForOnePieceAloneAndWithTheStudio) {
  const json all = estimated("demo");
  for (std::size_t i = 0; i < kPieces.size(); ++i) {
    EXPECT_EQ(estimated(kPieces[i]).at("pieces").at(0), all.at("pieces").at(i));
  }
}

TEST_F(Figures, OfAWholeStudioAreTotalledByYarn) {
  const json all = estimated("demo");
  ASSERT_EQ(all.at("totals").size(), 1U);
  const json& totals = all["totals"][0];
  EXPECT_EQ(totals.at("pieces"),
            (json{"saltmarsh", "sedge", "shingle", "tideline", "undertow", "wrackline"}));
  for (const json& total : totals.at("yarns")) {
    double plan = 0.0;
    double set_aside = 0.0;
    std::vector<std::string> used_in;
    for (const json& piece : all.at("pieces")) {
      for (const json& yarn : piece.at("yarns")) {
        if (yarn.at("yarn") != total.at("yarn")) continue;
        plan += yarn.at("plan_m").get<double>();
        set_aside += yarn.at("set_aside_m").get<double>();
        used_in.push_back(piece.at("piece"));
      }
    }
    EXPECT_NEAR(total.at("plan_m").get<double>(), plan, 1e-9 * plan) << total.at("yarn");
    // Of a sum no more is set aside than of its summands, and no less than of one.
    EXPECT_LE(total.at("set_aside_m").get<double>(), set_aside * (1.0 + 1e-9));
    EXPECT_EQ(total.at("pieces"), json(used_in));
    expect_range(total.at("length_m"));
    expect_range(total.at("mass_g"));
  }
  EXPECT_FALSE(estimated("demo/pieces/sedge.toml").contains("totals"));
}

TEST_F(Figures, OfTwoStudiosAreTotalledApart) {
  std::filesystem::copy(folder_ / "demo", folder_ / "other",
                        std::filesystem::copy_options::recursive);
  const json all = estimated("demo ./demo/pieces/sedge.toml other/pieces/sedge.toml");
  ASSERT_EQ(all.at("totals").size(), 1U);  // of the other there is one piece alone
  EXPECT_EQ(all["totals"][0].at("pieces").size(), kPieces.size() + 1);
  EXPECT_EQ(estimated("demo other").at("totals").size(), 2U);
}

/// One table that opens a figure: the number of causes, their sum, and the plan below them.
struct Opened {
  int causes = 0;
  double sum = 0.0;
  double plan = 0.0;
};

bool ends_in_a_number(const std::string& line) {
  return line.rfind("  ", 0) == 0 && line.find_last_of("0123456789") == line.size() - 1;
}

std::string fixed3(double value) {
  char text[32];
  std::snprintf(text, sizeof text, "%.3f", value);
  return text;
}

double last_number(const std::string& line) {
  return std::stod(line.substr(line.find_last_of(' ') + 1));
}

/// Every table of an answer; the lines above `total` are its causes.
std::vector<Opened> tables_of(const std::string& answer, const std::string& total) {
  std::vector<Opened> tables;
  std::istringstream lines(answer);
  Opened table;
  for (std::string line; std::getline(lines, line);) {
    if (line.empty()) table = {};
    if (!ends_in_a_number(line)) continue;
    if (line.rfind("  = " + total, 0) == 0) {
      table.plan = last_number(line);
      tables.push_back(table);
      table = {};
    } else {
      ++table.causes;
      table.sum += last_number(line);
    }
  }
  return tables;
}

/// Each printed number is within half its last place of the number meant.
void expect_sums(const std::vector<Opened>& tables, double last_place) {
  for (const Opened& table : tables) {
    EXPECT_GT(table.causes, 0);
    EXPECT_NEAR(table.sum, table.plan, 0.5 * last_place * (table.causes + 1) + 1e-9);
  }
}

TEST_F(Figures, OfAYarnOpenToThePlan) {
  for (const std::string& path : kPieces) {
    const json piece = estimated(path).at("pieces").at(0);
    for (const json& yarn : piece.at("yarns")) {
      SCOPED_TRACE(path + " " + yarn.at("yarn").get<std::string>());
      const Ran ran = run("estimate " + path + " --why " + yarn.at("yarn").get<std::string>());
      EXPECT_EQ(ran.status, 0) << ran.told;
      const auto tables = tables_of(ran.out, "the plan");
      ASSERT_EQ(tables.size(), 1U) << ran.out;
      expect_sums(tables, 0.001);
      EXPECT_NEAR(tables[0].plan, yarn.at("plan_m").get<double>(), 0.00051);  // printed to mm
    }
  }
}

/// Opens a figure that is the lines of `bands`, one table each.
void expect_opens(const Ran& ran, const std::vector<json>& bands) {
  EXPECT_EQ(ran.status, 0) << ran.told;
  const auto tables = tables_of(ran.out, "the plan");
  ASSERT_EQ(tables.size(), bands.size()) << ran.out;
  expect_sums(tables, 0.001);
  for (std::size_t i = 0; i < bands.size(); ++i) {
    EXPECT_NEAR(tables[i].plan, bands[i].at("plan_m").get<double>(), 0.00051);  // printed to mm
  }
}

TEST_F(Figures, OfABandTheWarpAndTheWasteOpenToThePlan) {
  for (const std::string& path : kPieces) {
    std::map<std::string, std::vector<json>> lines;
    const json piece = estimated(path).at("pieces").at(0);
    for (const json& band : piece.at("bands")) {
      if (!band.at("yarn").is_string()) continue;  // bare warp
      if (band.at("comes_out").get<bool>()) {      // lent: no part of a plan
        EXPECT_EQ(band.at("plan_m"), 0.0);
        continue;
      }
      const bool is_worked = band.at("band") > 0;
      lines[is_worked ? "band " + band.at("band").dump() : band.at("work").get<std::string>()]
          .push_back(band);
    }
    EXPECT_GE(lines.size(), 6U);  // warp, waste and four bands at least
    for (const auto& [figure, bands] : lines) {
      SCOPED_TRACE(path + " " + figure);
      expect_opens(run("estimate " + path + " --why '" + figure + "'"), bands);
    }
  }
}

TEST_F(Figures, CountOneRowAsOne) {
  const std::string why = run("estimate demo/pieces/undertow.toml --why 'band 13'").out;
  EXPECT_NE(why.find("\n1 row, "), std::string::npos) << why;
}

/// The number in the line of an answer that begins so; not a number without one.
double number_after(const std::string& answer, const std::string& words) {
  const std::size_t at = answer.find("\n  " + words);
  if (at == std::string::npos) return std::nan("");
  return last_number(answer.substr(at + 1, answer.find('\n', at + 1) - at - 1));
}

double or_nothing(double number) { return std::isnan(number) ? 0.0 : number; }

TEST_F(Figures, OfAYarnGoOnToWhatToHave) {
  for (const std::string& path : kPieces) {
    const json piece = estimated(path).at("pieces").at(0);
    for (const json& yarn : piece.at("yarns")) {
      SCOPED_TRACE(path + " " + yarn.at("yarn").get<std::string>());
      const std::string why =
          run("estimate " + path + " --why " + yarn.at("yarn").get<std::string>()).out;
      const double likely = number_after(why, "= the plan") + number_after(why, "unevenness");
      const double set_aside = likely + number_after(why, "for the 19th");
      const double cuts = or_nothing(number_after(why, "whole cuts"));
      const double spare = or_nothing(number_after(why, "spare strands"));
      // Each is printed to the millimetre; sums of up to five of them.
      EXPECT_NEAR(likely, yarn.at("length_m").at("mid").get<double>(), 0.0011);
      EXPECT_NEAR(set_aside, yarn.at("set_aside_m").get<double>(), 0.0016);
      EXPECT_NEAR(cuts, yarn.at("cut_rounding_m").get<double>(), 0.00051);
      EXPECT_NEAR(spare, yarn.at("spare_m").get<double>(), 0.00051);
      if (cuts + spare > 0.0) {
        EXPECT_NEAR(set_aside + cuts + spare, number_after(why, "= to have"), 0.0031);
      }
      EXPECT_NE(why.find(", so " + fixed3(yarn.at("plan_g").get<double>()) + " g by plan"),
                std::string::npos)
          << why;
    }
  }
}

TEST_F(Figures, OfTheCordSayWhereItIsTied) {
  const json piece = estimated("demo/pieces/tideline.toml").at("pieces").at(0);
  EXPECT_EQ(piece.at("cord").at("tie_distance_from"), "rod");
  const std::string why = run("estimate demo/pieces/tideline.toml --why cord").out;
  EXPECT_NE(why.find("Tied 20.0 cm apart, the length of the rod"), std::string::npos) << why;
  EXPECT_NE(run("estimate demo/pieces/sedge.toml --why cord").out.find("has no cord"),
            std::string::npos);
}

TEST_F(Figures, OfTheWarpSayWhereItTurnsAndIsTied) {
  // 33 passes: 32 turns, 16 loops and a free end at each edge; 30: 15 loops above, 14 below, both
  // free ends at the bottom (derived: n - 1 turns, by turns above and below).
  const json odd = estimated("demo/pieces/tideline.toml").at("pieces").at(0).at("warp_edges");
  EXPECT_EQ(odd, json::parse(R"({"turns": 32, "loops_above": 16, "loops_below": 16,
                                 "ties_above": 1, "ties_below": 1})"));
  const json even = estimated("demo/pieces/undertow.toml").at("pieces").at(0).at("warp_edges");
  EXPECT_EQ(even, json::parse(R"({"turns": 29, "loops_above": 15, "loops_below": 14,
                                  "ties_above": 0, "ties_below": 2})"));
  EXPECT_NE(
      run("estimate demo/pieces/undertow.toml")
          .out.find("It turns 29 times: 15 loops above, 14 below; its free ends are tied both "
                    "below."),
      std::string::npos);
  EXPECT_TRUE(estimated("demo/pieces/sedge.toml").at("pieces").at(0).at("warp_edges").is_null());
}

TEST_F(Figures, OfTheDemoKitUseEightWorks) {
  std::set<std::string> works;
  const json piece = estimated("demo/pieces/tideline.toml").at("pieces").at(0);
  for (const json& band : piece.at("bands")) {
    if (band.at("band") > 0) works.insert(band.at("work").get<std::string>());
  }
  EXPECT_GE(works.size(), 8U);
}

TEST_F(Figures, OfTheRoomAddUpToWhatIsLeft) {
  const Ran notched = run("estimate demo/pieces/saltmarsh.toml --why room");
  const auto tables = tables_of(notched.out, "left");
  ASSERT_EQ(tables.size(), 1U) << notched.out;
  expect_sums(tables, 0.01);
  const json piece = estimated("demo/pieces/saltmarsh.toml").at("pieces").at(0);
  EXPECT_NEAR(tables[0].plan, piece.at("warp_left_cm").get<double>(), 0.0051);  // printed to 0.1 mm
  const std::string beam = run("estimate demo/pieces/sedge.toml --why room").out;
  EXPECT_EQ(
      beam.rfind("A beam loom has no fixed span; its warp is wound as long as the piece needs.\n"
                 "A knot of 2 ends at the bottom takes ",
                 0),
      0U)
      << beam;
}

TEST_F(Figures, OfTheSizeAreThoseOfTheEstimate) {
  for (const std::string& path : kPieces) {
    const json loom = estimated(path).at("pieces").at(0).at("size").at("loom");
    const std::string why = run("estimate " + path + " --why size").out;
    for (const char* side : {"width_cm", "height_cm"}) {
      char shown[32];
      std::snprintf(shown, sizeof shown, "%.1f cm", loom.at(side).get<double>());
      EXPECT_NE(why.find(shown), std::string::npos) << shown << '\n' << why;
    }
  }
}

TEST_F(Figures, ThatAreNotThereAreRefusedWithThoseThatAre) {
  const Ran ran = run("estimate demo/pieces/sedge.toml --why worsted-mos");
  EXPECT_EQ(ran.status, 2);
  EXPECT_EQ(ran.out, "");
  EXPECT_EQ(
      ran.told,
      "ellwand: sedge has no figure 'worsted-mos'; did you mean 'worsted-moss'? --why takes "
      "one of: 'warp' 'waste' 'size' 'room' 'cotton-8-2' 'worsted-moss' 'cotton-tape' "
      "'silk-straw' 'seine-12-6' 'linen-fringe' 'scrap' 'cotton-slub' 'band 1' 'band 2' 'band "
      "3' 'band 4' 'band 5' 'band 6' 'band 7' 'band 8' 'band 9'\n");
}

TEST_F(Figures, OfABandThatIsNotThereAreRefusedWithHowManyThereAre) {
  const Ran ran = run("estimate demo/pieces/sedge.toml --why 'band 10'");
  EXPECT_EQ(ran.status, 2);
  EXPECT_EQ(ran.told, "ellwand: sedge has no band 10: it has 9 bands, counted from the bottom\n");
}

TEST_F(Figures, OfAStudioAreOpenedForThePiecesThatHaveThem) {
  const std::string both = run("estimate demo --why warp").out;
  EXPECT_EQ(both.rfind("Saltmarsh\n", 0), 0U) << both;
  EXPECT_NE(both.find("\nSedge\n"), std::string::npos) << both;
  const Ran one = run("estimate demo --why worsted-moss");
  EXPECT_EQ(one.status, 0) << one.told;
  EXPECT_EQ(one.out, "Sedge\n\n" + run("estimate demo/pieces/sedge.toml --why worsted-moss").out);
  EXPECT_EQ(run("estimate demo --why granite").status, 2);
}

/// The printed row of a yarn in the first table.
std::string row_of(const std::string& printed, const std::string& yarn) {
  const std::size_t at = printed.find("\n  " + yarn + " ") + 1;
  return printed.substr(at, printed.find('\n', at) - at);
}

/// "23 (14 to 38)" as it is printed.
struct PrintedRange {
  double mid;
  double low;
  double high;
  double place;  ///< of the last digit: 1, 0.1 or 0.01 and so on
};

double half_of(const PrintedRange& range) { return 0.5 * (range.high - range.low); }

/// Every range of a text in its order.
std::vector<PrintedRange> ranges_in(const std::string& text) {
  static const std::regex kRange(R"(([0-9.]+) \(([0-9.]+) to ([0-9.]+)\))");
  std::vector<PrintedRange> all;
  for (std::sregex_iterator at(text.begin(), text.end(), kRange), end; at != end; ++at) {
    const std::string mid = (*at)[1];
    const std::size_t point = mid.find('.');
    const double decimals =
        point == std::string::npos ? 0.0 : static_cast<double>(mid.size() - point - 1);
    all.push_back(
        {std::stod(mid), std::stod((*at)[2]), std::stod((*at)[3]), std::pow(10.0, -decimals)});
  }
  return all;
}

/// A printed range is the one meant, its ends outwards, to the last place.
void expect_printed(const PrintedRange& printed, const json& range, double unit) {
  const double place = half_of(printed) >= 50.0 ? 10.0 : printed.place;
  EXPECT_NEAR(printed.mid, range.at("mid").get<double>() / unit, 0.5 * place + 1e-9);
  EXPECT_LE(printed.low, range.at("low").get<double>() / unit * (1.0 + 1e-6));
  EXPECT_GE(printed.high, range.at("high").get<double>() / unit * (1.0 - 1e-6));
}

TEST_F(Figures, ThatAreSureHaveNoRange) {
  // Two ends of 46 cm between the edges, wound 2 % stretched, and 10 cm at each end to tie:
  // 2 x (0.46 / 1.02 + 0.2) = 1.302 m.
  change(kSaltmarsh, "[warp]", "[habits]\nspare_warp_ends = 2\n\n[warp]");
  const std::string shown = run(std::string("estimate ") + kSaltmarsh).out;
  const std::regex sure(R"(\n  -     waste +seine-12-6 +1\.30\n)");
  EXPECT_TRUE(std::regex_search(shown, sure)) << shown;
}

TEST_F(Figures, AreShownInTheUnitsOfTheStudio) {
  const json before = estimated(kSaltmarsh);
  change("demo/studio.toml", "length = \"cm\"", "length = \"in\"");
  change("demo/studio.toml", "yarn = \"m\"", "yarn = \"yd\"");
  change("demo/studio.toml", "mass = \"g\"", "mass = \"oz\"");
  const json piece = before.at("pieces").at(0);
  const std::string shown = run(std::string("estimate ") + kSaltmarsh).out;
  EXPECT_NE(shown.find(" yd (9 times in 10) "), std::string::npos) << shown;
  EXPECT_NE(shown.find(" oz (9 times in 10) "), std::string::npos) << shown;
  EXPECT_EQ(shown.find(" cm"), std::string::npos) << shown;
  for (const json& yarn : piece.at("yarns")) {
    SCOPED_TRACE(yarn.at("yarn").get<std::string>());
    const auto row = ranges_in(row_of(shown, yarn.at("yarn")));
    ASSERT_EQ(row.size(), 2U) << shown;
    expect_printed(row[0], yarn.at("length_m"), 0.9144);      // yard of 1959, exact
    expect_printed(row[1], yarn.at("mass_g"), 28.349523125);  // avoirdupois ounce, exact
  }
  // Ash and rust on the shelf: 96 + 100 g and 34 g.
  EXPECT_NE(shown.find("\n  rug-wool-ash   6.9 "), std::string::npos) << shown;
  EXPECT_NE(shown.find("\n  rug-wool-rust  1.2 "), std::string::npos) << shown;
  char size[32];
  const json& loom = piece.at("size").at("loom");
  std::snprintf(size, sizeof size, "%.1f x %.1f in on the loom",
                loom.at("width_cm").get<double>() / 2.54,
                loom.at("height_cm").get<double>() / 2.54);
  EXPECT_NE(shown.find(size), std::string::npos) << size << '\n' << shown;
}

TEST_F(Figures, ForProgramsKeepTheirUnitsWhateverIsShown) {
  const json before = estimated("demo");
  change("demo/studio.toml", "yarn = \"m\"", "yarn = \"yd\"");
  change("demo/studio.toml", "mass = \"g\"", "mass = \"oz\"");
  EXPECT_EQ(estimated("demo"), before);
}

/// A fraction's last place is not under a tenth of half the range, whose printed ends are rounded
/// outwards, each by up to a place; or not under a 36th where otherwise the middle would have one
/// digit. Whole units stand while half the range is under fifty of them, and tens above.
void expect_no_more_digits(const std::string& printed) {
  const auto ranges = ranges_in(printed);
  EXPECT_GT(ranges.size(), 40U);  // 10 yarns by length and mass, and 26 lines of bands
  for (const PrintedRange& range : ranges) {
    SCOPED_TRACE(range.mid);
    const bool has_two_digits_at_most = range.mid < 100.5 * range.place;  // 9.97 is 10.0
    const double least = has_two_digits_at_most ? 1.0 / 35.5 : 0.1;
    EXPECT_GE(range.place, std::min(1.0, least * (half_of(range) - range.place)));
    // One digit alone only where half the range is 3.55 of its places or more.
    EXPECT_TRUE(range.mid > 9.5 * range.place || half_of(range) > 3.5 * range.place ||
                range.place < 0.002);
    if (half_of(range) < 60.0) continue;  // rounded outwards, so up to ten more than it is
    for (const double number : {range.mid, range.low, range.high}) {
      EXPECT_EQ(std::fmod(number, 10.0), 0.0) << number;
    }
  }
}

TEST_F(Figures, HaveNoMoreDigitsThanTheRangeSupports) {
  expect_no_more_digits(run("estimate demo").out);
  change("demo/studio.toml", "yarn = \"m\"", "yarn = \"yd\"");
  change("demo/studio.toml", "mass = \"g\"", "mass = \"oz\"");
  expect_no_more_digits(run("estimate demo").out);
}

}  // namespace
}  // namespace ellwand::test

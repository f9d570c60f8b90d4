// ellwand sheet as she calls it.

#include "program.hpp"
#include "support/markup.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <string>
#include <vector>

namespace ellwand::test {
namespace {

using nlohmann::json;

constexpr const char* kPieces[] = {"saltmarsh", "sedge",    "shingle",
                                   "tideline",  "undertow", "wrackline"};

class Sheet : public Program {
 protected:
  std::string sheet_of(const std::string& arguments) const {
    const Ran ran = run("sheet demo/pieces/" + arguments);
    EXPECT_EQ(ran.status, 0) << ran.told;
    EXPECT_EQ(ran.told, "") << arguments;
    return ran.out;
  }
  json estimate_of(const std::string& name) const {
    return json::parse(run("estimate demo/pieces/" + name + ".toml --json").out)["pieces"][0];
  }
  void refuses(const std::string& arguments, const std::string& sentence, int status = 2) const {
    const Ran ran = run("sheet " + arguments);
    EXPECT_EQ(ran.status, status) << arguments;
    EXPECT_EQ(ran.out, "") << arguments;
    EXPECT_EQ(ran.told, sentence + "\n") << arguments;
  }
};

/// The part of a page between two texts, both of which must be there.
std::string between(const std::string& page, const std::string& from, const std::string& to) {
  const std::size_t begin = page.find(from);
  const std::size_t end = page.find(to, begin);
  EXPECT_NE(begin, std::string::npos) << from;
  EXPECT_NE(end, std::string::npos) << to;
  return page.substr(begin, end - begin);
}

std::vector<json> steps(const json& piece, const std::string& kind) {
  std::vector<json> found;
  for (const json& step : piece["order"]) {
    if (step["step"] == kind) found.push_back(step);
  }
  return found;
}

TEST_F(Sheet, IsOneWellFormedPageThatLoadsAndRunsNothing) {
  for (const std::string name : kPieces) {
    const std::string page = sheet_of(name + ".toml --date 2026-05-02");
    EXPECT_EQ(page.rfind("<!DOCTYPE html>\n<html lang=\"en\">", 0), 0U);
    EXPECT_EQ(fault_in_markup(page), "") << name;
    for (const char* never : {"<script", "src=", "href=", "<link", "@import", "url(h",
                              "javascript:", "nan", " inf", "on the loom on"}) {
      EXPECT_EQ(page.find(never), std::string::npos) << name << ' ' << never;
    }
    EXPECT_NE(page.find("@page { margin:"), std::string::npos);
    EXPECT_NE(page.find("Tidewater Loft"), std::string::npos);
    EXPECT_NE(page.find("<time datetime=\"2026-05-02\">2026-05-02</time>"), std::string::npos);
  }
}

TEST_F(Sheet, TellsEveryBandAsTheEstimateHasIt) {
  for (const std::string name : kPieces) {
    const json piece = estimate_of(name);
    const std::string page = sheet_of(name + ".toml");
    const std::vector<json> bands = steps(piece, "band");
    std::size_t at = 0;
    for (const json& band : bands) {
      at = page.find("<tbody class=\"band\">", at + 1);
      ASSERT_NE(at, std::string::npos) << name;
      const std::string block = page.substr(at, page.find("</tbody>", at) - at);
      const std::vector<std::string> numbers = texts_of(block, "<th");
      ASSERT_EQ(numbers.size(), 1U);
      EXPECT_EQ(numbers[0], std::to_string(band["band"].get<int>()));
      std::vector<std::string> expected;
      const double height_cm = band["height_cm"];
      expected.push_back(height_cm > 0.0 ? fmt::format("{:.1f}", height_cm) : "");
      expected.push_back(fmt::format("{:.1f}", band["up_to_cm"].get<double>()));
      std::vector<std::string> cells = texts_of(block, "<td class=\"n\"");
      ASSERT_GE(cells.size(), 2U);
      EXPECT_EQ(cells[0], expected[0]) << name << numbers[0];
      EXPECT_EQ(cells[1], expected[1]) << name << numbers[0];
      ASSERT_EQ(cells.size(), 2 + 3 * band["yarns"].size()) << name << numbers[0];
      for (std::size_t y = 0; y < band["yarns"].size(); ++y) {
        const json& yarn = band["yarns"][y];
        const std::string& rows = cells[2 + 3 * y];
        EXPECT_EQ(rows.rfind(std::to_string(yarn["rows"].get<int>()), 0), 0U) << rows;
        EXPECT_EQ(cells[4 + 3 * y], fmt::format("{:.1f}", yarn["plan_m"].get<double>()));
        EXPECT_NE(block.find(">" + yarn["yarn"].get<std::string>()), std::string::npos);
        if (!yarn.contains("length_m") || band["work"] == "hemstitch") continue;
        const bool has_last = yarn.contains("last_length_m");
        const int full = yarn["lengths"].get<int>() - (has_last ? 1 : 0);
        EXPECT_EQ(cells[3 + 3 * y].rfind(fmt::format("{} x ", full), 0), 0U) << cells[3 + 3 * y];
      }
    }
    EXPECT_EQ(page.find("<tbody class=\"band\">", at + 1), std::string::npos) << name;
  }
}

TEST_F(Sheet, TellsWhatToLayOutRoundedUp) {
  for (const std::string name : kPieces) {
    const json piece = estimate_of(name);
    const std::string page = between(sheet_of(name + ".toml"), "<h2>Lay out</h2>", "</table>");
    const std::vector<std::string> cells = texts_of(page, "<td class=\"n\"");
    const std::vector<json> yarns = steps(piece, "lay out");
    ASSERT_EQ(cells.size(), 3 * yarns.size());
    for (std::size_t y = 0; y < yarns.size(); ++y) {
      const double need_m = yarns[y]["to_have_m"];
      const double need_g = yarns[y]["to_have_g"];
      const double told_m = std::stod(cells[3 * y]);
      const double told_g = std::stod(cells[3 * y + 1]);
      EXPECT_GE(told_m, need_m * (1.0 - 1e-6)) << cells[3 * y];  // the slack of rounding up
      EXPECT_GE(told_g, need_g * (1.0 - 1e-6)) << cells[3 * y + 1];
      EXPECT_LT(told_m - need_m, std::max(1.0, 0.1 * need_m)) << cells[3 * y];
      EXPECT_LT(told_g - need_g, std::max(1.0, 0.1 * need_g)) << cells[3 * y + 1];
      const json& put_ups = yarns[y]["put_ups"];
      EXPECT_EQ(cells[3 * y + 2], put_ups.is_null() ? "" : std::to_string(put_ups.get<int>()));
      EXPECT_NE(page.find(">" + yarns[y]["yarn"].get<std::string>()), std::string::npos);
    }
  }
}

TEST_F(Sheet, TellsSizesAndTheRoomOnTheWarp) {
  for (const std::string name : kPieces) {
    const json piece = estimate_of(name);
    const std::string page = sheet_of(name + ".toml");
    const std::string sizes = between(page, "<h2>Sizes</h2>", "</table>");
    for (const char* state : {"loom", "off_loom", "finished"}) {
      for (const char* measure : {"width_cm", "height_cm"}) {
        const double cm = piece["size"][state][measure];
        EXPECT_NE(sizes.find(fmt::format(">{:.1f} cm<", cm)), std::string::npos) << name << state;
      }
    }
    if (piece["budget"].is_null()) {
      EXPECT_EQ(page.find("Room on the warp"), std::string::npos) << name;
      continue;
    }
    const std::string room = between(page, "Room on the warp", "</table>");
    EXPECT_NE(room.find(fmt::format(">{:.1f} cm<", piece["budget"]["span_cm"].get<double>())),
              std::string::npos);
    EXPECT_NE(room.find(fmt::format("left</th><td class=\"n\">{:.1f} cm<",
                                    piece["warp_left_cm"].get<double>())),
              std::string::npos);
  }
}

TEST_F(Sheet, HasEveryOtherStepAsTheOrderOfWorkTellsIt) {
  for (const std::string name : kPieces) {
    const std::string page = sheet_of(name + ".toml");
    const std::string order = run("estimate --order demo/pieces/" + name + ".toml").out;
    for (const char* heading : {"\nCut\n", "\nBefore the first pick\n", "\nOff the loom\n"}) {
      std::size_t at = order.find(heading);
      if (at == std::string::npos) continue;
      at += std::string(heading).size();
      while (order.compare(at, 2, "  ") == 0) {
        const std::size_t end = order.find('\n', at);
        EXPECT_NE(page.find(" " + order.substr(at + 2, end - at - 2) + "</li>"), std::string::npos)
            << name << order.substr(at, end - at);
        at = end + 1;
      }
    }
    const json piece = estimate_of(name);
    for (const json& caution : piece["cautions"]) {
      EXPECT_NE(page.find("<li>" + caution.get<std::string>() + "</li>"), std::string::npos);
    }
  }
}

TEST_F(Sheet, ForProgramsIsAPartOfTheEstimate) {
  for (const std::string name : kPieces) {
    const json piece = estimate_of(name);
    const json sheet = json::parse(sheet_of(name + ".toml --json --date 2026-05-02"));
    EXPECT_EQ(sheet["schema"], 1);
    EXPECT_EQ(sheet["date"], "2026-05-02");
    EXPECT_EQ(sheet["studio"], "Tidewater Loft");
    for (const char* part : {"piece", "name", "size", "budget", "warp_left_cm", "cuts", "order",
                             "cautions", "warnings", "cord", "edge_knots", "lent"}) {
      EXPECT_EQ(sheet[part], piece[part]) << name << ' ' << part;
    }
    for (const json& yarn : sheet["yarns"]) EXPECT_EQ(yarn["colour"].get<std::string>().size(), 7U);
  }
}

TEST_F(Sheet, EscapesWhateverHerFilesSay) {
  change(kSaltmarsh, "name = \"Saltmarsh\"", "name = \"<script>alert('x')</script> & \\\"Co\\\"\"");
  change("demo/studio.toml", "name = \"Tidewater Loft\"", "name = \"</p><img src=x onerror=y>\"");
  change("demo/yarns.csv", "Spun silk straw", "<b>silk</b> & such");
  const std::string page = sheet_of("saltmarsh.toml");
  EXPECT_EQ(fault_in_markup(page), "");
  for (const char* never : {"<script", "<img", "<b>"}) {
    EXPECT_EQ(page.find(never), std::string::npos) << never;
  }
  const std::string safe = "&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt; &amp; &quot;Co&quot;";
  EXPECT_NE(page.find("<h1>" + safe + "</h1>"), std::string::npos);
  EXPECT_NE(page.find("<title>" + safe), std::string::npos);
  EXPECT_NE(page.find("&lt;b&gt;silk&lt;/b&gt; &amp; such"), std::string::npos);
  EXPECT_EQ(fault_in_markup(sheet_of("saltmarsh.toml --drawing")), "");
}

TEST_F(Sheet, TheDrawingAloneIsTheOneOfThePageWithAKey) {
  const std::string svg = sheet_of("saltmarsh.toml --drawing");
  EXPECT_EQ(svg.rfind("<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\"", 0), 0U);
  const std::string rust = "fill=\"#a84e2c\"";  // rust is 168, 78, 44
  EXPECT_NE(svg.find(rust), std::string::npos);
  EXPECT_NE(sheet_of("saltmarsh.toml").find(rust), std::string::npos);
}

TEST_F(Sheet, IsInTheUnitsOfTheStudioAndOnThePaperAskedFor) {
  change("demo/studio.toml", "length = \"cm\"      # or \"in\"", "length = \"in\"");
  change("demo/studio.toml", "yarn = \"m\"         # or \"yd\"", "yarn = \"yd\"");
  change("demo/studio.toml", "mass = \"g\"         # or \"oz\"", "mass = \"oz\"");
  const std::string page = sheet_of("saltmarsh.toml --paper Letter");
  EXPECT_NE(page.find("@page { size: letter; "), std::string::npos);
  EXPECT_NE(page.find("high, in<"), std::string::npos);
  EXPECT_NE(page.find("by plan, yd<"), std::string::npos);
  EXPECT_EQ(page.find(" cm<"), std::string::npos);
  EXPECT_EQ(page.find(" g<"), std::string::npos);
  EXPECT_NE(sheet_of("saltmarsh.toml --paper a4").find("@page { size: A4; "), std::string::npos);
}

TEST_F(Sheet, GoesIntoAFileButOverNoneOfTheStudio) {
  EXPECT_EQ(run(std::string("sheet ") + kSaltmarsh + " --date 2026-05-02 -o sheet.html").status, 0);
  EXPECT_EQ(text_of(folder_ / "sheet.html"), sheet_of("saltmarsh.toml --date 2026-05-02"));
  const auto before = contents(folder_ / "demo");
  EXPECT_EQ(run(std::string("sheet ") + kSaltmarsh + " -o " + kSaltmarsh).status, 3);
  EXPECT_EQ(run(std::string("sheet ") + kSaltmarsh + " -o demo/yarns.csv").status, 3);
  EXPECT_EQ(contents(folder_ / "demo"), before);
}

TEST_F(Sheet, RefusesWhatItCannotDoInOneSentence) {
  const std::string piece = kSaltmarsh;
  refuses(piece + " --date 2026-02-30",
          "ellwand: --date was given '2026-02-30'; it takes a day as year-month-day, such as "
          "2026-03-14");
  refuses(piece + " --paper a3", "ellwand: --paper was given 'a3'; it takes 'a4' or 'letter'");
  refuses(piece + " --drawing --json",
          "ellwand: --drawing and --json are different forms; ask for one");
  refuses(piece + " --json --paper a4",
          "ellwand: --paper is of the page to print; leave it out with --json");
  refuses(piece + " --drawing --date 2026-05-02",
          "ellwand: --date does not stand in a drawing; leave it out with --drawing");
  refuses("demo/pieces/saltmarch.toml",
          "demo/pieces/saltmarch.toml: there is no such file or folder; did you mean "
          "'demo/pieces/saltmarsh.toml'?",
          3);
  EXPECT_EQ(run("sheet").status, 2);
  EXPECT_EQ(run("sheet demo").status, 2);
}

}  // namespace
}  // namespace ellwand::test

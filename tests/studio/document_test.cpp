#include "ellwand/studio/document.hpp"

#include "told.hpp"

#include <gtest/gtest.h>

namespace ellwand::studio {
namespace {

/// What `ask` finds in a text: complaints and warnings.
struct Found {
  Lines complaints;
  Lines warnings;
};
template <class Ask>
Found found(const std::string& text, Ask ask) {
  const Value document = read_toml(text, "t.toml");
  Findings findings("t.toml");
  Section section(document, "this file", findings);
  ask(section);
  section.warn_of_unknown_keys();
  return {told_lines(findings.complaints()), told_lines(findings.warnings())};
}

TEST(Section, GivesWhatIsThere) {
  const Found all = found(
      "name = 'Saltmarsh'\nends = 33\nratio = 0.65\nplanned = true\nspan = '34 cm'\n"
      "stretch = 0.02\nslack = '2 %'\nsett = '5 /in'\nangle = '20 deg'\npatch = '24 cm2'\n"
      "kind = 'beam'\n",
      [](Section& section) {
        EXPECT_EQ(section.text("name"), "Saltmarsh");
        EXPECT_EQ(section.whole("ends", 2, 100), 33);
        EXPECT_EQ(section.number("ratio", 0.0, 1.0), 0.65);
        EXPECT_EQ(section.flag("planned"), true);
        EXPECT_DOUBLE_EQ(in_metres(section.length("span", "5 cm", "20 m").value()), 0.34);
        EXPECT_DOUBLE_EQ(section.fraction("stretch", "0 %", "50 %").value(), 0.02);
        EXPECT_DOUBLE_EQ(section.fraction("slack", "0 %", "50 %").value(), 0.02);
        EXPECT_DOUBLE_EQ(in_per_inch(section.thread_density("sett", "1 /in", "9 /in").value()),
                         5.0);
        EXPECT_DOUBLE_EQ(section.angle_degrees("angle", "0 deg", "75 deg").value(), 20.0);
        EXPECT_DOUBLE_EQ(in_square_centimetres(section.area("patch", "1 cm2", "1 m2").value()),
                         24.0);
        EXPECT_EQ(section.choice("kind", {"notched", "beam"}), 1U);
        EXPECT_FALSE(section.text("absent").has_value());
      });
  EXPECT_EQ(all.complaints, Lines{});
  EXPECT_EQ(all.warnings, Lines{});
}

TEST(Section, RefusesABareNumberWhereAUnitIsNeeded) {
  const Found all = found("span = 34\n", [](Section& section) {
    EXPECT_FALSE(section.length("span", "5 cm", "20 m").has_value());
  });
  EXPECT_EQ(all.complaints,
            (Lines{"t.toml:1:8: span: \"34\": 34 of what? Lengths are written with a unit: \"14 "
                   "cm\", \"5.5 in\"."}));
}

TEST(Section, SaysWhatWasReadInPlaceOfTheKindWanted) {
  const Found all = found(
      "name = 7\nends = '33'\nratio = [1]\nplanned = 'yes'\nspan = true\nareas = { a = 1 }\n"
      "loom = 2026-11-25\nlist = [ 1 ]\n",
      [](Section& section) {
        section.text("name");
        section.whole("ends", 2, 100);
        section.number("ratio", 0.0, 1.0);
        section.flag("planned");
        section.length("span", "5 cm", "20 m");
        section.array("areas");
        section.table("loom", "[loom]");
        section.tables("list", "list");
      });
  EXPECT_EQ(
      all.complaints,
      (Lines{"t.toml:1:8: name: the number 7 was read where text in quotes is wanted",
             "t.toml:2:8: ends: the text \"33\" was read where a whole number (without quotes) is "
             "wanted",
             "t.toml:3:9: ratio: a list was read where a number (without quotes) is wanted",
             "t.toml:4:11: planned: the text \"yes\" was read where true or false (without quotes) "
             "is wanted",
             "t.toml:5:8: span: true was read where text such as \"20 m\" is wanted",
             "t.toml:6:9: areas: a table was read where a list is wanted",
             "t.toml:7:8: loom: a date or time was read where a table is wanted",
             "t.toml:8:10: list: the number 1 was read where a table is wanted"}));
}

TEST(Section, RefusesWhatIsOutOfRangeInTheWordsOfTheFile) {
  const Found all = found(
      "ends = 1\nratio = nan\nshare = inf\nspan = '3 cm'\nslack = '60 %'\nmany = 99999999999\n",
      [](Section& section) {
        section.whole("ends", 2, 100);
        section.number("ratio", 0.05, 20.0);
        section.number("share", 0.05, 20.0);
        section.length("span", "5 cm", "20 m");
        section.fraction("slack", "0 %", "50 %");
        section.whole("many", 2, 100);
      });
  EXPECT_EQ(all.complaints, (Lines{"t.toml:1:8: ends: 1 is outside 2 to 100",
                                   "t.toml:2:9: ratio: nan is outside 0.05 to 20",
                                   "t.toml:3:9: share: inf is outside 0.05 to 20",
                                   "t.toml:4:8: span: 3 cm is outside 5 cm to 20 m",
                                   "t.toml:5:9: slack: 60 % is outside 0 % to 50 %",
                                   "t.toml:6:8: many: 99999999999 is outside 2 to 100"}));
}

TEST(Section, OffersTheWordsOfAChoice) {
  const Found all = found("join = 'slti'\nkind = 'easel'\n", [](Section& section) {
    section.choice("join", {"slit", "interlocked", "dovetailed"});
    section.choice("kind", {"notched", "frame", "beam"});
  });
  EXPECT_EQ(all.complaints,
            (Lines{"t.toml:1:8: join: \"slti\" is not known here; did you mean 'slit'? 'slit', "
                   "'interlocked' or 'dovetailed' is accepted",
                   "t.toml:2:8: kind: \"easel\" is not known here; 'notched', 'frame' or 'beam' is "
                   "accepted"}));
}

TEST(Section, TellsOfAMisspeltKeyTwiceWhenItIsNeeded) {
  const Found all = found("[loom]\nkind = 'notched'\npicth = '4 mm'\n", [](Section& file) {
    auto loom = file.table("loom", "[loom]");
    ASSERT_TRUE(loom.has_value());
    loom->text("kind");
    loom->require("pitch", "pitch = \"4 mm\"");
    loom->warn_of_unknown_keys();
  });
  EXPECT_EQ(all.complaints, (Lines{"t.toml:1:1: [loom] has no 'pitch' (is 'picth' meant for "
                                   "'pitch'?); write pitch = \"4 mm\""}));
  EXPECT_EQ(all.warnings, (Lines{"t.toml:3:1: unknown key 'picth' in [loom]; did you mean "
                                 "'pitch'? It is kept but not used."}));
}

TEST(Section, WantsOneOfSeveralKeys) {
  const auto ask = [](Section& section) { section.only_one_of({"rows", "height"}, true); };
  EXPECT_EQ(found("rows = 2\nheight = '4 cm'\n", ask).complaints,
            (Lines{"t.toml:2:10: height: 'rows' is given as well; one of 'rows' or 'height' is "
                   "wanted, not several"}));
  EXPECT_EQ(found("a = 1\n", ask).complaints,
            (Lines{"t.toml:1:1: this file has none of 'rows' or 'height'; write one of them"}));
}

TEST(ReadToml, SaysWhereTheGrammarBreaks) {
  const Lines lines = complaints_of([] { read_toml("[loom]\nspan = 34 cm\n", "t.toml"); });
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_EQ(lines[0].substr(0, 9), "t.toml:2:");
  EXPECT_NE(lines[0].find("this is not TOML as it is written"), std::string::npos);
}

// 2026-11-25: these two stopped the program, where the parser's own checks were compiled in.
TEST(ReadToml, SaysWhereATableHeadingIsBroken) {
  for (const std::string heading : {"[[[band]]]", "[[=", "[[ [a]]"}) {
    EXPECT_EQ(complaints_of([&] { read_toml("a = 1\n\n" + heading + "\nb = 2\n", "t.toml"); }),
              (Lines{"t.toml:3: this is not TOML as it is written; look for a bracket, quote or "
                     "equals sign too many"}));
  }
}

/// Found by fuzzing: toml++ runs on past such a letter behind a number.
TEST(ReadToml, RefusesLettersBeyondAsciiOutsideQuotes) {
  const auto told = [](const std::string& text) -> std::string {
    try {
      read_toml(text, "studio.toml");
    } catch (const BadInput& bad) {
      return bad.complaints().at(0).told();
    }
    return "";
  };
  EXPECT_EQ(
      told("[price]\nmargin = 6\u0218ra\n"),
      "studio.toml:2:11: this is not TOML as it is written: '\u0218' stands outside quotes; a "
      "value is a number, true, false, or text in straight double quotes such as \"14 cm\", "
      "and nothing follows it");
  EXPECT_EQ(told("height = \u201C14 cm\u201D\n").substr(0, 16), "studio.toml:1:10");
  EXPECT_EQ(told("h\u00F6he = 3\n").substr(0, 15), "studio.toml:1:2");
  for (const char* fine :
       {"a = \"\u00F6 \\\" \u00F6\" # \u00F6\n", "a = '\u00F6 \\' # \u00F6\nb = 1\n",
        "a = \"\"\"\u00F6 \"\n\u00F6\"\"\"\n",
        "\xEF\xBB\xBF"
        "a = 1\n",
        "# \u00F6"}) {
    EXPECT_EQ(told(fine), "") << fine;
  }
}

TEST(ReadToml, TakesAByteOrderMarkAndSpreadLineEndings) {
  const Value document = read_toml("\xEF\xBB\xBF[a]\r\nb = 1\r\n", "t.toml");
  ASSERT_EQ(document.entries.size(), 1U);
  EXPECT_EQ(document.entries[0].value.entries.at(0).place.line, 2);
}

TEST(ReadToml, TakesAQuoteThatNoTextCanBeginWithForNone) {
  // Found by fuzzing: behind the sign of a number the parser looks at the letters one by one.
  for (const char* text : {"a = -\"no\uFEDF\"\n", "a = 'x' \"\u0218\"\n"}) {
    try {
      read_toml(text, "studio.toml");
      FAIL() << text;
    } catch (const BadInput& bad) {
      EXPECT_NE(std::string(bad.what()).find("stands outside quotes"), std::string::npos)
          << bad.what();
    }
  }
  EXPECT_NO_THROW(read_toml("\xEF\xBB\xBF\"\u0218\" = [ 'é',\n  \"ö\" ]\na.\"ü\" = { b = \"ß\" }\n",
                            "studio.toml"));
}

}  // namespace
}  // namespace ellwand::studio

// ellwand howfar as she calls it.

#include "program.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <string>

namespace ellwand::test {
namespace {

using nlohmann::json;

class Howfar : public Program {
 protected:
  json told_by(const std::string& arguments) const {
    const Ran ran = run("howfar demo/pieces/" + arguments + " --json");
    EXPECT_EQ(ran.status, 0) << ran.told;
    return json::parse(ran.out, nullptr, false);
  }
  void refuses(const std::string& arguments, const std::string& sentence, int status = 2) const {
    const Ran ran = run("howfar demo/pieces/" + arguments);
    EXPECT_EQ(ran.status, status) << arguments;
    EXPECT_EQ(ran.out, "") << arguments;
    EXPECT_EQ(ran.told, sentence + "\n") << arguments;
  }
  /// The chance that the shelf's rust is short of Wrackline, by `estimate`.
  double rust_short() const {
    const json estimate = json::parse(run("estimate demo/pieces/wrackline.toml --json").out);
    for (const json& yarn : estimate["pieces"][0]["yarns"]) {
      if (yarn["yarn"] == "rug-wool-rust") return yarn["chance_short"];
    }
    return -1.0;
  }
};

TEST_F(Howfar, TheAnswerEstimatedAgainUsesTheShelfWithinOneRow) {
  const json answer = told_by("wrackline.toml --change 'rows of band 6'")["answers"][0];
  EXPECT_EQ(answer["binds"]["what"], "yarn");
  EXPECT_EQ(answer["binds"]["yarn"], "rug-wool-rust");
  const int rows = static_cast<int>(answer["most"]["value"].get<double>());
  const auto with_rows = [&](int wanted) {
    change("demo/pieces/wrackline.toml", "held = 2\nrows = 8\npile_height",
           "held = 2\nrows = " + std::to_string(wanted) + "\npile_height");
    const double chance = rust_short();
    change("demo/pieces/wrackline.toml",
           "held = 2\nrows = " + std::to_string(wanted) + "\npile_height",
           "held = 2\nrows = 8\npile_height");
    return chance;
  };
  EXPECT_LE(with_rows(rows), 0.05);
  EXPECT_GT(with_rows(rows + 1), 0.05);
  const Ran told = run("howfar demo/pieces/wrackline.toml --change 'rows of band 6'");
  EXPECT_EQ(told.out.find("Wrackline: the stash suffices for " + std::to_string(rows) +
                          " rows of band 6 at 95 % (now 8). rug-wool-rust binds: with " +
                          std::to_string(rows + 1) + " rows of band 6 it would be "),
            0u)
      << told.out;
}

TEST_F(Howfar, WeighedAmountsAddUp) {
  const std::string rows = "saltmarsh.toml --change ends --stash ";
  EXPECT_EQ(told_by(rows + "'rug-wool-rust 30 g'"),
            told_by(rows + "'rug-wool-rust 10 g, rug-wool-rust 20 g'"));
}

// 200 m to 100 g: 60 m are 30 g by the label, but how heavy its lot is spun leaves metres as many
// as they are.
TEST_F(Howfar, CountedMetresGoFurtherThanAsManyByWeight) {
  const std::string rows = "saltmarsh.toml --change ends --stash ";
  const json metres = told_by(rows + "'rug-wool-rust 60 m'")["answers"][0];
  const json grams = told_by(rows + "'rug-wool-rust 30 g'")["answers"][0];
  EXPECT_EQ(metres["yarns"][0]["stash_g"], grams["yarns"][0]["stash_g"]);
  EXPECT_GE(metres["most"]["value"], grams["most"]["value"]);
  const json weighed_too = told_by(rows + "'rug-wool-rust 40 m, rug-wool-rust 10 g'")["answers"][0];
  EXPECT_EQ(weighed_too["yarns"], grams["yarns"]);
}

TEST_F(Howfar, SaysThatTheLoomBinds) {
  const Ran ran =
      run("howfar demo/pieces/saltmarsh.toml --change width --stash 'rug-wool-rust 900 g'");
  EXPECT_EQ(
      ran.out.find("Saltmarsh: the stash suffices for 75 ends at 95 % (now 45). The loom "
                   "binds, not the yarn; with 76 ends: 76 ends in every notch want 76 notches, "
                   "and the loom has 75; take 75 ends or fewer.\n"),
      0u)
      << ran.out;
}

TEST_F(Howfar, TwoMeasuresAreATable) {
  const json answers =
      told_by("undertow.toml --change 'hang of band 3, rows of band 3'")["answers"];
  ASSERT_EQ(answers.size(), 4u);  // half, all, one and a half and twice of 2 rows
  double before = 1e9;
  for (const json& answer : answers) {
    EXPECT_EQ(answer["most"]["measure"], "hang");
    EXPECT_EQ(answer["beside"]["measure"], "rows");
    EXPECT_LT(answer["most"]["value"].get<double>(), before);
    before = answer["most"]["value"];
  }
}

TEST_F(Howfar, RefusesWhatItCannotUse) {
  const std::string wants =
      "ellwand: howfar wants one or two measures to change, as in: ellwand howfar "
      "my-studio/pieces/saltmarsh.toml --change 'rows of band 2'";
  refuses("undertow.toml", wants);
  refuses("undertow.toml --change 'rows 2,ends,size'", wants);
  refuses("undertow.toml --change 'rows of band 2, rows 2'",
          "ellwand: --change names the same measure twice; name two that differ, or one");
  refuses(
      "undertow.toml --change colour",
      "ellwand: --change: \"colour\" was read where a measure of the piece is wanted: rows, "
      "repeats, height or hang of a band by its number, as in 'rows of band 3'; or ends, width or "
      "size");
  refuses(
      "undertow.toml --change 'hang of band 2'",
      "ellwand: --change: hang of band 2: that band is weave, and no hang of it can be changed, "
      "only rows, repeats and height");
  refuses("undertow.toml --change 'rows of band 14'",
          "ellwand: --change: rows of band 14: the piece has bands 1 to 13; name one of them");
  refuses("undertow.toml --change size --areas all",
          "ellwand: --areas was given 'all'; it takes 'widest' or 'in proportion'");
  refuses("undertow.toml --change size --stash 'rug-wool-asch 3 g'",
          "ellwand: --stash names 'rug-wool-asch', and no yarn is called so; did you mean "
          "'rug-wool-ash'?");
  refuses("undertow.toml --change size --stash rug-wool-ash",
          "ellwand: --stash has 'rug-wool-ash' without an amount; write how much there is, as in "
          "'rug-wool-ash 150 g'");
  refuses(
      "undertow.toml --change size --stash 'rug-wool-ash 20'",
      "ellwand: --stash was given '20'; it takes an amount of yarn with its unit, as in '26 g' or "
      "'50 m'");
  refuses("undertow.toml --change size --stash ' , '",
          "ellwand: --stash is empty; write what there is, as in 'rug-wool-ash 150 g'");
  refuses(
      "undertow.toml --change size --confidence '30 %'",
      "ellwand: --confidence was given '30 %'; it takes a chance above 50 % and below 100 %, as "
      "in '95 %' or 0.95");
}

TEST_F(Howfar, HasNoAnswerWhereNothingSufficesOrNothingCanRunShort) {
  refuses(
      "undertow.toml --change size --stash 'fleece-sliver 1 g'",
      "ellwand: Nothing of the yarns of Undertow is in the stash, so nothing can run short; write "
      "what there is in lots.csv, or say it with --stash.",
      1);
  const Ran ran =
      run("howfar demo/pieces/undertow.toml --change 'rows of band 2' --stash 'rug-wool-rust 1 g'");
  EXPECT_EQ(ran.status, 1);
  EXPECT_EQ(ran.told.find("ellwand: Undertow: the stash does not suffice even for 1 row of band 2: "
                          "to be safe at 95 % that takes "),
            0u)
      << ran.told;
  EXPECT_NE(ran.told.find(" g of rug-wool-rust where there is 1.0 g. Have more of that, or change "
                          "what else takes it.\n"),
            std::string::npos)
      << ran.told;
}

TEST_F(Howfar, NamesTheOptionByWhichAreasGiveEnds) {
  const std::string ends = "howfar demo/pieces/saltmarsh.toml --change ends --stash ";
  const Ran ran = run(ends + "'rug-wool-ash 16 g'");
  EXPECT_EQ(ran.status, 1);
  EXPECT_NE(ran.told.find("give --areas 'in proportion' to let every one give, and the stash "
                          "suffices for "),
            std::string::npos)
      << ran.told;
  EXPECT_EQ(run(ends + "'rug-wool-ash 16 g' --areas 'in proportion'").status, 0);
  // 1 g of ash is not even enough for its tails, and then the option is of no help.
  EXPECT_EQ(run(ends + "'rug-wool-ash 1 g'").told.find("--areas"), std::string::npos);
}

TEST_F(Howfar, TellsBesideWhatNothingSuffices) {
  const std::string asked =
      "howfar demo/pieces/saltmarsh.toml --change 'hang of band 1, ends' --stash 'linen-fringe 6 "
      "g, rug-wool-rust 30 g'";
  // 22 ends would leave the widest area of band 3, 18 of 45, none; 67 want more than 30 g of rust.
  const Ran ran = run(asked);
  EXPECT_NE(
      ran.out.find(
          "No hang of band 1 suffices or can be with 22 ends, 56 ends, 67 ends and 90 ends.\n"),
      std::string::npos)
      << ran.out;
  const json told = json::parse(run(asked + " --json").out);
  ASSERT_EQ(told["nothing_at"].size(), 4u);
  EXPECT_EQ(told["nothing_at"][1]["value"], 56.0);
}

TEST_F(Howfar, ChangesNoFile) {
  const auto before = contents(folder_ / "demo");
  EXPECT_EQ(run("howfar demo/pieces/saltmarsh.toml --change size -o answer.txt").status, 0);
  EXPECT_EQ(
      run("howfar demo/pieces/saltmarsh.toml --change size -o demo/pieces/saltmarsh.toml").status,
      3);
  EXPECT_EQ(contents(folder_ / "demo"), before);
}

}  // namespace
}  // namespace ellwand::test

// Slips of the pen, the scale and the keyboard: each is asked about beside the answer, and what was
// meant is not.
//
// What no program can notice is not here: a row missed in sixty, a finished size entered as one on
// the loom, a price of another yarn. They move a figure by less than honest figures stray.

#include "program.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <vector>

namespace ellwand::test {
namespace {

namespace fs = std::filesystem;

/// What was meant and what was typed stand where {} is: of a file of the demo, or of the command.
struct Slip {
  const char* what;
  const char* file;   ///< of the demo; none where the command has the slip
  const char* there;  ///< what it replaces in the file
  const char* meant;
  const char* typed;
  const char* before;  ///< a command run first; none where empty
  const char* command;
  const char* said;  ///< parts of the sentence in order, ... between them
};

const std::string kWoven =
    "record demo swatch --swatch new --loom 'notched board' --warp-yarn seine-12-6 --ends 60 "
    "--work weave --yarn rug-wool-ash --rows 60 --date 2026-05-01 ";
const char* const kCalibrate = "calibrate demo";
const char* const kLot = "record demo lot --yarn rug-wool-ash --lot 340 ";

const Slip kSlips[] = {
    {"grams for ounces", "", "", "--used-g 12", "--used-g 0.42", "", "WOVEN {}",
     "used_g: 0.42 g where about ... would be usual; are these ounces? Then it is used_oz"},
    {"ounces for grams", "", "", "--used-oz 0.42", "--used-oz 12", "", "WOVEN {}",
     "used_oz: 12 oz where about ... would be usual; are these grams? Then it is used_g"},
    {"grams for ounces by two weighings", "", "", "--ball-before-g 50.0 --ball-after-g 38.0",
     "--ball-before-g 3.50 --ball-after-g 3.08", "", "WOVEN {}",
     "ball_before_g: 0.42 g where about ... would be usual; are these ounces? Then it is "
     "ball_before_oz and ball_after_oz"},
    {"grams for ounces of a weighed length", "", "", "10.0", "0.35", "",
     "record demo swatch --swatch new --yarn rug-wool-ink --date 2026-05-01 --weighed-m 20.0 "
     "--weighed-g {}",
     "weighed_g: 0.0175 g a metre where about 0.5 g a metre would be usual; are these ounces? Then "
     "it is weighed_oz"},
    {"grams for kilograms", "", "", "--used-g 12", "--used-g 0.012", "", "WOVEN {}",
     "used_g: 0.012 g where about ... would be usual; are these kilograms?"},
    {"a decimal point slipped", "", "", "--used-g 12.0", "--used-g 120", "", "WOVEN {}",
     "used_g: 120 g where about ... has a decimal point slipped, or is it of something else?"},
    {"a row there and back counted as one", "", "", "60", "30", kCalibrate,
     "record demo swatch --swatch new --loom 'notched board' --warp-yarn seine-12-6 --ends 60 "
     "--work weave --yarn rug-wool-ash --rows {} --date 2026-05-01 --used-g 14",
     "used_g: 14 g where about ... is a row there and back counted as one?"},
    {"each row counted twice", "", "", "60", "120", kCalibrate,
     "record demo swatch --swatch new --loom 'notched board' --warp-yarn seine-12-6 --ends 60 "
     "--work weave --yarn rug-wool-ash --rows {} --date 2026-05-01 --used-g 14",
     "used_g: 14 g where about ... is each row counted twice?"},
    {"weighed wet", "", "", "14", "23", kCalibrate, "WOVEN --used-g {}",
     "used_g: 23 g where about ... was it weighed wet, or with its card or core?"},
    {"a skein weighed with its core", "", "", "10.0", "15.0", "",
     "record demo swatch --swatch new --yarn rug-wool-ink --date 2026-05-01 --weighed-m 20.0 "
     "--weighed-g {}",
     "weighed_g: 0.75 g a metre where about 0.5 g a metre would be usual; was it weighed wet, or "
     "with its card or core?"},
    {"centimetres for millimetres", "", "", "4.8", "48", "",
     "WOVEN --state 'on the loom' --height-cm {}",
     "height_cm: 48 cm where about ... are these millimetres?"},
    {"millimetres for centimetres", "", "", "48", "4.8", "",
     "WOVEN --state 'on the loom' --height-mm {}",
     "height_mm: 4.8 mm where about ... are these centimetres?"},
    {"centimetres for inches", "", "", "4.8", "1.9", kCalibrate,
     "WOVEN --state 'on the loom' --height-cm {}",
     "height_cm: 1.9 cm where about ... are these inches?"},
    {"dents counted for ends", "", "", "60", "30", "",
     "record demo swatch --swatch new --loom 'notched board' --warp-yarn seine-12-6 --ends {} "
     "--work weave --yarn rug-wool-ash --rows 60 --date 2026-05-01 --state 'on the loom' "
     "--measured-width-cm 24.0",
     "measured_width_cm: 24 cm where about ... are two ends in a dent counted as one?"},
    {"the width in the reed for that of the cloth", "", "", "18.9", "20.0", "",
     "record demo swatch --swatch new --loom eight-shaft --warp-yarn cotton-8-2 --ends 120 "
     "--sett-per-cm 6 --work weave --yarn worsted-moss --rows 80 --date 2026-05-01 --state off "
     "--measured-width-cm {}",
     "measured_width_cm: 20 cm is the width in the reed, and off the loom cloth is narrower; was "
     "it "
     "measured on the cloth?"},
    {"wraps laid touching, called a thread apart", "", "", "touching", "'thread apart'", "",
     "record demo swatch --swatch new --yarn rug-wool-ash --date 2026-05-01 --wraps 16 "
     "--wraps-over-cm 2 --wraps-convention {}",
     "wraps: ... where about ... were the wraps touching, or a thread's width apart?"},
    {"wraps over an inch for over a centimetre", "", "", "--wraps-over-cm", "--wraps-over-in", "",
     "record demo swatch --swatch new --yarn rug-wool-ash --date 2026-05-01 --wraps 16 {} 2 "
     "--wraps-convention touching",
     "wraps: ... where about ... were they counted over an inch, or over a centimetre?"},
    {"ounces where grams are usual, by a coarse scale", "", "", "--used-g 3", "--used-oz 3", "",
     "record demo swatch --swatch new --loom 'notched board' --warp-yarn seine-12-6 --ends 30 "
     "--work weave --yarn rug-wool-ash --rows 30 --date 2026-05-01 {}",
     "used_oz: 3 oz where about ..."},
    {"metres for centimetres, run off", "", "", "22", "2200", "", "WOVEN --used-m {}",
     "used_m: 2200 m where about ... are these centimetres?"},
    {"grams and metres of two different swatches", "", "", "24", "14", "",
     "WOVEN --used-g 12 --used-m {}",
     "used_m: 14 m where by what else is measured of it about ... would be usual; is it of "
     "something "
     "else, or of another swatch?"},
    {"next year's date", "", "", "2026-05-01", "2099-05-01", "",
     "record demo minutes --swatch ash-1 --rows 60 --minutes 66 --date {}",
     "date: 2099-05-01 is still to come; is the year right?"},
    {"one figure recorded twice", "", "", "12.1", "12.4", "WOVEN --used-g 12.4",
     "record demo swatch --swatch new --date 2026-05-01 --used-g {}",
     "used_g: line 16 says the same of it; was it recorded twice?"},
    {"one swatch recorded under two names", "", "", "12.1", "12.4",
     "WOVEN --state off --used-g 12.4 --height-cm 4.8",
     "record demo swatch --swatch other --loom 'notched board' --warp-yarn seine-12-6 --ends 60 "
     "--work weave --yarn rug-wool-ash --rows 60 --date 2026-05-01 --state off --used-g {} "
     "--height-cm 4.8",
     "swatch: other is as swatch new in all that is said and measured of it; was it recorded "
     "twice?"},
    {"the lot of another yarn", "", "", "310", "R5", "", "WOVEN --used-g 12 --lot {}",
     "lot: R5 is on the shelf as a lot of rug-wool-rust, and rug-wool-ash has others; are lot or "
     "yarn mixed up?"},
    {"the letter O for a nought", "", "", "310", "31O", "", "WOVEN --used-g 12 --lot {}",
     "lot: rug-wool-ash has lot 310 on the shelf, which is written nearly alike; is it that one?"},
    {"the lot of another yarn in a piece", "pieces/wrackline.toml", "[loom]",
     "[lots]\nrug-wool-ash = \"310\"\n[loom]", "[lots]\nrug-wool-ash = \"R5\"\n[loom]", "",
     "estimate demo/pieces/wrackline.toml",
     "rug-wool-ash: R5 is on the shelf as a lot of rug-wool-rust, and rug-wool-ash has others"},
    {"kilograms for grams, bought", "", "", "100", "0.1", "", "LOT --net-g {}",
     "net_g: 0.1 g of a yarn that is sold by 100 g; are these kilograms?"},
    {"a lot recorded twice", "", "", "--net-g 50", "--net-g 100", "LOT --net-g 100", "LOT {}",
     "lots.csv:13: line 12 says the same in every column; was it recorded twice?"},
    {"bought next year", "", "", "2026-05-01", "2099-05-01", "", "LOT --net-g 100 --bought {}",
     "bought: 2099-05-01 is still to come; is the year right?"},
    {"a core not subtracted", "", "", "100", "125", "", "LOT --net-m 200 --net-g {}",
     "net_g: 125 g here, but 200 m of it weigh 100 g by its count; is a core or card weighed with "
     "it?"},
    {"the longest piece longer than the lot", "", "", "60", "600", "",
     "LOT --net-g 40 --longest-left-m {}",
     "longest_left_m: 600 m, but the whole lot is about 80 m; is it all one piece, or less by "
     "now?"},
    {"hours for minutes, recorded", "", "", "66", "1.1", "",
     "record demo minutes --swatch ash-1 --rows 60 --date 2026-05-01 --minutes {}",
     "minutes: 1.1 min where about ... would be usual; are these hours?"},
    {"hours for minutes, in the log", "time.csv", "2026-02-14,,ash-1,,60,66,,",
     "2026-02-14,,ash-1,,60,66,,", "2026-02-14,,ash-1,,60,1.1,,", "",
     "price demo/pieces/wrackline.toml",
     "time.csv:2: minutes: 1.1 min where about ... would be usual; are these hours?"},
    {"hours for minutes, on the command line", "", "", "200", "3.3", "",
     "price demo/pieces/wrackline.toml --minutes {}",
     "--minutes: 3.3 min where about ... would be usual; are these hours?"},
    {"a percentage of a fraction, as option", "", "", "'30 %'", "'0.3 %'", "",
     "price demo/pieces/wrackline.toml --margin {}",
     "--margin: \"0.3 %\" is 30 in ten thousand; is 30 % meant?"},
    {"a percentage of a fraction, in the price policy", "studio.toml", "margin = \"30 %\"",
     "margin = \"30 %\"", "margin = \"0.3 %\"", "", "price demo/pieces/wrackline.toml",
     "margin: \"0.3 %\" is 30 in ten thousand; is 30 % meant?"},
    {"a percentage of a fraction, of waste", "studio.toml", "tail = \"10 cm\"",
     "tail = \"10 cm\"\nwaste = \"5 %\"", "tail = \"10 cm\"\nwaste = \"0.05 %\"", "",
     "estimate demo/pieces/wrackline.toml",
     "waste: \"0.05 %\" is 5 in ten thousand; is 5 % meant?"},
    {"a quote that held until last year", "", "", "2026-06-01", "2025-06-01", "",
     "price demo/pieces/wrackline.toml --quote --date 2026-05-01 --until {}",
     "--until: 2025-06-01 is before the day of the quote, 2026-05-01; is the year right?"},
    {"millimetres for centimetres, tails", "studio.toml", "tail = \"10 cm\"", "tail = \"10 cm\"",
     "tail = \"10 mm\"", "", "estimate demo/pieces/wrackline.toml",
     "tail: 1 cm where about 9 cm is usual; is the unit right?"},
    {"centimetres for metres, a length on the needle", "studio.toml", "tail = \"10 cm\"",
     "tail = \"10 cm\"\nworking_length = \"150 cm\"",
     "tail = \"10 cm\"\nworking_length = \"30 cm\"", "", "estimate demo/pieces/wrackline.toml",
     "working_length: 30 cm where about 150 cm is usual; is the unit right?"},
    {"a decimal point slipped, the sett", "pieces/wrackline.toml", "sett = \"2.5 /cm\"",
     "sett = \"2.5 /cm\"", "sett = \"0.25 /cm\"", "", "estimate demo/pieces/wrackline.toml",
     "the ends lie 40 mm apart, ... times as far as end and weft are thick together, and would "
     "hold "
     "nothing; is the pitch or sett in the right unit?"},
    {"centimetres for millimetres, a warp wider than long", "studio.toml", "pitch = \"4 mm\"",
     "pitch = \"4 mm\"", "pitch = \"4 cm\"", "", "estimate demo/pieces/undertow.toml",
     "30 ends 80 mm apart are 232.0 cm wide, on a span of 46.0 cm; is the pitch in the right "
     "unit?"},
    {"picks per inch for picks per cm", "pieces/sedge.toml", "picks = \"5 /cm\"",
     "picks = \"5 /cm\"", "picks = \"5 /in\"", "", "estimate demo/pieces/sedge.toml",
     "balanced rows of ... lie 1.97 per cm, and unless stated they lie about ...; is it picks per "
     "cm "
     "and not per inch?"},
    {"a measured height in inches", "pieces/saltmarsh.toml", "height = \"14 mm\"",
     "height = \"14 mm\"", "height = \"1.4 in\"", "", "estimate demo/pieces/saltmarsh.toml",
     "band 7: weft-faced rows of rug-wool-ink lie 5.62 per cm, and unmeasured they lie about ...; "
     "were rows "
     "and height taken together, in the right unit?"},
    {"loops in centimetres", "pieces/tideline.toml", "loop_height = \"15 mm\"",
     "loop_height = \"15 mm\"", "loop_height = \"15 cm\"", "", "estimate demo/pieces/tideline.toml",
     "loops 15.0 cm high do not stand; is loop_height in the right unit?"},
    {"fringe in millimetres", "pieces/saltmarsh.toml", "hang = \"14 cm\"", "hang = \"14 cm\"",
     "hang = \"14 mm\"", "", "estimate demo/pieces/saltmarsh.toml",
     "band 1: the fringe hangs 1.4 cm and 0.8 cm is trimmed off each strand; is hang in the right "
     "unit?"},
    {"a stretch of a decimal too much", "pieces/saltmarsh.toml", "ends = 45",
     "ends = 45\nstretch = \"2 %\"", "ends = 45\nstretch = \"20 %\"", "",
     "estimate demo/pieces/saltmarsh.toml", "stretch: 20 % where about 2 % is usual; is it right?"},
    {"the same, where howfar is asked", "pieces/saltmarsh.toml", "ends = 45",
     "ends = 45\nstretch = \"2 %\"", "ends = 45\nstretch = \"20 %\"", "",
     "howfar demo/pieces/saltmarsh.toml --change ends",
     "stretch: 20 % where about 2 % is usual; is it right?"},
    {"ball metres a decimal short", "yarns.csv", "Rug wool ash,wool,plied,2,200 m",
     "Rug wool ash,wool,plied,2,200 m", "Rug wool ash,wool,plied,2,20 m", "",
     "estimate demo/pieces/wrackline.toml",
     "rug-wool-ash is 2.6 times as thin as its count and fibre say"},
    {"wraps for a diameter", "yarns.csv", "12.00,mill,,", "12.00,mill,0.8,", "12.00,mill,12,", "",
     "estimate demo/pieces/wrackline.toml",
     "diameter_mm: cotton-slub is 18.7 times as thick as its count and fibre say"},
    {"roving measured loose", "yarns.csv", "9.00,handspun,,", "9.00,handspun,7.2,",
     "9.00,handspun,15.5,", "", "estimate demo/pieces/saltmarsh.toml",
     "fleece-sliver is 15.5 mm thick here, as roving lies loose; in the cloth it would be about "
     "7.0 mm; was it measured before it was woven?"},
    {"Nm for Ne", "yarns.csv", "Ne 2,200 g,12.00,mill,", "Ne 2,200 g,12.00,mill,0.64",
     "Nm 2,200 g,12.00,mill,0.64", "", "estimate demo/pieces/undertow.toml",
     "cotton-slub is 1.3 times as thin as its count and fibre say ... is it an English count, Ne, "
     "and "
     "not Nm?"},
    {"dtex for tex", "yarns.csv", "Ne 2,200 g,12.00,mill,", "295 tex,200 g,12.00,mill,0.64",
     "295 dtex,200 g,12.00,mill,0.64", "", "estimate demo/pieces/wrackline.toml",
     "cotton-slub is 3.2 times as thick as its count and fibre say ... is it tex and not dtex?"},
    {"the price of a kilogram for that of a ball", "yarns.csv", "100 g,11.20,", "100 g,11.20,",
     "100 g,112.00,", "", "price demo/pieces/wrackline.toml",
     "price: 112.00 for 100 g is 13 times as dear by the gram as the other yarns; is it the price "
     "of "
     "one put-up?"},
    {"one yarn under two ids", "yarns.csv", "cotton-tape,Cotton tape sand",
     "rug-wool-sea,Sea,wool,plied,2,200 m/100 g,100 g,7.90,mill,,8 "
     "/cm,touching,,,,\ncotton-tape,Cotton tape sand",
     "rug-wool-ahs,Ash,wool,plied,2,200 m/100 g,100 g,7.90,mill,,8 "
     "/cm,touching,,,,\ncotton-tape,Cotton tape sand",
     "", "estimate demo/pieces/wrackline.toml",
     "id: rug-wool-ahs is written nearly as rug-wool-ash of line 5, with the same fibre and count; "
     "are they one yarn?"},
    {"grams for ounces of a finished piece", "", "", "4.5", "0.16", "",
     "record demo finished --piece undertow --yarn rug-wool-rust --date 2026-05-01 --used-g {}",
     "used_g: 0.16 g where about ... are these ounces? Then it is used_oz"},
    {"minutes recorded twice", "", "", "65", "66",
     "record demo minutes --swatch ash-1 --rows 60 --minutes 66 --date 2026-05-01",
     "record demo minutes --swatch ash-1 --rows 60 --date 2026-05-01 --minutes {}",
     "time.csv:11: line 10 says the same in every column; was it recorded twice?"},
    {"a key misspelt", "studio.toml", "tail = \"10 cm\"", "tail = \"10 cm\"", "tial = \"10 cm\"",
     "", "estimate demo/pieces/wrackline.toml",
     "unknown key 'tial' in [habits]; did you mean 'tail'? It is kept but not used."},
};

/// Whether the parts of `said` stand in `text`, in order, within one line.
bool says(const std::string& text, const std::string& said) {
  std::vector<std::string> parts;
  std::size_t from = 0;
  for (std::size_t at = said.find("..."); at != std::string::npos; at = said.find("...", from)) {
    parts.push_back(said.substr(from, at - from));
    from = at + 3;
  }
  parts.push_back(said.substr(from));
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    std::size_t at = 0;
    for (const std::string& part : parts) {
      const std::size_t found = at == std::string::npos ? at : line.find(part, at);
      at = found == std::string::npos ? found : found + part.size();
    }
    if (at != std::string::npos) return true;
  }
  return false;
}

class Slips : public Program {
 protected:
  static std::string filled(const std::string& command, const std::string& value) {
    std::string all = command;
    for (const auto& [from, to] :
         {std::pair<std::string, std::string>{"WOVEN ", kWoven}, {"LOT ", kLot}, {"{}", value}}) {
      const std::size_t at = all.find(from);
      if (at != std::string::npos) all.replace(at, from.size(), to);
    }
    return all;
  }

  /// All that is said of one of the two, in a fresh demo.
  std::string answer(const Slip& slip, const char* value) {
    fs::remove_all(folder_ / "demo");
    fs::copy(source_folder() + "/data/demo", folder_ / "demo", fs::copy_options::recursive);
    const std::string file = slip.file;
    if (!file.empty()) change("demo/" + file, slip.there, value);
    if (*slip.before != 0) {
      const Ran first = run(filled(slip.before, value));
      EXPECT_EQ(first.status, 0) << first.told;
    }
    const Ran ran = run(filled(slip.command, value));
    EXPECT_EQ(ran.status, 0) << value << '\n' << ran.told;
    return ran.out + ran.told;
  }
};

TEST_F(Slips, AreAskedAboutAndWhatWasMeantIsNot) {
  for (const Slip& slip : kSlips) {
    SCOPED_TRACE(slip.what);
    const std::string meant = answer(slip, slip.meant);
    const std::string typed = answer(slip, slip.typed);
    EXPECT_FALSE(says(meant, slip.said)) << meant;
    EXPECT_TRUE(says(typed, slip.said)) << typed;
  }
}

/// 60 ends 4 mm apart are 236 mm from the first to the last, of which yarn that springs back may
/// lack a tenth: 10 rows of one strand take 212.4 cm, of two 424.8 cm.
TEST_F(Slips, RowsShorterThanTheirStraightWayAreRefused) {
  const std::string unpicked = kWoven + "--unpicked-rows 10 ";
  for (const char* cannot :
       {"--unpicked-cm 3.7", "--unpicked-cm 210", "--held 2 --unpicked-cm 250"}) {
    const Ran ran = run(unpicked + cannot);
    EXPECT_EQ(ran.status, 3) << cannot;
    EXPECT_TRUE(says(ran.told,
                     "cannot be, for these rows take more than ... even where they lie straight; "
                     "write what all strands held together, of all rows, come to, added up"))
        << ran.told;
    EXPECT_TRUE(says(ran.told, "Nothing was changed.")) << ran.told;
  }
  EXPECT_EQ(run(unpicked + "--unpicked-cm 214").status, 0);
  EXPECT_EQ(run("record demo swatch --undo").status, 0);
  EXPECT_EQ(run(unpicked + "--held 2 --unpicked-cm 520").status, 0);
}

TEST_F(Slips, AreManyKinds) { EXPECT_GE(std::size(kSlips), 45U); }

/// The demo is honest: no verb asks anything of it.
TEST_F(Slips, TheDemoHasNone) {
  const nlohmann::json all = nlohmann::json::parse(run("estimate demo --json").out);
  for (const nlohmann::json& piece : all.at("pieces")) {
    for (const nlohmann::json& warning : piece.at("warnings")) {
      for (const char* code :
           {"reading", "ends_far_apart", "warp_far_too_wide", "loops_too_tall",
            "rows_far_from_usual", "fringe_all_trim", "lent_short", "wrapped_beside_what"}) {
        EXPECT_NE(warning.at("code"), code) << warning;
      }
    }
  }
  EXPECT_EQ(run("calibrate demo --dry-run").told, "");
  EXPECT_EQ(run("price demo/pieces/wrackline.toml").told, "");
  EXPECT_EQ(run("kit demo/pieces/wrackline.toml").told, "");
}

/// Warnings go beside the answer for programs too.
TEST_F(Slips, StandInTheAnswerForPrograms) {
  change("demo/pieces/wrackline.toml", "sett = \"2.5 /cm\"", "sett = \"0.25 /cm\"");
  const nlohmann::json all =
      nlohmann::json::parse(run("estimate demo/pieces/wrackline.toml --json").out);
  EXPECT_EQ(all["pieces"][0]["warnings"][0]["code"], "ends_far_apart");
}

TEST_F(Slips, OfWhatIsRecordedStandInTheAnswerForPrograms) {
  const Ran ran = run(kWoven + "--used-g 0.42 --json");
  EXPECT_EQ(ran.told, "");
  const nlohmann::json recorded = nlohmann::json::parse(ran.out);
  EXPECT_EQ(recorded["schema"], 1);
  EXPECT_EQ(recorded["done"], "recorded");
  EXPECT_EQ(recorded["line"], 16);
  EXPECT_EQ(recorded["cells"]["used_g"], "0.42");
  ASSERT_EQ(recorded["warnings"].size(), 1U);
  EXPECT_EQ(recorded["warnings"][0]["line"], 16);
  EXPECT_TRUE(says(recorded["warnings"][0]["text"], "used_g: 0.42 g where ... are these ounces?"));
}

}  // namespace
}  // namespace ellwand::test

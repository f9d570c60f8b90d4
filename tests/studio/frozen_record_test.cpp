#include "ellwand/studio/frozen_record.hpp"

#include "ellwand/studio/files.hpp"

#include <gtest/gtest.h>

#include <unistd.h>

namespace ellwand::studio {
namespace {

namespace fs = std::filesystem;

class FrozenEstimates : public testing::Test {
 protected:
  void SetUp() override {
    folder_ =
        fs::temp_directory_path() / ("ellwand-frozen-" + std::to_string(getpid()) + "-" +
                                     testing::UnitTest::GetInstance()->current_test_info()->name());
    fs::remove_all(folder_);
    fs::create_directories(folder_ / "estimates");
  }
  void TearDown() override { fs::remove_all(folder_); }

  void keep(const std::string& name, const std::string& date, const std::string& low,
            const std::string& high) const {
    write_file(folder_ / "estimates" / name,
               "{\"schema\": 1, \"frozen\": \"" + date +
                   "\", \"pieces\": [{\"piece\": \"reed\", \"yarns\": [{\"yarn\": \"ash\", "
                   "\"mass_g\": {\"mid\": 20, \"low\": " +
                   low + ", \"high\": " + high + "}}]}]}");
  }

  FrozenRecord record(double grams, const std::string& date = "2026-05-10") const {
    calibrate::Swatch woven;
    woven.piece.id = "reed";
    woven.date = date;
    calibrate::Measurement used;
    used.value = grams;
    used.yarn = "ash";
    woven.measurements = {used};
    return frozen_record(folder_, {woven});
  }

  fs::path folder_;
};

TEST_F(FrozenEstimates, TellsByHowMuchItIsOutside) {
  keep("reed-2026-05-01.json", "2026-05-01", "18", "24");
  const FrozenRecord over = record(27.0);
  ASSERT_EQ(over.outcomes.size(), 1U);
  EXPECT_EQ(over.outcomes[0].piece, "reed");
  EXPECT_EQ(over.outcomes[0].yarn, "ash");
  EXPECT_EQ(over.outcomes[0].frozen, "2026-05-01");
  EXPECT_EQ(over.outcomes[0].outside_g(), 3.0);
  EXPECT_EQ(record(16.5).outcomes.at(0).outside_g(), -1.5);
  EXPECT_EQ(record(18.0).outcomes.at(0).outside_g(), 0.0);
  EXPECT_EQ(record(24.0).outcomes.at(0).outside_g(), 0.0);
}

// 2026-11-26: one that a later program had kept was read as if this one knew its schema.
TEST_F(FrozenEstimates, OfAnotherSchemaArePassedOver) {
  keep("reed-2026-05-01.json", "2026-05-01", "18", "24");
  const fs::path file = folder_ / "estimates/reed-2026-05-01.json";
  std::string text = read_file(file);
  write_file(file, text.replace(text.find(": 1,"), 4, ": 2,"));
  const FrozenRecord other = record(27.0);
  EXPECT_TRUE(other.outcomes.empty());
  ASSERT_EQ(other.warnings.size(), 1U);
  EXPECT_EQ(other.warnings[0].told(),
            file.string() +
                ": this is no estimate as this program's 'estimate --freeze' keeps it; "
                "it is passed over");
}

TEST_F(FrozenEstimates, OfWhichTheLastBeforeTheWeighingCounts) {
  keep("reed-2026-05-01.json", "2026-05-01", "18", "24");
  keep("reed-2026-05-02.json", "2026-05-02", "19", "23");
  for (int i = 2; i <= 10; ++i) {
    keep("reed-2026-05-02-" + std::to_string(i) + ".json", "2026-05-02", std::to_string(10 + i),
         "22");
  }
  keep("reed-2026-05-11.json", "2026-05-11", "1", "100");
  const FrozenRecord one = record(30.0);
  ASSERT_EQ(one.outcomes.size(), 1U);
  EXPECT_EQ(one.outcomes[0].low_g, 20.0);
  EXPECT_EQ(record(30.0, "").outcomes.at(0).high_g, 100.0);
  EXPECT_TRUE(record(30.0, "2026-04-30").outcomes.empty());
}

TEST_F(FrozenEstimates, OfAnotherYarnOrABandTellNothing) {
  keep("reed-2026-05-01.json", "2026-05-01", "18", "24");
  calibrate::Swatch woven;
  woven.piece.id = "reed";
  calibrate::Measurement other;
  other.value = 20.0;
  other.yarn = "rust";
  calibrate::Measurement of_a_band = other;
  of_a_band.yarn = "ash";
  of_a_band.band = 0;
  calibrate::Measurement trimmed = other;
  trimmed.yarn = "ash";
  trimmed.includes = calibrate::Includes::InThePiece;
  woven.measurements = {other, of_a_band, trimmed};
  EXPECT_TRUE(frozen_record(folder_, {woven}).outcomes.empty());
}

TEST_F(FrozenEstimates, ThatCannotBeReadArePassedOverWithAWord) {
  keep("reed-2026-05-01.json", "2026-05-01", "18", "24");
  write_file(folder_ / "estimates" / "torn.json", "{\"frozen\": \"2026-");
  keep("odd.json", "2026-05-03", "null", "24");
  const FrozenRecord one = record(30.0);
  EXPECT_EQ(one.outcomes.size(), 1U);
  EXPECT_EQ(one.warnings.size(), 2U);
}

}  // namespace
}  // namespace ellwand::studio

#include "ellwand/studio/calibration_file.hpp"

#include "ellwand/studio/files.hpp"
#include "support/draws.hpp"
#include "told.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <unistd.h>

namespace ellwand::studio {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

/// All complaints of a BadInput, a line each; nothing where none is thrown.
template <class Read>
std::string told_by(Read read) {
  std::string all;
  for (const std::string& line : complaints_of(read)) all += line + '\n';
  return all;
}

/// Numbers with all their bits in use: a covariance L L' of random L.
Calibration random_calibration(std::uint64_t seed, std::size_t n) {
  test::NormalDraws draws(seed);
  Calibration one;
  std::vector<double> root(n * n);
  for (double& number : root) number = draws.next() / 7.0;
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = 0; b < n; ++b) {
      double sum = 0.0;
      for (std::size_t k = 0; k < n; ++k) sum += root[a * n + k] * root[b * n + k];
      one.learned.covariances.push_back(sum);
    }
  }
  for (std::size_t c = 0; c < n; ++c) {
    const std::string name = "lot yarn-" + std::to_string(c) + " \"A\" \xC3\xA4";
    const double spread = std::sqrt(one.learned.covariances[c * (n + 1)]);
    one.coefficients.push_back({name, "how it lies", std::abs(draws.next()), draws.next(), spread});
    one.learned.names.push_back(name);
    one.learned.means.push_back(one.coefficients.back().mean);
  }
  one.learned.spreads = {{"piece", std::abs(draws.next())}, {"yarn", 1.0 / 3.0}};
  one.learned.pieces_by_work = {{"take.weave", 7}};
  one.learned.one_weaver = seed % 2 == 0;
  one.learned.date = "2026-10-02";
  one.learned.swatches = 12;
  one.fingerprint = "0123456789abcdef";
  one.engine = "0.1.0";
  return one;
}

void expect_same(const Calibration& one, const Calibration& other) {
  EXPECT_EQ(one.learned.names, other.learned.names);
  EXPECT_EQ(one.learned.means, other.learned.means);
  EXPECT_EQ(one.learned.covariances, other.learned.covariances);
  EXPECT_EQ(one.learned.spreads, other.learned.spreads);
  EXPECT_EQ(one.learned.pieces_by_work, other.learned.pieces_by_work);
  EXPECT_EQ(one.learned.one_weaver, other.learned.one_weaver);
  EXPECT_EQ(one.learned.date, other.learned.date);
  EXPECT_EQ(one.learned.swatches, other.learned.swatches);
  EXPECT_EQ(one.fingerprint, other.fingerprint);
  EXPECT_EQ(one.engine, other.engine);
  ASSERT_EQ(one.coefficients.size(), other.coefficients.size());
  for (std::size_t c = 0; c < one.coefficients.size(); ++c) {
    EXPECT_EQ(one.coefficients[c].name, other.coefficients[c].name);
    EXPECT_EQ(one.coefficients[c].meaning, other.coefficients[c].meaning);
    EXPECT_EQ(one.coefficients[c].start_spread, other.coefficients[c].start_spread);
    EXPECT_EQ(one.coefficients[c].mean, other.coefficients[c].mean);
    EXPECT_EQ(one.coefficients[c].spread, other.coefficients[c].spread);
  }
}

TEST(CalibrationText, ComesBackToTheLastBit) {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const Calibration one = random_calibration(seed, seed % 7);
    expect_same(read_calibration(calibration_json(one), "calibration.json"), one);
  }
}

std::string good_text() { return calibration_json(random_calibration(3, 3)); }

std::string changed(const std::string& from, const std::string& to) {
  std::string text = good_text();
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

std::string told_of(const std::string& text) {
  return told_by([&] { read_calibration(text, "calibration.json"); });
}

TEST(CalibrationText, OfAnotherSchemaIsRefused) {
  EXPECT_THAT(told_of(changed("\"schema\": 1", "\"schema\": 2")),
              HasSubstr("schema is 2, and this program reads 1"));
  EXPECT_THAT(told_of(changed("\"schema\": 1,", "")), HasSubstr("schema is missing"));
}

TEST(CalibrationText, ThatIsNotJsonIsRefused) {
  EXPECT_THAT(told_of(good_text().substr(0, 200)), HasSubstr("not JSON"));
  EXPECT_THAT(told_of(""), HasSubstr("not JSON"));
  EXPECT_THAT(told_of("[1, 2]"), HasSubstr("this is no calibration"));
}

TEST(CalibrationText, IsComplainedOfAllAtOnce) {
  std::string text = changed("\"swatches\": 12", "\"swatches\": \"twelve\"");
  const std::string date = "\"date\": \"2026-10-02\",";
  text.replace(text.find(date), date.size(), "");
  const std::string told = told_of(text);
  EXPECT_THAT(told, HasSubstr("swatches is \"twelve\" and should be a whole number"));
  EXPECT_THAT(told, HasSubstr("date is missing"));
  EXPECT_THAT(told, HasSubstr("move it away and run 'ellwand calibrate'"));
}

/// A calibration of two coefficients with a covariance a test spoils.
std::string with_covariance(std::vector<double> numbers) {
  Calibration one = random_calibration(5, 2);
  one.learned.covariances = std::move(numbers);
  one.coefficients[0].spread = 0.2;
  one.coefficients[1].spread = 0.1;
  one.learned.names = {"hand", "take.weave"};
  one.coefficients[0].name = "hand";
  one.coefficients[1].name = "take.weave";
  return calibration_json(one);
}

TEST(CalibrationText, WithACovarianceThatCannotBeIsRefused) {
  EXPECT_EQ(told_of(with_covariance({0.04, 0.01, 0.01, 0.01})), "");
  EXPECT_THAT(told_of(with_covariance({0.04, 0.01, 0.02, 0.01})), HasSubstr("one way and"));
  EXPECT_THAT(told_of(with_covariance({0.04, 0.03, 0.03, 0.01})),
              HasSubstr("more than their spreads allow"));
  EXPECT_THAT(told_of(with_covariance({0.04, 0.0, 0.0, -0.01})),
              HasSubstr("has the variance -0.01, below 0"));
  EXPECT_THAT(told_of(with_covariance({0.09, 0.0, 0.0, 0.01})),
              HasSubstr("not that of its spread"));
}

TEST(CalibrationText, WithNumbersThatAreNotFiniteIsRefused) {
  Calibration one = random_calibration(5, 2);
  one.coefficients[0].mean = std::numeric_limits<double>::quiet_NaN();
  one.learned.covariances[1] = std::numeric_limits<double>::infinity();
  const std::string told = told_of(calibration_json(one));
  EXPECT_THAT(told, HasSubstr("coefficient 1: mean is null and should be a finite number"));
  EXPECT_THAT(told, HasSubstr("covariance, row 1: is null and should be a finite number"));
}

TEST(CalibrationText, WithSizesThatDoNotAgreeIsRefused) {
  Calibration one = random_calibration(5, 3);
  std::string text = calibration_json(one);
  text.replace(text.rfind(",\n    ["), std::string::npos, "\n  ]\n}\n");
  EXPECT_THAT(told_of(text), HasSubstr("should have 3 rows, one a coefficient, and has 2"));
  std::string row = calibration_json(one);
  row.insert(row.rfind(']', row.rfind(']') - 1), ",1.0");
  EXPECT_THAT(told_of(row), HasSubstr("row 3: should have 3 numbers and has 4"));
}

class CalibrationFile : public testing::Test {
 protected:
  void SetUp() override {
    folder_ =
        fs::temp_directory_path() / ("ellwand-calibration-" + std::to_string(getpid()) + "-" +
                                     testing::UnitTest::GetInstance()->current_test_info()->name());
    fs::remove_all(folder_);
    fs::create_directories(folder_ / "pieces");
  }
  void TearDown() override { fs::remove_all(folder_); }

  std::string text_of(const char* name) const { return read_file(folder_ / name); }

  fs::path folder_;
};

TEST_F(CalibrationFile, IsNotThereBeforeTheFirst) {
  EXPECT_FALSE(open_calibration(folder_).has_value());
  EXPECT_THAT(told_by([&] { go_back(folder_); }), HasSubstr("no calibration to go back to"));
}

TEST_F(CalibrationFile, KeepsTheOneBeforeAndGoesBackToIt) {
  const Calibration first = random_calibration(1, 2);
  const Calibration second = random_calibration(2, 3);
  keep_calibration(folder_, first);
  EXPECT_FALSE(fs::exists(folder_ / "calibration-before.json"));
  keep_calibration(folder_, second);
  expect_same(*open_calibration(folder_), second);
  expect_same(go_back(folder_), first);
  expect_same(*open_calibration(folder_), first);
  expect_same(go_back(folder_), second);
  expect_same(*open_calibration(folder_), second);
}

TEST_F(CalibrationFile, ThatCannotBeReadIsLeftAsItIs) {
  for (const char* name : {"calibration.json", "calibration-before.json"}) {
    keep_calibration(folder_, random_calibration(1, 2));
    keep_calibration(folder_, random_calibration(2, 2));
    write_file(folder_ / name, "{ \"schema\": 99 }\n");
    const std::string now = text_of("calibration.json");
    const std::string before = text_of("calibration-before.json");
    EXPECT_THAT(told_by([&] { keep_calibration(folder_, random_calibration(3, 2)); }),
                HasSubstr("schema is 99"));
    EXPECT_EQ(text_of("calibration.json"), now);
    EXPECT_EQ(text_of("calibration-before.json"), before);
    fs::remove(folder_ / name);
  }
}

// The published check values of the hash: "", "a" and "foobar".
TEST(Fingerprint, IsTheHashThatIsPublished) {
  EXPECT_EQ(fingerprint_of_text(""), "cbf29ce484222325");
  EXPECT_EQ(fingerprint_of_text("a"), "af63dc4c8601ec8c");
  EXPECT_EQ(fingerprint_of_text("foobar"), "85944171f73967e8");
}

TEST_F(CalibrationFile, FingerprintChangesWithWhatWasMeasuredAndWithNothingElse) {
  const std::string none = fingerprint_of(folder_);
  write_file(folder_ / "swatches.csv", "swatch,used_g\na,12\n");
  const std::string one = fingerprint_of(folder_);
  EXPECT_NE(one, none);
  write_file(folder_ / "pieces" / "plain.toml", "[piece]\nname = \"Plain\"\n");
  write_file(folder_ / "lots.csv", "yarn\n");
  EXPECT_EQ(fingerprint_of(folder_), one);
  write_file(folder_ / "pieces" / "woven.toml", "[[measured]]\nused = \"12 g\"\n");
  const std::string two = fingerprint_of(folder_);
  EXPECT_NE(two, one);
  write_file(folder_ / "pieces" / "woven.toml", "[[measured]]\nused = \"13 g\"\n");
  EXPECT_NE(fingerprint_of(folder_), two);
}

}  // namespace
}  // namespace ellwand::studio

// A folder written whole or not at all.

#include "ellwand/studio/new_folder.hpp"

#include "ellwand/studio/files.hpp"
#include "ellwand/units/error.hpp"

#include <gtest/gtest.h>

#include <unistd.h>

#include <map>
#include <string>

namespace ellwand::studio {
namespace {

namespace fs = std::filesystem;

class NewFolder : public testing::Test {
 protected:
  void SetUp() override {
    fs::remove_all(top_);
    fs::create_directories(top_);
  }
  void TearDown() override { fs::remove_all(top_); }

  std::map<std::string, std::string> all() const {
    std::map<std::string, std::string> found;
    for (const auto& entry : fs::recursive_directory_iterator(top_)) {
      const std::string name = entry.path().lexically_relative(top_).string();
      found[name] = entry.is_regular_file() ? read_file(entry.path()) : "a folder";
    }
    return found;
  }

  std::string refusal_of(const std::string& folder, Earlier earlier = Earlier::Refused) const {
    try {
      write_folder(top_ / folder, kFiles, earlier);
    } catch (const BadInput& bad) {
      const std::string told = bad.what();
      EXPECT_EQ(told.rfind((top_ / folder).string() + ": ", 0), 0U) << told;
      return told.substr((top_ / folder).string().size() + 2);
    }
    return "not refused";
  }

  const std::map<std::string, std::string> kFiles = {{"a.csv", "1\n"}, {"b.csv", "2\n"}};
  const fs::path top_ =
      fs::canonical(fs::temp_directory_path()) / ("ellwand-folder-" + std::to_string(getpid()));
};

TEST_F(NewFolder, IsMadeWithItsFilesAndNothingElse) {
  write_folder(top_ / "out", kFiles, Earlier::Refused);
  const std::map<std::string, std::string> expected = {
      {"out", "a folder"}, {"out/a.csv", "1\n"}, {"out/b.csv", "2\n"}};
  EXPECT_EQ(all(), expected);
  write_file(top_ / "out/a.csv", "old\n");
  write_folder(top_ / "out", kFiles, Earlier::Replaced);
  EXPECT_EQ(all(), expected);
}

TEST_F(NewFolder, BehindALinkStaysThere) {
  fs::create_directory(top_ / "real");
  fs::create_directory_symlink(top_ / "real", top_ / "link");
  write_folder(top_ / "link", kFiles, Earlier::Refused);
  EXPECT_TRUE(fs::is_symlink(top_ / "link"));
  EXPECT_EQ(read_file(top_ / "real/b.csv"), "2\n");
}

// A file that cannot be written: its name goes into a folder that is not there.
TEST_F(NewFolder, LeavesNothingWhenItCannotBeFinished) {
  const auto before = all();
  EXPECT_THROW(
      write_folder(top_ / "out", {{"a.csv", "1\n"}, {"no/b.csv", "2\n"}}, Earlier::Refused),
      BadInput);
  EXPECT_EQ(all(), before);
}

TEST_F(NewFolder, IsRefusedInAStudiosOwn) {
  const std::string own =
      "this is the folder of a studio, or lies in its pieces or estimates, where nothing else is "
      "put; name another";
  fs::create_directories(top_ / "studio/pieces");
  write_file(top_ / "studio/studio.toml", "");
  const auto before = all();
  for (const char* folder : {"studio", "studio/pieces", "studio/pieces/new", "studio/estimates",
                             "studio/new/../pieces/new", "studio/estimates/deep/new"}) {
    EXPECT_EQ(refusal_of(folder), own) << folder;
  }
  EXPECT_EQ(all(), before);
  EXPECT_EQ(refusal_of("studio/export"), "not refused");
}

}  // namespace
}  // namespace ellwand::studio

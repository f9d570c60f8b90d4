#include "ellwand/studio/files.hpp"

#include "told.hpp"

#include <gtest/gtest.h>

#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>

namespace ellwand::studio {
namespace {

namespace fs = std::filesystem;

/// A folder of its own for each test, gone afterwards.
class Files : public testing::Test {
 protected:
  void SetUp() override {
    std::string name = (fs::temp_directory_path() / "ellwand-files-XXXXXX").string();
    ASSERT_NE(::mkdtemp(name.data()), nullptr);
    folder_ = name;
  }
  void TearDown() override { fs::remove_all(folder_); }

  std::size_t files_in_folder() const {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder_), {}));
  }

  fs::path folder_;
};

TEST_F(Files, ReadsBackWhatItWrote) {
  const std::string text("a\r\n\0b\n", 6);
  write_file(folder_ / "new.csv", text);
  EXPECT_EQ(read_file(folder_ / "new.csv"), text);
  write_file(folder_ / "new.csv", "shorter");
  EXPECT_EQ(read_file(folder_ / "new.csv"), "shorter");
  EXPECT_EQ(files_in_folder(), 1U);
}

TEST_F(Files, KeepsThePermissionsOfTheOldFile) {
  const fs::path path = folder_ / "lots.csv";
  write_file(path, "old");
  fs::permissions(path, fs::perms::owner_read | fs::perms::owner_write | fs::perms::group_read);
  write_file(path, "new");
  EXPECT_EQ(fs::status(path).permissions(),
            fs::perms::owner_read | fs::perms::owner_write | fs::perms::group_read);
}

TEST_F(Files, GivesANewFileThePermissionsOfAnyNewFile) {
  const mode_t before = ::umask(027);
  write_file(folder_ / "new.csv", "x");
  ::umask(before);
  EXPECT_EQ(fs::status(folder_ / "new.csv").permissions(), static_cast<fs::perms>(0640));
}

TEST_F(Files, WritesBehindALink) {
  write_file(folder_ / "real.csv", "old");
  fs::create_symlink(folder_ / "real.csv", folder_ / "link.csv");
  write_file(folder_ / "link.csv", "new");
  EXPECT_TRUE(fs::is_symlink(folder_ / "link.csv"));
  EXPECT_EQ(read_file(folder_ / "real.csv"), "new");
}

TEST_F(Files, LeavesNothingBehindWhenItCannotTakeThePlace) {
  const fs::path path = folder_ / "taken";
  fs::create_directories(path / "inside");  // a folder that is not empty cannot be replaced
  const Lines lines = complaints_of([&] { write_file(path, "x"); });
  EXPECT_EQ(lines, (Lines{path.string() + ": cannot be written, and is as it was before: Is a "
                                          "directory"}));
  EXPECT_EQ(files_in_folder(), 1U);
}

TEST_F(Files, SaysWhenTheFolderHasVanished) {
  const fs::path path = folder_ / "gone" / "lots.csv";
  EXPECT_EQ(complaints_of([&] { write_file(path, "x"); }),
            (Lines{path.string() + ": cannot be written, and is as it was before: No such file or "
                                   "directory"}));
}

TEST_F(Files, SaysWhyAFileCannotBeRead) {
  const fs::path path = folder_ / "none.csv";
  EXPECT_EQ(complaints_of([&] { read_file(path); }),
            (Lines{path.string() + ": there is no such file"}));
  EXPECT_EQ(complaints_of([&] { read_file(folder_); }),
            (Lines{folder_.string() + ": this is a folder; a file is wanted"}));
}

}  // namespace
}  // namespace ellwand::studio

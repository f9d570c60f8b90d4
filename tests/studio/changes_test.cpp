// Files of a studio changed together, by one program at a time.

#include "ellwand/studio/changes.hpp"

#include "ellwand/studio/calibration_file.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/write_turn.hpp"
#include "ellwand/units/error.hpp"
#include "told.hpp"

#include <gtest/gtest.h>

#include <unistd.h>

#include <atomic>
#include <chrono>
#include <iterator>
#include <thread>

namespace ellwand::studio {
namespace {

namespace fs = std::filesystem;

class Changes : public testing::Test {
 protected:
  void SetUp() override {
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    write_file(folder_ / "a.csv", "old a\n");
    write_file(folder_ / "b.csv", "old b\n");
  }
  void TearDown() override { fs::remove_all(folder_); }

  std::vector<Change> both() const {
    return {{folder_ / "a.csv", "old a\n", "new a\n"}, {folder_ / "b.csv", "old b\n", "new b\n"}};
  }
  std::string text_of(const std::string& name) const { return read_file(folder_ / name); }
  std::ptrdiff_t files() const {
    return std::distance(fs::directory_iterator(folder_), fs::directory_iterator());
  }

  /// What is left where a program was killed after b.csv was to be changed and before it was.
  void leave_half_done(const std::string& was_b) const {
    write_file(folder_ / "a.csv", "new a\n");
    write_file(folder_ / ".new-b.csv-abcdef", "new b\n");
    write_file(folder_ / ".changing",
               "[{\"file\": \"a.csv\", \"new\": \".new-a.csv-abcdef\", \"was\": \"" +
                   fingerprint_of_text("old a\n") +
                   "\"}, {\"file\": \"b.csv\", \"new\": \".new-b.csv-abcdef\", \"was\": \"" +
                   fingerprint_of_text(was_b) + "\"}]\n");
  }

  const fs::path folder_ =
      fs::canonical(fs::temp_directory_path()) / ("ellwand-changes-" + std::to_string(getpid()));
};

TEST_F(Changes, AreAllMadeAndNothingElseIsLeft) {
  write_changes(folder_, both());
  EXPECT_EQ(text_of("a.csv"), "new a\n");
  EXPECT_EQ(text_of("b.csv"), "new b\n");
  EXPECT_EQ(files(), 2);
}

TEST_F(Changes, AreRefusedWhereAnotherProgramWasFaster) {
  write_file(folder_ / "b.csv", "of another program\n");
  EXPECT_EQ(complaints_of([&] { write_changes(folder_, both()); }),
            (std::vector<std::string>{
                (folder_ / "b.csv").string() +
                ": another program changed this file meanwhile, and it is left as that wrote it; "
                "do it again"}));
  EXPECT_EQ(text_of("a.csv"), "old a\n");
  EXPECT_EQ(text_of("b.csv"), "of another program\n");
  EXPECT_EQ(files(), 2);
}

TEST_F(Changes, AreRefusedWhereAFileCameOrWent) {
  const Change comes{folder_ / "a.csv", std::nullopt, "new\n"};
  EXPECT_EQ(complaints_of([&] { write_changes(folder_, {comes}); }).size(), 1U);
  const Change went{folder_ / "c.csv", "old\n", "new\n"};
  EXPECT_EQ(complaints_of([&] { write_changes(folder_, {went}); }).size(), 1U);
  EXPECT_EQ(text_of("a.csv"), "old a\n");
  EXPECT_EQ(files(), 2);
}

TEST_F(Changes, CutOffInTheMiddleAreFinished) {
  leave_half_done("old b\n");
  EXPECT_TRUE(are_changes_left(folder_));
  { const WriteTurn finishes(folder_); }
  EXPECT_EQ(text_of("a.csv"), "new a\n");
  EXPECT_EQ(text_of("b.csv"), "new b\n");
  EXPECT_EQ(files(), 2);
}

TEST_F(Changes, CutOffLeaveAFileThatWasChangedSince) {
  leave_half_done("old b\n");
  write_file(folder_ / "b.csv", "changed by hand\n");
  { const WriteTurn finishes(folder_); }
  EXPECT_EQ(text_of("b.csv"), "changed by hand\n");
  EXPECT_EQ(files(), 2);
}

TEST_F(Changes, LeftByAKillAnHourAgoAreRemoved) {
  const fs::path old = folder_ / ".new-a.csv-abcdef";
  const fs::path young = folder_ / ".new-a.csv-ghijkl";
  write_file(old, "half");
  write_file(young, "half");
  fs::last_write_time(old, fs::file_time_type::clock::now() - std::chrono::minutes(61));
  write_file(folder_ / "a.csv", "new a\n");
  EXPECT_FALSE(fs::exists(old));
  EXPECT_TRUE(fs::exists(young));
}

TEST_F(Changes, GoOneProgramAfterTheOther) {
  std::atomic<bool> is_done = false;
  std::thread first;
  {
    const WriteTurn turn(folder_);
    first = std::thread([&] {
      const WriteTurn waits(folder_);
      EXPECT_TRUE(is_done);
    });
    std::this_thread::sleep_for(std::chrono::milliseconds(30));
    is_done = true;
  }
  first.join();
}

}  // namespace
}  // namespace ellwand::studio

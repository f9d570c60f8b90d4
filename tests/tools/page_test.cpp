// ellwand page as she calls it.

#include "program.hpp"

#include <gtest/gtest.h>

#include <cstdlib>

namespace ellwand::test {
namespace {

/// The program's data in a folder of the test's, so that a page is there or not.
class Page : public Program {
 protected:
  void SetUp() override {
    Program::SetUp();
    std::filesystem::create_directories(folder_ / "data");
    write_text(folder_ / "data/starting-values.csv", "name\n");
    setenv("ELLWAND_DATA", (folder_ / "data").c_str(), 1);
  }
  void TearDown() override {
    unsetenv("ELLWAND_DATA");
    Program::TearDown();
  }
  void install() const { write_text(folder_ / "data/page.html", "<!doctype html>\n"); }
};

TEST_F(Page, TellsWhereItIs) {
  install();
  const Ran ran = run("page");
  EXPECT_EQ(ran.status, 0);
  EXPECT_EQ(ran.out, (folder_ / "data/page.html").string() + "\n");
  EXPECT_EQ(ran.told, "");
}

TEST_F(Page, WritesACopy) {
  install();
  const Ran ran = run("page -o copy.html");
  EXPECT_EQ(ran.status, 0);
  EXPECT_EQ(ran.out, "");
  EXPECT_EQ(ran.told, "Wrote copy.html; open it in a browser.\n");
  EXPECT_EQ(text_of(folder_ / "copy.html"), "<!doctype html>\n");
}

TEST_F(Page, IsRefusedAStudioAndWhatDoesNotGoTogether) {
  install();
  const auto before = contents(folder_ / "demo");
  const Ran studio = run("page demo");
  EXPECT_EQ(studio.status, 2);
  EXPECT_EQ(
      studio.told,
      "ellwand: page takes no studio: its folder is opened on the page itself; as in: ellwand "
      "page\n");
  const Ran both = run("page --open -o copy.html");
  EXPECT_EQ(both.status, 2);
  EXPECT_EQ(both.told, "ellwand: --open and -o do not go together; give one of them\n");
  const Ran folder = run("page -o demo");
  EXPECT_EQ(folder.status, 3);
  EXPECT_EQ(folder.told, "demo: this is no plain file; name one to write the page to\n");
  EXPECT_EQ(contents(folder_ / "demo"), before);
}

}  // namespace
}  // namespace ellwand::test

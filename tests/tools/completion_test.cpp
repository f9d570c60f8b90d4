// ellwand completion, as shells and man read it.

#include "program.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <string>

namespace ellwand::test {
namespace {

class Completion : public Program {
 protected:
  /// What a line of bash prints.
  std::string bash(const std::string& script) const {
    write_text(folder_ / "script.sh", script);
    const std::string command =
        "cd '" + folder_.string() + "' && bash script.sh >out.txt 2>told.txt";
    EXPECT_EQ(std::system(command.c_str()), 0) << text_of(folder_ / "told.txt");
    return text_of(folder_ / "out.txt");
  }
  /// What bash offers for the last of these words.
  std::string offered(const std::string& words, int last) const {
    return bash("source completion.sh\nCOMP_WORDS=(" + words +
                ")\nCOMP_CWORD=" + std::to_string(last) + "\n_ellwand\necho \"${COMPREPLY[*]}\"\n");
  }
};

TEST_F(Completion, BashOffersVerbsAndTheirOptions) {
  const Ran ran = run("completion bash");
  ASSERT_EQ(ran.status, 0) << ran.told;
  write_text(folder_ / "completion.sh", ran.out);
  EXPECT_EQ(offered("ellwand how", 1), "howfar\n");
  EXPECT_EQ(offered("ellwand howfar demo --cha", 3), "--change\n");
  EXPECT_EQ(offered("ellwand calibrate demo --dry", 3), "--dry-run\n");
}

TEST_F(Completion, ManHasEveryVerbAndOption) {
  const Ran page = run("completion man");
  ASSERT_EQ(page.status, 0) << page.told;
  EXPECT_NE(page.out.find("\n.SS calibrate STUDIO [options]\n"), std::string::npos);
  EXPECT_NE(page.out.find("\n.B \\-\\-dry\\-run\n"), std::string::npos);
}

TEST_F(Completion, ZshScriptNamesEveryVerb) {
  const Ran script = run("completion zsh");
  ASSERT_EQ(script.status, 0) << script.told;
  EXPECT_EQ(script.out.rfind("#compdef ellwand\n", 0), 0U);
  EXPECT_NE(script.out.find("'--dry-run[tell what would be found, and keep nothing]'"),
            std::string::npos);
}

TEST_F(Completion, RefusesAnotherShell) {
  const Ran ran = run("completion fish");
  EXPECT_EQ(ran.status, 2);
  EXPECT_EQ(ran.told,
            "ellwand: completion takes bash, zsh or man, as in: ellwand completion bash\n");
}

}  // namespace
}  // namespace ellwand::test

// A notebook from a plain Python file, as nbformat 4.5 has it.

#include "ellwand/studio/notebook_json.hpp"

#include "ellwand/units/error.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace ellwand::studio {
namespace {

using nlohmann::json;

std::string refusal_of(const std::string& source) {
  try {
    notebook_json(source, "cells.py", {{"studio", "Loft"}});
  } catch (const BadInput& bad) {
    return bad.what();
  }
  return "not refused";
}

TEST(NotebookJson, HasTheCellsOfTheFile) {
  const json notebook = json::parse(notebook_json(
      "# above the first cell\n# %% [markdown] about\n# # {{studio}}\n#\n# two\n# %% sum-1\n"
      "a = {1: {2: 3}}\n\nprint(f\"{a}\")\n\n\n",
      "cells.py", {{"studio", "Tide \"& Loft"}}));
  EXPECT_EQ(notebook["cells"].size(), 2U);
  EXPECT_EQ(notebook["cells"][0],
            json::parse(R"json({"cell_type": "markdown", "id": "about", "metadata": {},
                            "source": ["# Tide \"& Loft\n", "\n", "two"]})json"));
  EXPECT_EQ(notebook["cells"][1],
            json::parse(R"json({"cell_type": "code", "id": "sum-1", "metadata": {},
                            "execution_count": null, "outputs": [],
                            "source": ["a = {1: {2: 3}}\n", "\n", "print(f\"{a}\")"]
})json"));
  EXPECT_EQ(notebook["metadata"]["kernelspec"]["name"], "python3");
}

TEST(NotebookJson, PutsWordsInOnceAndInMarkdownOnly) {
  const json notebook = json::parse(
      notebook_json("# %% [markdown] about\n# {{studio}} and {{studio}}\n# %% code\nx = '{{x}}'\n",
                    "cells.py", {{"studio", "{{studio}}"}}));
  EXPECT_EQ(notebook["cells"][0]["source"][0], "{{studio}} and {{studio}}");
  EXPECT_EQ(notebook["cells"][1]["source"][0], "x = '{{x}}'");
}

TEST(NotebookJson, RefusesWhatIsNoCell) {
  EXPECT_EQ(refusal_of("x = 1\n"),
            "cells.py:1: there is no cell in it; one begins with a line '# %% its-id'");
  EXPECT_EQ(refusal_of("# %% two words\n"),
            "cells.py:1: 'two words' is no id of a cell; letters, digits, - and _ are accepted, up "
            "to 64");
  EXPECT_EQ(refusal_of("# %% a\n1\n# %% a\n"), "cells.py:3: another cell has the id 'a' already");
  EXPECT_EQ(refusal_of("# %% [markdown] a\ntext\n"),
            "cells.py:2: a line of markdown begins with '# '");
  EXPECT_EQ(refusal_of("# %% [markdown] a\n# {{loom}}\n"),
            "cells.py:2: 'loom' in double braces is not known");
  EXPECT_EQ(refusal_of("# %% [markdown] a\n# {{studio\n"),
            "cells.py:2: 'studio' in double braces is not closed");
}

}  // namespace
}  // namespace ellwand::studio

#pragma once
/// A notebook as programs for notebooks read it (nbformat 4.5), from a plain Python file.

#include "ellwand/studio/export_table.hpp"

#include <map>
#include <string>
#include <vector>

namespace ellwand::studio {

/// @param source  Python in cells, each under a line "# %% id" or "# %% [markdown] id"; the lines
///                of markdown begin with "# ". What stands above the first cell is left out. Words
///                in double braces in markdown, {{studio}}, are put in from `words`.
/// @throws BadInput naming file and line for a cell without an id of letters, digits, - and _, an
///         id used twice, a line of markdown that is no comment, a word in braces that is not
///         among `words`, no cell at all
std::string notebook_json(const std::string& source, const std::string& file,
                          const std::map<std::string, std::string>& words);

/// What was written, for other programs: one JSON object with a schema number.
std::string notebook_written_json(const std::string& folder, const std::string& notebook,
                                  const std::vector<ExportTable>& tables);

}  // namespace ellwand::studio

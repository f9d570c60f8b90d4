#pragma once
/// Where a result goes: to stdout, or into a file that is none of the studio's own.

#include "command_line.hpp"
#include "workbench.hpp"

#include <string>
#include <vector>

namespace ellwand::tools {

/// Prints it, or writes it whole into the file of -o, as `given` says.
///
/// @param sources  the pieces it was made from: neither they nor any file of their studios is
///                 written over
/// @throws BadInput where that file is one of them, is no plain file, or cannot be written
void put_result(const std::string& text, const Given& given, const std::vector<PieceFile>& sources,
                const Streams& streams);

/// The option that says so, for the verbs' lists.
Option output_option();

}  // namespace ellwand::tools

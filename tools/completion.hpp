#pragma once
/// What the verbs say of themselves, for a shell and for man.

#include "command_line.hpp"

#include <string>
#include <vector>

namespace ellwand::tools {

/// A bash script that completes verbs, their options, and files.
std::string bash_completion(const std::vector<Verb>& verbs);

/// The same for zsh, with what each does beside it.
std::string zsh_completion(const std::vector<Verb>& verbs);

/// The manual page ellwand(1), in man's macros.
std::string manual_page(const std::vector<Verb>& verbs, const std::string& version);

}  // namespace ellwand::tools

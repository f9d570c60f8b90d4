#pragma once
/// The verbs, one file each.

#include "command_line.hpp"

#include <functional>
#include <vector>

namespace ellwand::tools {

Verb start_verb();
Verb estimate_verb();
Verb sheet_verb();
Verb record_verb();
Verb calibrate_verb();
Verb weave_next_verb();
Verb notebook_verb();
Verb kit_verb();
Verb price_verb();
Verb enough_verb();
Verb howfar_verb();
Verb swap_verb();
Verb bring_in_verb();
Verb page_verb();
Verb completion_verb();
Verb buy_verb();

/// In the order the list shows them.
std::vector<Verb> all_verbs();

/// Runs `work` and tells its refusals as sentences on streams.talk.
///
/// @returns the exit status
int told_of_refusals(const std::function<int(const Streams&)>& work, const Streams& streams);

}  // namespace ellwand::tools

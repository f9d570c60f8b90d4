#!/usr/bin/env bash
# Doxygen finds nothing wrong in the headers' comments; and it would: a wrong comment is refused.
#   api_docs_test.sh SOURCE SCRATCH
set -euo pipefail
source_dir=$1 scratch=$2
command -v doxygen >/dev/null || { echo "skipped: doxygen is not installed"; exit 77; }
rm -rf "$scratch"
mkdir -p "$scratch"
cd "$source_dir"

# document INPUT OUTPUT: by our Doxyfile, said on stdout.
document() { (cat lib/Doxyfile && echo "INPUT = $1" && echo "OUTPUT_DIRECTORY = $2") | doxygen - 2>&1; }

inputs=$(sed -n 's/^INPUT  *= //p' lib/Doxyfile)
document "$inputs" "$scratch/ours" || exit 1
for page in index.html namespaceellwand_1_1estimate.html crossing_8hpp.html; do
  [ -f "$scratch/ours/api/$page" ] || { echo "no $page was made"; exit 1; }
done

# expect RESULT WHAT COMMENT: one function with such a comment is taken or refused.
expect() {
  local result=taken
  mkdir -p "$scratch/small"
  printf '#pragma once\n/// A file.\n\n%s\nint picks(int ends);\n' "$3" >"$scratch/small/small.hpp"
  document "$scratch/small" "$scratch/small" >"$scratch/said" || result=refused
  [ $result = "$1" ] || { echo "$2 should be $1:" && cat "$scratch/said" && exit 1; }
}
expect taken "a right comment" '/// Picks.
/// @param ends  how many'
expect refused "a parameter that is not there" '/// Picks.
/// @param rows  how many'
expect refused "a reference that leads nowhere" '/// As @ref no_such_thing has it.'
expect refused "a command that does not exist" '/// @retruns the picks'

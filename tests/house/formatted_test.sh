#!/usr/bin/env bash
# Every source is as clang-format has it. SOURCE; ends with 77, skipped, where that is not installed.
set -euo pipefail
cd "${1:-$(dirname "${BASH_SOURCE[0]}")/../..}"
command -v clang-format >/dev/null || exit 77

# Our sources, as git knows them; without git, by folder.
our_sources() {
  git ls-files -z -- 'lib/*.[ch]pp' 'tools/*.[ch]pp' 'tests/*.[ch]pp' 2>/dev/null ||
    find lib tools tests -name '*.[ch]pp' -print0
}

our_sources | xargs -0 -r clang-format --dry-run --Werror

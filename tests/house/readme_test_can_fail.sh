#!/usr/bin/env bash
# The README's test can fail: small READMEs, right and wrong.
#   readme_test_can_fail.sh readme_test.sh SCRATCH
set -euo pipefail
test=$1 scratch=$2
rm -rf "$scratch"
mkdir -p "$scratch/source" "$scratch/build"
printf '#!/bin/sh\necho "41 g"\n' >"$scratch/build/ellwand"
chmod +x "$scratch/build/ellwand"
fence='```'

# expect RESULT NAME README: the test of such a README must pass or fail.
expect() {
  printf '%s\n' "$3" >"$scratch/source/README.md"
  local result=pass
  # The ceiling keeps git from finding a repository round the scratch folder.
  GIT_CEILING_DIRECTORIES=$scratch "$test" "$scratch/source" "$scratch/build" "$scratch/work" \
    >"$scratch/said" 2>&1 || result=fail
  if [ "$result" != "$1" ]; then
    echo "a README with $2 should $1:"
    cat "$scratch/said"
    exit 1
  fi
}

expect pass "right output" "${fence}console
\$ ellwand
41 g
\$ echo a \\
  b; echo c
a b
c
$fence"
expect pass "a silent command" "${fence}console
\$ true
$fence"
expect fail "a wrong figure" "${fence}console
\$ ellwand
42 g
$fence"
expect fail "output that is not printed" "${fence}console
\$ ellwand
41 g

$fence"
expect fail "output that is not shown" "${fence}console
\$ ellwand
$fence"
expect fail "a fault in the second block only" "${fence}console
\$ ellwand
41 g
$fence
text
${fence}console
\$ ellwand
14 g
$fence"
expect fail "no console block" "${fence}sh
\$ ellwand
41 g
$fence"
expect fail "an empty console block" "${fence}console
$fence"
expect fail "the whole suite in it" "${fence}console
\$ tools/test
$fence"
printf 'int main() {}\n' >"$scratch/source/empty.cpp"
run="${fence}console
\$ true
$fence"
expect pass "code as its file has it" "[this](other.cpp) and [that](empty.cpp):
${fence}cpp
int main() {}
$fence
$run"
expect fail "code that its file has not" "[this](empty.cpp):
${fence}cpp
int main() { }
$fence
$run"
expect fail "code of no file" "${fence}python
print()
$fence
$run"
rm -rf "$scratch"

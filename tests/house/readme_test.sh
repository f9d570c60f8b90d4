#!/usr/bin/env bash
# Runs what README.md shows: in a clean copy of the repository, every `$ command` of every
# ```console block must print exactly what the block shows below it.
#   readme_test.sh SOURCE BUILD SCRATCH
# BUILD is the present build, known in the copy as build/ and first on the PATH. A command that
# ends in a backslash goes on in the next line. What the program says on stderr counts as printed.
# A ```cpp or ```python block shows a whole file, the one that was linked to last before it.
set -euo pipefail
source_dir=$1 build_dir=$2 copy=$3/copy
commands=0 blocks=0 faults=0

# The files that git knows or would know; without git, all but the build.
make_copy() {
  rm -rf "$copy"
  mkdir -p "$copy"
  cd "$source_dir"
  if git rev-parse --is-inside-work-tree >/dev/null 2>&1; then
    git ls-files --cached --others --exclude-standard -z |
      while IFS= read -r -d '' file; do [ ! -e "$file" ] || printf '%s\0' "$file"; done |
      tar --null --files-from=- -cf - | tar -C "$copy" -xf -
  else
    tar --exclude=./build --exclude=./.git -cf - . | tar -C "$copy" -xf -
  fi
  ln -s "$build_dir" "$copy/build"
}

# Runs one command in the copy and holds what it prints against what was shown.
check() {
  local command=$1 shown=$2 printed
  commands=$((commands + 1))
  case $command in
    *tools/test* | *.ci/run*)
      echo "README.md runs '$command' in a console block; it would run this test within itself"
      faults=$((faults + 1))
      return
      ;;
  esac
  # The x keeps the last newlines, which $(...) would drop.
  printed=$(cd "$copy" && PATH=$copy/build:$PATH ELLWAND_BUILD_DIR=$copy/build NO_COLOR=1 \
    bash -c "$command" 2>&1 </dev/null || true; echo x)
  printed=${printed%x}
  if [ "$printed" != "$shown" ]; then
    faults=$((faults + 1))
    echo "README.md shows (-) and the command prints (+): $command"
    diff -u --label shown --label printed <(printf %s "$shown") <(printf %s "$printed") | tail -n +3
  fi
}

# Holds a block of code against the file it shows.
check_code() {
  local file=$1 shown=$2
  blocks=$((blocks + 1))
  if [ ! -f "$copy/$file" ]; then
    faults=$((faults + 1))
    echo "README.md shows code, and what is linked to before it is no file: '$file'"
  elif ! diff -u --label shown --label "$file" <(printf %s "$shown") "$copy/$file"; then
    faults=$((faults + 1))
    echo "README.md shows $file otherwise than it is"
  fi
}

is_code() { [ "$1" = cpp ] || [ "$1" = python ]; }

# Line by line: `fence` is empty outside of blocks, else the language of the block.
check_readme() {
  local line fence="" in_block=no command="" shown="" goes_on=no linked="" code=""
  finish() {
    if [ -n "$command" ]; then check "$command" "$shown"; fi
    command="" shown=""
  }
  while IFS= read -r line || [ -n "$line" ]; do
    if [[ $line == '```'* ]]; then
      finish
      if [ $in_block = yes ] && is_code "$fence"; then check_code "$linked" "$code"; fi
      if [ $in_block = yes ]; then in_block=no; else in_block=yes fence=${line#'```'} code=""; fi
    elif [ $in_block = yes ] && is_code "$fence"; then
      code+=$line$'\n'
      continue
    elif [ $in_block = no ] && [[ $line =~ .*\]\(([^\)]+)\) ]]; then
      linked=${BASH_REMATCH[1]}
      continue
    elif [ $in_block = no ] || [ "$fence" != console ]; then
      continue
    elif [ $goes_on = yes ]; then
      command+=$'\n'$line
    elif [[ $line == '$ '* ]]; then
      finish
      command=${line#'$ '}
    elif [ -n "$command" ]; then
      shown+=$line$'\n'
      continue
    else
      echo "README.md has a console block that begins without a command: $line"
      faults=$((faults + 1))
      continue
    fi
    if [[ $command == *\\ ]]; then goes_on=yes; else goes_on=no; fi
  done <"$copy/README.md"
  finish
}

make_copy
[ -f "$copy/README.md" ] || { echo "there is no README.md"; exit 1; }
check_readme
if [ $commands = 0 ]; then
  echo "README.md has no console block with a command in it"
  exit 1
fi
echo "$commands commands of README.md run, $blocks blocks of code compared, $faults are not as shown"
[ $faults = 0 ]

# What tools/try, tools/test, tools/page/build and .ci/run share. Sourced with bash, not run.
# Everything here talks on stderr.

top=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
demo_piece=data/demo/pieces/saltmarsh.toml

# Debian packages to build the program, and besides those, to test it.
build_packages="g++ cmake ninja-build libboost-math-dev libboost-program-options-dev
  libeigen3-dev libfmt-dev libtomlplusplus-dev nlohmann-json3-dev"
# R is run beside the fit by a test (Relinearise.OrangeTreesAsNlmeDoes).
# The analyst's notebook is run by two (notebook.execute, notebook.tampered).
# The package is packed for Debian and looked at (house.Package*), and its reference made (house.ApiDocsAreSound).
test_packages="ccache git libgmock-dev libgtest-dev librapidcheck-dev r-base-core r-cran-nlme
  python3-ipykernel python3-matplotlib python3-nbclient python3-nbformat python3-pandas
  doxygen dpkg-dev lintian man-db pkg-config python3"

# How what is released is compiled: sources ten at a time, in half the time of one by one. What is tested, packaged and
# measured is compiled alike, so that with ccache each finds the others' objects.
together="-DCMAKE_UNITY_BUILD=ON -DCMAKE_UNITY_BUILD_BATCH_SIZE=10"
released="-DCMAKE_BUILD_TYPE=Release $together"
strict="-DELLWAND_WARNINGS=ON"

# Objects of one checkout serve another: ccache looks at paths within the tree only.
export CCACHE_BASEDIR=${CCACHE_BASEDIR:-$top} CCACHE_NOHASHDIR=1

say() { echo "$*" >&2; }
give_up() {
  say "$*"
  exit 1
}

as_root() {
  if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi
}

# Those of the named Debian packages that are not installed, on one line.
missing_packages() {
  local package missing=""
  for package in "$@"; do
    case $(dpkg-query -W -f='${Status}' "$package" 2>/dev/null) in
      *" installed") ;;
      *) missing="$missing $package" ;;
    esac
  done
  echo "${missing# }"
}

# Asks whether to install; root and CI are not asked.
may_install() {
  local answer
  if [ "$(id -u)" = 0 ] || [ "${CI:-}" = true ]; then return 0; fi
  [ -t 0 ] || give_up "Needed and not installed: $1. Install with: sudo apt-get install $1"
  read -r -p "Install with apt-get: $1? [Y/n] " answer >&2
  case $answer in "" | [Yy]*) return 0 ;; *) give_up "Nothing was installed." ;; esac
}

# Installs what is missing of the named packages; the log keeps what apt-get says.
need_packages() {
  local log=$1 missing
  shift
  if ! command -v dpkg-query >/dev/null; then
    say "No dpkg here; going on as if these were installed: $*"
    return 0
  fi
  missing=$(missing_packages "$@")
  [ -n "$missing" ] || return 0
  may_install "$missing"
  say "Installing $missing"
  # shellcheck disable=SC2086
  {
    as_root apt-get update -q || true # the lists of last time may do
    as_root env DEBIAN_FRONTEND=noninteractive \
      apt-get install -q -y --no-install-recommends $missing
  } >>"$log" 2>&1 </dev/null || failed_with "$log" "apt-get"
}

# Tells the end of a log and stops.
failed_with() {
  tail -n 40 "$1" >&2
  give_up "$2 failed; the whole log is $1"
}

# logged LOG WHAT COMMAND...: says WHAT, runs the command into the log, stops if it fails.
logged() {
  local log=$1 what=$2
  shift 2
  say "$what"
  "$@" >>"$log" 2>&1 </dev/null || failed_with "$log" "$what"
}

# An empty log in a folder that may have to be made.
new_log() {
  mkdir -p "$(dirname "$1")" && : >"$1" && echo "$1"
}

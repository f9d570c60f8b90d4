#!/usr/bin/env bash
# The Debian packages of a build: lintian has nothing against them; taken apart, their program does as the installed one.
# In CI, as root, they are installed on the machine too, used, and removed without a trace.
#   debian_packages_test.sh BUILD INSTALLED SCRATCH SOURCE COMPILER
set -euo pipefail
build=$1 installed=$2 scratch=$3 source_dir=$4 compiler=$5
packages=(ellwand libellwand-dev)

for tool in dpkg-deb dpkg-shlibdeps lintian; do
  command -v $tool >/dev/null || { echo "skipped: $tool is not installed"; exit 77; }
done
rm -rf "$scratch"
mkdir -p "$scratch/empty"

wrong() {
  echo "$*"
  exit 1
}

# works ROOT: the demo is estimated from an empty folder; manual page and completions are where they are looked for.
works() {
  local program=$1/usr/bin/ellwand share=$1/usr/share printed faults
  cd "$scratch/empty"
  printed=$("$program" estimate "$share/ellwand/demo/pieces/saltmarsh.toml")
  [ "$printed" = "$("$installed/bin/ellwand" estimate "$installed/share/ellwand/demo/pieces/saltmarsh.toml")" ] ||
    wrong "the packaged program estimates otherwise: $printed"
  [ -z "$(ls -A .)" ] || wrong "estimating left something behind: $(ls -A .)"
  faults=$(LC_ALL=C.UTF-8 MANROFFSEQ='' MANWIDTH=80 man --warnings -E UTF-8 -l -Tutf8 -Z "$share/man/man1/ellwand.1.gz" 2>&1 >/dev/null)
  [ -z "$faults" ] || wrong "the manual page: $faults"
  head -n 1 "$share/zsh/vendor-completions/_ellwand" | grep -qx '#compdef ellwand' || wrong "no completion for zsh"
  bash -c '. "$1"; COMP_WORDS=(ellwand esti) COMP_CWORD=1; _ellwand; [ "${COMPREPLY[*]}" = estimate ]' \
    - "$share/bash-completion/completions/ellwand" || wrong "bash does not complete esti"
  cd "$scratch"
}

make_packages() {
  ELLWAND_BUILD_DIR=$build "$source_dir/tools/debian/build" >"$scratch/made" 2>"$scratch/log" || wrong "$(cat "$scratch/log")"
  [ "$(wc -l <"$scratch/made")" = 2 ] || wrong "not two packages: $(cat "$scratch/made")"
  xargs mv -t "$scratch" <"$scratch/made"
  lintian --allow-root --fail-on error,warning "$scratch"/*.deb || wrong "lintian refuses them"
}

# Every file and folder of every package, each once, sorted; folders end in a slash.
packaged() {
  local deb
  for deb in "$scratch"/*.deb; do dpkg-deb --fsys-tarfile "$deb" | tar -tf - | sed -n 's|^[.]\(/.*\)$|\1|p'; done | sort -u
}

# What is installed by hand is in a package too, each thing in Debian's place.
require_everything() {
  diff <(cd "$installed" && find . -type f | sed 's|^[.]|/usr|; s|/ellwand[.]1$|&.gz|; s|/zsh/site-functions/|/zsh/vendor-completions/|' | sort) \
    <(packaged | grep -v '/$\|^/usr/share/doc/') || wrong "installed (<) and packaged (>) differ"
}

# What of the packages is on this machine: paths, and what dpkg knows of them.
on_this_machine() {
  local path
  packaged | while read -r path; do [ ! -e "$path" ] || echo "$path"; done
  dpkg-query -W -f='${Package}: ${Status}\n' "${packages[@]}" 2>/dev/null | grep -v ' not-installed$' || true
}

# by_dpkg OPTION...: waits while somebody else uses dpkg.
by_dpkg() {
  local tries
  for tries in $(seq 60); do
    dpkg "$@" >"$scratch/dpkg.log" 2>&1 && return 0
    grep -q lock "$scratch/dpkg.log" || break
    sleep 2
  done
  wrong "dpkg $1, tried $tries times: $(cat "$scratch/dpkg.log")"
}

install_and_remove() {
  local before
  # What a run that was cut off has left.
  by_dpkg --purge "${packages[@]}"
  before=$(on_this_machine)
  ! grep '[^/]$' <<<"$before" || wrong "these files would be written over, so nothing is tried on this machine"
  trap 'dpkg --purge "${packages[@]}" >>"$scratch/dpkg.log" 2>&1' EXIT
  # Manual pages too, where a machine leaves them out of what it installs.
  by_dpkg --path-include='/usr/*' --install "$scratch"/*.deb
  works ""
  [ "$(command -v ellwand)" = /usr/bin/ellwand ] || wrong "ellwand is not found"
  man --where ellwand | grep -qx /usr/share/man/man1/ellwand.1.gz || wrong "man does not find its page"
  # shellcheck disable=SC2046
  "$compiler" "$source_dir/tests/package/how_much.cpp" $(pkg-config --cflags --libs ellwand) -o "$scratch/how_much"
  "$scratch/how_much" /usr/share/ellwand /usr/share/ellwand/demo/pieces/saltmarsh.toml | grep -q '^silk-straw ' ||
    wrong "the packaged library does not estimate"
  by_dpkg --remove "${packages[@]}"
  trap - EXIT
  diff <(echo "$before") <(on_this_machine) || wrong "removed, and still there (>)"
}

make_packages
require_everything
for deb in "$scratch"/*.deb; do dpkg-deb -x "$deb" "$scratch/root"; done
works "$scratch/root"
if [ "$(id -u)" = 0 ] && [ "${CI:-}" = true ]; then
  install_and_remove
else
  echo "not installed on this machine: that is for root in CI (CI=true)"
fi

#!/usr/bin/env bash
# The installed package serves a stranger's program, who knows nothing but its name: built as CMake or as pkg-config tells,
# it says of a piece what the installed `ellwand estimate --json` says.
#   package_serves.sh cmake|pkg-config SOURCE INSTALLED SCRATCH COMPILER
set -euo pipefail
by=$1 source_dir=$2 installed=$3 scratch=$4 compiler=$5
rm -rf "$scratch"
mkdir -p "$scratch"
cp -r "$source_dir/tests/package" "$scratch/stranger"
cd "$scratch/stranger"

wrong() {
  echo "$*"
  exit 1
}

build_by_cmake() {
  # The package alone must do: the stranger has none of the libraries that ours is made with.
  local library without=()
  for library in Boost Eigen3 fmt tomlplusplus nlohmann_json; do
    without+=("-DCMAKE_DISABLE_FIND_PACKAGE_$library=ON")
  done
  cmake -S . -B . -G Ninja -DCMAKE_CXX_COMPILER="$compiler" -DCMAKE_PREFIX_PATH="$installed" "${without[@]}"
  grep -qF "ellwand_DIR:PATH=$installed/" CMakeCache.txt || wrong "CMake found another ellwand than the installed one"
  cmake --build .
  cmake --build . --target demo | grep -q '^silk-straw .* g (' || wrong "ellwand_DATA_DIR does not lead to the data"
}

build_by_pkg_config() {
  PKG_CONFIG_PATH=$(dirname "$(find "$installed" -name ellwand.pc)")
  export PKG_CONFIG_PATH
  # shellcheck disable=SC2046
  "$compiler" how_much.cpp $(pkg-config --cflags --libs ellwand) -o how_much
  [ "$(readlink -f "$(pkg-config --variable=pkgdatadir ellwand)")" = "$installed/share/ellwand" ] ||
    wrong "pkgdatadir does not lead to the data"
  [ -z "$(pkg-config --print-requires --print-requires-private ellwand)" ] || wrong "the package requires others"
}

case $by in
  cmake) build_by_cmake ;;
  pkg-config)
    command -v pkg-config >/dev/null || { echo "skipped: pkg-config is not installed"; exit 77; }
    build_by_pkg_config
    ;;
esac
exec /usr/bin/python3 "$source_dir/tests/house/how_much_test.py" \
  "$PWD/how_much" "$installed/share/ellwand" "$installed/bin/ellwand" "$scratch/studio"

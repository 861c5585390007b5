#!/bin/sh
# Installs, builds and passes every test:
#   gcc, warnings as errors    unit, golden, cli, system, checks, fuzz corpus
#   clang, warnings as errors  compiles
#   address + undefined        unit, cli and system tests but those labelled slow
#   thread                     the tests that use threads
#   valgrind                   the unit tests
# tests/run.sh quick runs the first line only.
set -eu
here=$(cd "$(dirname "$0")/.." && pwd)
. "$here/tests/lib_setup.sh"

need_packages $BUILD_PACKAGES $TEST_PACKAGES
cores=$(getconf _NPROCESSORS_ONLN 2>/dev/null || echo 1)

step() {
    echo
    echo "== $*"
}

step "gcc: build and all tests"
build_haunch "$here" "$here/build" RelWithDebInfo -DHN_WERROR=ON -DHN_TESTS=ON
ctest --test-dir "$here/build" -j "$cores" --output-on-failure
[ "${1:-}" != quick ] || exit 0

step "clang: build, warnings are errors"
CC=clang build_haunch "$here" "$here/build-clang" RelWithDebInfo -DHN_WERROR=ON -DHN_TESTS=ON

step "address and undefined-behaviour sanitizers"
build_haunch "$here" "$here/build-asan" Asan -DHN_TESTS=ON -DHN_BENCH=OFF
ctest --test-dir "$here/build-asan" -j "$cores" -LE 'checks|slow' --output-on-failure

step "thread sanitizer"
build_haunch "$here" "$here/build-tsan" Tsan -DHN_TESTS=ON -DHN_BENCH=OFF
# libgdal takes its own locks in changing order, which is not ours to mend
export TSAN_OPTIONS="halt_on_error=1 detect_deadlocks=0"
ctest --test-dir "$here/build-tsan" -j "$cores" -L threads --no-tests=error --output-on-failure
scratch=$(mktemp -d)
cp -r "$here/sample-gis" "$here/config" "$scratch"
"$here/build-tsan/haunch" run "$scratch/sample-gis/plan.yaml" --threads 4 --quiet
rm -rf "$scratch"
unset TSAN_OPTIONS

step "valgrind on the unit tests"
sh "$here/tests/valgrind.sh" "$here/build"

# the runner's own count stands above; this line is for people
echo
echo "all steps passed"

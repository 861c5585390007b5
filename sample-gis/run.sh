#!/bin/sh
# Installs what haunch needs, builds it into build/, runs the sample network
# into out/sample/. For Debian 12; on another system it says what is missing.
set -eu
here=$(cd "$(dirname "$0")/.." && pwd)
. "$here/tests/lib_setup.sh"

# The tests need more packages than these. A build folder that was made with
# them (tests/run.sh) keeps them; tests/run.sh adds them to one without.
tests=-DHN_TESTS=OFF
if grep -qs '^HN_TESTS:BOOL=ON' "$here/build/CMakeCache.txt" &&
    [ -f "$here/build/tests/CTestTestfile.cmake" ]; then
    tests=-DHN_TESTS=ON
fi
need_packages $BUILD_PACKAGES
build_haunch "$here" "$here/build" RelWithDebInfo "$tests"
echo
echo "Running sample-gis/plan.yaml ..."
"$here/build/haunch" run "$here/sample-gis/plan.yaml"
echo
echo "Look at:"
echo "  out/sample/result.gpkg    layers and tables, for any GIS"
echo "  out/sample/tables.xlsx    the tables as a workbook"
echo "  out/sample/tables/        the tables as CSV"

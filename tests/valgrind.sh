#!/bin/sh
# Runs the unit tests of a build under valgrind's memcheck; any error or
# definite leak fails. usage: valgrind.sh BUILD_DIR
set -eu
build=$1
failed=0
for test in "$build"/tests/test_*; do
    [ -x "$test" ] || continue
    case ${test##*/} in
    # forks and kills itself on purpose, or measures 60,000 rows: minutes here
    test_result_folder | test_gpkg_file | test_xlsx_file) continue ;;
    esac
    if ! valgrind --quiet --error-exitcode=9 --leak-check=full --errors-for-leak-kinds=definite \
        --trace-children=no "$test" >"$build/valgrind.log" 2>&1; then
        echo "valgrind: ${test##*/}"
        tail -40 "$build/valgrind.log"
        failed=$((failed + 1))
    fi
done
echo "valgrind: $failed failed"
[ "$failed" = 0 ]

#!/bin/sh
# Runs the unit tests of a build under valgrind's memcheck, one for each core; any
# error or definite leak fails. usage: valgrind.sh BUILD_DIR [TEST]
set -eu
build=$1

if [ $# -eq 2 ]; then
    log=$build/valgrind.${2##*/}.log
    if valgrind --quiet --error-exitcode=9 --leak-check=full --errors-for-leak-kinds=definite \
        --trace-children=no "$2" >"$log" 2>&1; then
        rm -f "$log"
        exit 0
    fi
    echo "valgrind: ${2##*/}"
    tail -40 "$log"
    exit 1
fi

status=0
for test in "$build"/tests/test_*; do
    [ -x "$test" ] || continue
    case ${test##*/} in
    # fork and kill themselves on purpose, measure 60,000 rows, or fit thousands of
    # pipes: minutes here; the address sanitizer runs them
    test_result_folder | test_gpkg_file | test_xlsx_file | test_fit) continue ;;
    esac
    printf '%s\n' "$test"
done | xargs -n 1 -P "$(getconf _NPROCESSORS_ONLN 2>/dev/null || echo 1)" sh "$0" "$build" || status=$?
[ "$status" = 0 ] && echo "valgrind: 0 failed" || echo "valgrind: failed"
[ "$status" = 0 ]

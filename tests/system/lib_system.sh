# Shared by the cli and system tests: each is called as `sh TEST BUILD_DIR
# SOURCE_DIR`, says what failed with the expected and the found value, counts its
# checks and ends with 1 when one failed. Sourced, POSIX sh.
set -u
[ $# -eq 2 ] || {
    echo "usage: sh $0 BUILD_DIR SOURCE_DIR" >&2
    exit 2
}
build=$(cd "$1" && pwd) || exit 2
source=$(cd "$2" && pwd) || exit 2
haunch=$build/haunch
[ -x "$haunch" ] || {
    echo "no program at $haunch" >&2
    exit 2
}
scratch=$(mktemp -d "${TMPDIR:-/tmp}/haunch-test.XXXXXX") || exit 2
out=$scratch/stdout err=$scratch/stderr
passed=0 failed=0
clean_up() {
    rm -rf "$scratch"
}
trap clean_up EXIT
trap 'exit 1' HUP INT PIPE TERM

# Variables of these functions begin with lib_: POSIX sh has no local ones.

# The build may lie anywhere, so the shipped tables are named.
export HAUNCH_CONFIG="$source/config"
# A sanitizer's finding must not look like an exit code of the program.
export ASAN_OPTIONS="${ASAN_OPTIONS:+$ASAN_OPTIONS:}exitcode=99"
export UBSAN_OPTIONS="${UBSAN_OPTIONS:+$UBSAN_OPTIONS:}exitcode=99:print_stacktrace=1"

need_tools() {
    for tool in "$@"; do
        command -v "$tool" >/dev/null 2>&1 || {
            echo "$0: needs $tool" >&2
            exit 2
        }
    done
}

pass() {
    passed=$((passed + 1))
}

fail() { # LABEL [EXPECTED FOUND]
    failed=$((failed + 1))
    echo "FAILED $1"
    [ $# -lt 3 ] || {
        echo "  expected: $2"
        echo "  found:    $3"
    }
}

skip() {
    echo "skipped: $1"
}

check() { # LABEL EXPECTED FOUND
    if [ "$2" = "$3" ]; then pass; else fail "$1" "$2" "$3"; fi
}

check_not() { # LABEL UNWANTED FOUND
    if [ "$2" != "$3" ]; then pass; else fail "$1" "anything but: $2" "$3"; fi
}

# The first lines of a file, for a message.
excerpt() {
    if [ -s "$1" ]; then head -n 6 "$1" | cut -c1-300; else echo "(nothing)"; fi
}

check_has() { # LABEL TEXT FILE
    if grep -qF -- "$2" "$3" 2>/dev/null; then
        pass
    else
        fail "$1" "a text with: $2" "$(excerpt "$3")"
    fi
}

check_lacks() { # LABEL TEXT FILE
    if grep -qF -- "$2" "$3" 2>/dev/null; then
        fail "$1" "no text with: $2" "$(grep -F -m 3 -- "$2" "$3" | cut -c1-300)"
    else
        pass
    fi
}

check_empty() { # LABEL FILE
    if [ -s "$2" ]; then fail "$1" "(nothing)" "$(excerpt "$2")"; else pass; fi
}

# expect_exit CODE LABEL COMMAND ...: standard output and error stay in $out, $err.
expect_exit() {
    lib_wanted=$1 lib_label=$2
    shift 2
    code=0
    "$@" >"$out" 2>"$err" </dev/null || code=$?
    if [ "$code" -eq "$lib_wanted" ]; then
        pass
    else
        fail "$lib_label: exit code" "$lib_wanted" "$code, $(excerpt "$err")"
    fi
}

# A statement on a GeoPackage or another SQLite file, which is not changed.
sql() { # FILE STATEMENT
    sqlite3 -batch -readonly -separator '|' "$1" "$2"
}

# check_sql LABEL FILE EXPECTED STATEMENT
check_sql() {
    check "$1" "$3" "$(sql "$2" "$4" 2>&1)"
}

# check_rows LABEL FILE STATEMENT: fails when the statement finds a row, and shows
# the first ones.
check_rows() {
    lib_rows=$(sql "$2" "$3" 2>&1)
    if [ -z "$lib_rows" ]; then
        pass
    else
        fail "$1" "no row" "$(echo "$lib_rows" | wc -l) rows, the first: $(echo "$lib_rows" | head -n 3 | tr '\n' ';')"
    fi
}

columns_of() { # FILE TABLE
    sql "$1" "SELECT name FROM pragma_table_info('$2')"
}

# How many rows of a table are in one file only; a quick look before the slow one.
differing_rows() { # A B TABLE COLUMN ...
    lib_attached="ATTACH '$2' AS other" lib_from=$3
    lib_file=$1
    shift 3
    lib_list=$(printf '"%s",' "$@")
    lib_list=${lib_list%,}
    sqlite3 -batch -readonly "$lib_file" "$lib_attached; SELECT (SELECT count(*) FROM (SELECT $lib_list FROM main.\"$lib_from\"
        EXCEPT SELECT $lib_list FROM other.\"$lib_from\")) + (SELECT count(*) FROM (SELECT $lib_list FROM other.\"$lib_from\"
        EXCEPT SELECT $lib_list FROM main.\"$lib_from\"))" 2>&1
}

# same_table LABEL A B TABLE KEY [COLUMN ...]: every field of two tables, row by
# row of the same key; all columns unless some are named. Numbers may differ by
# $tolerance of their size, which is 0 unless set.
tolerance=0
same_table() {
    lib_name=$1 lib_a=$2 lib_b=$3 lib_table=$4 lib_key=$5
    shift 5
    if [ $# -eq 0 ]; then
        check "$lib_name: columns of $lib_table" "$(columns_of "$lib_a" "$lib_table" | tr '\n' ' ')" \
            "$(columns_of "$lib_b" "$lib_table" | tr '\n' ' ')"
        set -- $(columns_of "$lib_a" "$lib_table")
    fi
    check "$lib_name: rows of $lib_table" "$(sql "$lib_a" "SELECT count(*) FROM \"$lib_table\"")" \
        "$(sql "$lib_b" "SELECT count(*) FROM \"$lib_table\"")"
    [ "$tolerance" = 0 ] && [ "$(differing_rows "$lib_a" "$lib_b" "$lib_table" "$@")" = 0 ] && pass && return
    lib_differing=$(
        {
            echo "ATTACH '$lib_b' AS other;"
            for lib_column in "$@"; do
                echo "SELECT '$lib_column of ' || x.\"$lib_key\" || ': ' || ifnull(x.\"$lib_column\", 'NULL')" \
                    "|| ' and ' || ifnull(y.\"$lib_column\", 'NULL') || '; ' || count(*) || ' in all'" \
                    "FROM main.\"$lib_table\" x LEFT JOIN other.\"$lib_table\" y ON x.\"$lib_key\" = y.\"$lib_key\"" \
                    "WHERE x.\"$lib_column\" IS NOT y.\"$lib_column\" AND NOT ifnull(" \
                    "abs(x.\"$lib_column\" - y.\"$lib_column\") <= $tolerance * abs(x.\"$lib_column\"" \
                    ") AND typeof(x.\"$lib_column\") IN ('real', 'integer'), 0)" \
                    "HAVING count(*) > 0;"
            done
        } | sqlite3 -batch -readonly "$lib_a" 2>&1
    )
    check "$lib_name: fields of $lib_table" "" "$lib_differing"
}

# Names, hashes and nothing else of the files of a folder.
hashes_of() {
    (cd "$1" && find . -type f | LC_ALL=C sort | while IFS= read -r file; do sha256sum "$file"; done)
}

# A copy of the sample that may be run and spoilt: $1/sample-gis and $1/config,
# results in $1/out/sample.
copy_sample() {
    mkdir -p "$1"
    cp -R "$source/sample-gis" "$source/config" "$1"/
}

finish() {
    echo "$passed passed, $failed failed"
    [ "$failed" -eq 0 ]
    exit
}

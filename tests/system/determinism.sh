#!/bin/sh
# Same inputs, same bytes: whatever the threads, the folder, the time zone, the
# language and the run before. The order of the rows in the source moves nothing but
# the hashes of the source.
. "$(dirname "$0")/lib_system.sh"
need_tools sqlite3 ogr2ogr sha256sum

copy_sample "$scratch/copy"
plan=$scratch/copy/sample-gis/plan.yaml
result=$scratch/copy/out/sample

# same_bytes LABEL: against the hashes of the first run
same_bytes() {
    hashes_of "$result" >"$scratch/again"
    check "$1" "" "$(diff "$scratch/first" "$scratch/again" 2>&1)"
}

expect_exit 0 "one thread" "$haunch" run --threads 1 "$plan"
cp "$out" "$scratch/summary"
hashes_of "$result" >"$scratch/first"
check "files of the result" 58 "$(wc -l <"$scratch/first")"
cp "$result/result.gpkg" "$scratch/first.gpkg"
cp -R "$result" "$scratch/first_result"

for threads in 2 4; do
    rm -rf "$result"
    expect_exit 0 "$threads threads" "$haunch" run --threads "$threads" "$plan"
    same_bytes "bytes with $threads threads"
done
expect_exit 0 "second run into the same folder" "$haunch" run "$plan"
same_bytes "bytes of the second run"
check "summary of the second run" "$(cat "$scratch/summary")" "$(cat "$out")"

# ---- another place and time ---------------------------------------------------------------
run_elsewhere() { # FOLDER PLAN VARIABLE=VALUE ...
    cd "$1" || return 1
    shift
    elsewhere=$1
    shift
    env "$@" "$haunch" run "$elsewhere"
}
for variables in TZ=Pacific/Kiritimati "TZ=America/St_Johns LC_ALL=C"; do
    expect_exit 0 "$variables" env $variables "$haunch" run "$plan"
    same_bytes "bytes with $variables"
done
# a decimal comma, where such a language is installed or can be made
language=$(locale -a 2>/dev/null | grep -i -m 1 '^\(de_DE\|fr_FR\|nl_NL\|da_DK\).*utf' || true)
languages=${LOCPATH:-}
if [ -z "$language" ] && mkdir "$scratch/locale" &&
    localedef -i de_DE -f UTF-8 "$scratch/locale/de_DE.UTF-8" >"$scratch/localedef" 2>&1; then
    languages=$scratch/locale
    language=de_DE.UTF-8
fi
if [ -n "$language" ]; then
    # the C library itself does not free what it makes of LOCPATH
    expect_exit 0 "LC_ALL=$language" env ${languages:+"LOCPATH=$languages"} LC_ALL="$language" LANG="$language" \
        ASAN_OPTIONS="$ASAN_OPTIONS:detect_leaks=0" "$haunch" run "$plan"
    same_bytes "bytes with LC_ALL=$language"
else
    skip "no language with a decimal comma is installed or can be made"
fi
here=$(pwd)
expect_exit 0 "from the folder of the plan" run_elsewhere "$scratch/copy/sample-gis" plan.yaml PWD=/
cd "$here" || exit 2
same_bytes "bytes from the folder of the plan"
expect_exit 0 "from the root" run_elsewhere / "$plan" HOME=/nowhere
cd "$here" || exit 2
same_bytes "bytes from the root"
mkdir "$scratch/a folder with 'quotes' & ümlaut"
cp -R "$scratch/copy/sample-gis" "$scratch/copy/config" "$scratch/a folder with 'quotes' & ümlaut"/
expect_exit 0 "in another folder" "$haunch" run "$scratch/a folder with 'quotes' & ümlaut/sample-gis/plan.yaml"
result="$scratch/a folder with 'quotes' & ümlaut/out/sample"
same_bytes "bytes in another folder"
result=$scratch/copy/out/sample
for word in "$scratch" "$(hostname)"; do
    [ ${#word} -lt 6 ] || check "no trace of $word in the result" "" "$(grep -rlF -- "$word" "$result" 2>/dev/null)"
done

# ---- other order of rows ---------------------------------------------------------------------
# A table with the rows in another order, and so with other row numbers.
net=$scratch/copy/sample-gis/network.gpkg
shuffle() { # ORDER
    rm -f "$scratch/shuffled.gpkg"
    fields=$(columns_of "$source/sample-gis/network.gpkg" sewers | grep -vx 'fid\|geom' | tr '\n' ',' | sed 's/,$//')
    ogr2ogr -f GPKG "$scratch/shuffled.gpkg" "$source/sample-gis/network.gpkg" -nln sewers \
        -dialect SQLITE -sql "SELECT geom, $fields FROM sewers ORDER BY $1" -nlt MULTILINESTRING -a_srs EPSG:25832 \
        2>"$err" || fail "shuffled network" "" "$(excerpt "$err")"
    for layer in manholes districts; do
        ogr2ogr -f GPKG -update "$scratch/shuffled.gpkg" "$source/sample-gis/network.gpkg" "$layer"
    done
    cp "$scratch/shuffled.gpkg" "$net"
}
# hashes are those of another file
for order in "(fid * 7919) % 2851" "fid DESC"; do
    shuffle "$order"
    expect_exit 0 "rows in the order $order" "$haunch" run "$plan"
    check "same rows in another order" 2845 "$(sql "$net" "SELECT count(*) FROM sewers")"
    # the other tables by the bytes of their CSV, below
    for table in segments projects act_now data_issues; do
        same_table "$order" "$scratch/first.gpkg" "$result/result.gpkg" "$table" fid
    done
    check_sql "log of the run, but for hashes" "$result/result.gpkg" \
        "$(sql "$scratch/first.gpkg" "SELECT topic, item, value FROM run_log WHERE NOT (length(value) = 64)")" \
        "SELECT topic, item, value FROM run_log WHERE NOT (length(value) = 64)"
    for file in "$scratch"/first_result/tables/*; do
        name=${file##*/}
        [ "$name" = run_log.csv ] || check "bytes of $name" "" "$(cmp "$file" "$result/tables/$name" 2>&1)"
    done
done

# a change of one value is not lost in all this
cp "$source/sample-gis/network.gpkg" "$net"
sed 's/discount_pct: 3.0/discount_pct: 3.5/' "$plan" >"$scratch/copy/sample-gis/other.yaml"
expect_exit 0 "another discount rate" "$haunch" run "$scratch/copy/sample-gis/other.yaml"
hashes_of "$result" >"$scratch/again"
check_not "another discount rate gives other bytes" "$(cat "$scratch/first")" "$(cat "$scratch/again")"
finish

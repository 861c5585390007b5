#!/bin/sh
# haunch compare, looked at from outside: each cause is found where a copy of the
# sample was changed by hand, and totals and changes are those of the two layers.
. "$(dirname "$0")/lib_system.sh"
need_tools sqlite3 python3
edit=$source/tests/system/compare_edit.py
check=$source/tests/system/compare_check.py
first_end="version, first result"
last_end="version, second result"

make_case() { # NAME CHANGES: a copy, changed and run
    lib_case=$1
    shift
    copy_sample "$scratch/$lib_case"
    [ $# -eq 0 ] || python3 "$edit" "$scratch/$lib_case" "$@" || fail "edit of $lib_case"
    expect_exit 0 "run of $lib_case" "$haunch" run --quiet "$scratch/$lib_case/sample-gis/plan.yaml"
}
compare() {
    "$haunch" compare --quiet "$@"
}
check_case() { # NAME STEPS
    expect_exit 0 "compare with $1" compare "$base" "$scratch/$1/out/sample" --output "$scratch/$1/changes"
    cp "$out" "$scratch/$1/text"
    if python3 "$check" "$base" "$scratch/$1/out/sample" "$scratch/$1/changes" "$2" >"$scratch/$1/log" 2>&1; then
        pass
    else
        fail "totals and changes of $1" "ok" "$(tail -n 2 "$scratch/$1/log")"
    fi
}

make_case base
base=$scratch/base/out/sample
hashes_of "$scratch/base" >"$scratch/before"

# ---- one cause, all of them ---------------------------------------------------------
for what in data rules prices budget where; do
    make_case "$what" "$what"
done
make_case all data rules prices budget
make_case day day data
make_case same
ends() { # STEPS between the two ends
    echo "$first_end|$1|$last_end"
}
check_case data "$(ends data)"
check_case rules "$(ends rules)"
check_case prices "$(ends prices)"
check_case budget "$(ends budget)"
check_case where "$(ends data)"
check_case all "$(ends 'data|rules|prices|budget')"
check_case day "$(ends 'day and budget|data')"
check_case same version
check_has "a plan key is named with both values" "programme.budgets.2026  1200000" "$scratch/budget/text"
check_has "what the where changes is named" "network.where" "$scratch/where/text"
check_has "new segments" "only in the second" "$scratch/where/text"
check_has "why day and budget go together" "would begin before the day" "$scratch/day/text"
check_has "same plans: nothing" "Nothing changed for any segment" "$scratch/same/text"
check_has "the order is told" "in this order: day, data, rules, prices, budget" "$scratch/all/text"
check "a budget cut changes no method" 0 "$(grep -c 'changes method' "$scratch/budget/changes/changes.csv")"
check "dearer linings change no grade" 0 "$(grep -c 'changes grade' "$scratch/prices/changes/changes.csv")"

# ---- forms, units, place --------------------------------------------------------------
expect_exit 0 "html" compare "$base" "$scratch/all/out/sample" --format html
python3 -c "import sys, xml.dom.minidom as x; x.parse(sys.argv[1])" "$out" && pass || fail "html is well-formed"
expect_exit 0 "json" compare "$base" "$scratch/all/out/sample" --format json
python3 -m json.tool "$out" >"$scratch/json" 2>&1 && pass || fail "json is whole"
expect_exit 0 "again" compare "$base" "$scratch/all/out/sample" --threads 1 --format json
python3 -m json.tool "$out" | diff - "$scratch/json" >"$scratch/diff" && pass || fail "the same on one thread"
make_case units units
check_case units version
expect_exit 0 "a folder is replaced as a whole" compare "$base" "$base/run.json" --output "$scratch/all/changes"
check "one row of steps" 2 "$(wc -l <"$scratch/all/changes/steps.csv")"

# ---- what cannot be split -------------------------------------------------------------
cp -r "$scratch/all" "$scratch/touched"
echo >>"$scratch/touched/config/rates.csv"
expect_exit 0 "a table changed since" compare "$base" "$scratch/touched/out/sample" --output "$scratch/touched/changes"
check_has "which one" "rates.csv" "$out"
check_has "no guess" "The causes cannot be told apart" "$out"
sed -i 1d "$scratch/touched/changes/steps.csv" && check_has "the step says so" "1,not split,cannot be split: second result" \
    "$scratch/touched/changes/steps.csv"
rm "$scratch/touched/sample-gis/plan.yaml"
expect_exit 0 "a plan is gone" compare "$base" "$scratch/touched/out/sample"
check_has "the plan is named" "plan.yaml" "$out"

# ---- errors ---------------------------------------------------------------------------
mkdir "$scratch/empty"
expect_exit 3 "no result" compare "$base" "$scratch/empty"
check_has "no result: way out" "run" "$err"
expect_exit 3 "nothing there" compare "$scratch/nowhere" "$base"
cp -r "$base" "$scratch/broken" && echo "{" >"$scratch/broken/run.json"
expect_exit 3 "broken run.json" compare "$base" "$scratch/broken"
cp -r "$base" "$scratch/nogpkg" && rm "$scratch/nogpkg/result.gpkg"
expect_exit 3 "no result.gpkg" compare "$base" "$scratch/nogpkg"
cp -r "$base" "$scratch/badgpkg" && head -c 5000 "$base/result.gpkg" >"$scratch/badgpkg/result.gpkg"
expect_exit 3 "cut result.gpkg" compare "$scratch/badgpkg" "$base"
cp -r "$base" "$scratch/newer" && sed -i 's/"format": 1/"format": 2/' "$scratch/newer/run.json"
expect_exit 3 "another format" compare "$base" "$scratch/newer"
check_has "another format: said" "format 2" "$err"
make_case currency currency
expect_exit 3 "two currencies" compare "$base" "$scratch/currency/out/sample"
check_has "two currencies: said" "different currencies" "$err"
expect_exit 2 "one result" compare "$base"
expect_exit 2 "unknown format" compare "$base" "$base" --format pdf
expect_exit 4 "a folder that is not ours" compare "$base" "$base" --output "$scratch/base/config"
touch "$scratch/file"
expect_exit 4 "a file for a folder" compare "$base" "$base" --output "$scratch/file"

# ---- a signal, and what was read --------------------------------------------------------
"$haunch" compare --quiet "$base" "$scratch/all/out/sample" --output "$scratch/stopped/changes" >/dev/null 2>&1 &
pid=$!
sleep 0.2
kill -TERM $pid
wait $pid
check "a signal ends it" 143 $?
[ -e "$scratch/stopped/changes" ] && fail "a stopped comparison leaves nothing" || pass
hashes_of "$scratch/base" >"$scratch/after"
cmp -s "$scratch/before" "$scratch/after" && pass || fail "a comparison alters nothing"

finish

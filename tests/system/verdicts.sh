#!/bin/sh
# Verdicts and reasons of the whole sample, and of a network made so that every rule bites
# (cases/every_rule.py), against the rules of method_rules.csv, asked again by another
# SQLite (cases/verdicts.py). A sentence of a rule holds no semicolon,
# since that is what stands between two of them.
. "$(dirname "$0")/lib_system.sh"
need_tools python3 sed

rules=$source/config/method_rules.csv
check "a sentence with a semicolon" "" "$(python3 -c 'import csv, sys
print(*[r["id"] for r in csv.DictReader(open(sys.argv[1])) if ";" in r["reason"]])' "$rules")"

copy_sample "$scratch/copy"
expect_exit 0 "run of the sample" "$haunch" run --quiet "$scratch/copy/sample-gis/plan.yaml"
gpkg=$scratch/copy/out/sample/result.gpkg
again() { # TABLE_OF_RULES
    PYTHONDONTWRITEBYTECODE=1 python3 "$source/tests/system/cases/verdicts.py" "$gpkg" "$1"
}
expect_exit 0 "verdicts and reasons are those of the rules" again "$rules"
check_has "every row is looked at" " 0 wrong" "$out"
check "rows looked at" "$(sqlite3 "$gpkg" 'SELECT count(*) FROM options') rows" "$(sed -n '1s/,.*//p' "$out")"

expect_exit 0 "a network for every rule" python3 "$source/tests/system/cases/every_rule.py" "$scratch/every"
expect_exit 0 "run of it" "$haunch" run --quiet "$scratch/every/plan.yaml"
gpkg=$scratch/every/out/result.gpkg
expect_exit 0 "its verdicts and reasons are those of the rules" again "$rules"
# a sewer has a length, and an expected grade where the network has any
check "rules that never bite" "never: microtunnel_no_length open_cut_no_length watch_not_known" \
    "$(sed -n '/^never/p' "$out")"

# the harness can fail: a limit moved, a rule left out
sed 's/^\(close_fit_too_large,.*\),381,mm,/\1,299,mm,/' "$rules" >"$scratch/moved.csv"
check_not "a limit is moved" "$(cat "$rules")" "$(cat "$scratch/moved.csv")"
expect_exit 1 "a moved limit is found" again "$scratch/moved.csv"
sed '/^clean_roots,/d' "$rules" >"$scratch/fewer.csv"
expect_exit 1 "a rule too many is found" again "$scratch/fewer.csv"

finish

#!/bin/sh
# Each parameter up and down: what the run says of a changed plan must be what a whole
# run of that plan gives, compared by a second calculation (sensitivity.py); the rest
# of the result must not know of it.
. "$(dirname "$0")/lib_system.sh"
need_tools python3 sqlite3
second=$(dirname "$0")/sensitivity.py

# The sample with defaults of each kind that fill something.
copy_sample "$scratch/base"
config=$scratch/base/config
plan=$scratch/base/sample-gis/plan.yaml
result=$scratch/base/out/sample
sed -i 's|^  soil: {value: mixed.*|&\n  depth_up_m: {value: 2.5, source: local rule}\n  year_built: {value: 1950, source: local rule}|' "$plan"
cat >>"$config/sensitivity.csv" <<'CSV'
defaults.soil,set,sand,clay,ground where it is not known,local rule
defaults.year_built,set,1900,1980,year where it is not known,local rule
CSV
expect_exit 0 "run that varies" "$haunch" run "$plan"

tell() { # LABEL: the answers in $scratch/report become checks
    check_not "$1: answers" 0 "$(wc -l <"$scratch/report")"
    while read -r verdict question; do
        [ "$verdict" = ok ] && pass || fail "$1: $question" "the same" "$verdict"
    done <"$scratch/report"
}

for question in parts ranks; do
    python3 "$second" $question "$result" >"$scratch/report" 2>&1
    check "$question: exit" 0 $?
    tell "$question"
done

# ---- whole runs of the changed plan -----------------------------------------------------
whole() { # CHANGE PARAMETER SIDE
    rm -rf "$scratch/other"
    mkdir "$scratch/other"
    cp -R "$scratch/base/sample-gis" "$scratch/base/config" "$scratch/other/"
    sed -i 's|^output:|output:\n  sensitivity: no|' "$scratch/other/sample-gis/plan.yaml"
    python3 "$second" change "$scratch/other" "$1" >"$scratch/report" 2>&1
    check "$1: the plan is changed" 0 $?
    expect_exit 0 "$1: run" "$haunch" run -q "$scratch/other/sample-gis/plan.yaml"
    python3 "$second" compare "$result" "$scratch/other/out/sample" "$2" "$3" >"$scratch/report" 2>&1
    check "$1: exit" 0 $?
    tell "$1"
}
whole discount discount_pct low
whole horizon horizon_years high
whole priority priority high
whole budget budget low
whole soil defaults.soil low
whole depth defaults.depth_up_m high
whole built defaults.year_built low
whole consequence "consequence.repair depth" high
whole not_known not_known.leakage high
whole failure failure.structural high
whole deterioration deterioration low
whole lining prices.lining high
whole items prices.items low
whole life life.lining low
whole markups markups high
whole water design.groundwater_default_share high

# ---- the rest of the result does not know of it -----------------------------------------
cp -R "$result" "$scratch/with"
sed -i 's|^output:|output:\n  sensitivity: no|' "$plan"
expect_exit 0 "the same without" "$haunch" run "$plan"
check "no picture" "" "$(ls "$result" | grep tornado)"
check "tables that are there only with it" "rank_sensitivity.csv rank_sensitivity.csvt sensitivity.csv sensitivity.csvt" \
    "$(ls "$scratch/with/tables" | while read -r f; do [ -e "$result/tables/$f" ] || echo "$f"; done | tr '\n' ' ' | sed 's/ $//')"
for file in "$result"/tables/*; do
    name=$(basename "$file")
    case $name in
    run_log.csv) ;; # names the config tables that were read, with their hashes, and the plan's
    assumptions.csv)
        check "what is assumed more" 1 "$(diff "$file" "$scratch/with/tables/$name" | grep -c '^[<>]')"
        check_has "one at a time is said" "sensitivity: assumptions changed at a time" "$scratch/with/tables/$name"
        ;;
    *) cmp -s "$file" "$scratch/with/tables/$name" && pass || fail "$name is the same with and without" ;;
    esac
done
check "the run log differs in hashes alone" "" \
    "$(diff "$result/tables/run_log.csv" "$scratch/with/tables/run_log.csv" | grep '^[<>]' | grep -v 'sensitivity.csv\|plan')"
check "the picture is XML" 0 "$(python3 -c 'import sys, xml.dom.minidom as x; x.parse(sys.argv[1])' "$scratch/with/tornado.svg" >"$out" 2>&1; echo $?)"
check_has "the picture says what is measured" "Length that enters or leaves the years 2026 to 2030" "$scratch/with/tornado.svg"

# threads and years
sed -i 's|^  sensitivity: no|  sensitivity: yes\n  sensitivity_years: 2|' "$plan"
expect_exit 0 "one thread" "$haunch" run -q --threads 1 "$plan"
hashes_of "$result" >"$scratch/one"
expect_exit 0 "two threads" "$haunch" run -q --threads 2 "$plan"
hashes_of "$result" >"$scratch/two"
check "bytes with one and two threads" "" "$(diff "$scratch/one" "$scratch/two")"
check_sql "years that are compared" "$result/result.gpkg" 2 "SELECT DISTINCT first_years FROM sensitivity"

# a cost that a person set, which a variation of prices must leave alone
id=$(sql "$result/result.gpkg" "SELECT segment_id FROM unfunded ORDER BY priority LIMIT 1")
echo "$id,cost,12345,tender,head of sewers,2025-12-01" >>"$scratch/base/sample-gis/overrides.csv"
expect_exit 0 "a cost set by a person" "$haunch" run -q "$plan"
check_sql "the cost set by a person" "$result/result.gpkg" "12345.0" \
    "SELECT cost FROM segments WHERE segment_id = '$id'"

# a folder of tables that has none takes the shipped one
rm "$config/sensitivity.csv"
expect_exit 0 "no table of variations in the folder" "$haunch" run -q "$plan"
check_sql "the shipped variations" "$result/result.gpkg" 1 "SELECT count(*) FROM sensitivity WHERE parameter = 'discount_pct' AND side = 'low'"

# ---- bad tables --------------------------------------------------------------------------
refused() { # LABEL SED COLUMN TEXT
    sed "$2" "$source/config/sensitivity.csv" >"$config/sensitivity.csv"
    cmp -s "$source/config/sensitivity.csv" "$config/sensitivity.csv" && fail "$1: the test changes the table"
    expect_exit 2 "$1" "$haunch" run "$plan"
    check_has "$1: file" "sensitivity.csv, row" "$err"
    check_has "$1: column" "column $3" "$err"
    check_has "$1: what is wrong" "$4" "$err"
    check_has "$1: way out" "haunch: hint: " "$err"
}
refused "a parameter nobody knows" 's/^budget,/budgit,/' parameter '"budgit" is not known'
check_has "the nearest one" 'did you mean `budget`' "$err"
refused "a factor nobody knows" 's/^consequence\.\*,/consequence.rial,/' parameter 'consequence.rial'
check_has "the nearest factor" 'did you mean `consequence.rail`' "$err"
refused "a default that the plan does not have" 's/^defaults\.\*,/defaults.width_mm,/' parameter 'defaults.width_mm'
refused "low above the plan's own" 's/^markups,times,0.5,/markups,times,1.2,/' low "above the plan's own value"
refused "high below the plan's own" 's/^design.groundwater_default_share,set,0,1,/design.groundwater_default_share,set,0,0.3,/' high "below the plan's own value, 0.5"
refused "a negative factor" 's/^budget,times,0.8,/budget,times,-0.8,/' low "cannot be negative"
refused "a life of nothing" 's/^life.lining,times,0.6,/life.lining,times,0,/' low "0 is not accepted"
refused "no number" 's/^budget,times,0.8,/budget,times,less,/' low "no number"
refused "no source" 's/^markups,\(.*\),local rule$/markups,\1,/' source "source"
refused "another change" 's/^markups,times,/markups,plus,/' change "plus"
refused "a budget that is set" 's/^budget,times,/budget,set,/' change "takes times"
refused "a word nobody knows" 's/^priority,set,risk,value,/priority,set,risk,worth,/' high '"worth" is not accepted'
refused "twice" '$s/.*/&\nbudget,times,0.5,2,again,local rule/' parameter "budget"
finish

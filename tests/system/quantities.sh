#!/bin/sh
# The table of quantities, the sizes of new pipes and the flow in them, worked
# out again from the columns of the result by formulas that are written here
# and not taken from the program.
. "$(dirname "$0")/lib_system.sh"
need_tools python3

copy_sample "$scratch/copy"
plan=$scratch/copy/sample-gis/plan.yaml
printf 'quantity,methods,kg_per_unit,source\nnew_pipe_m,replacement,100,local rule\nspoil_m3,open_cut,5,local rule\nlining_m2,cured_in_place,20,local rule\n' \
    >"$scratch/copy/sample-gis/carbon.csv"
sed -i 's|^config:|config:\n  carbon: carbon.csv|' "$plan"
expect_exit 0 "run of the sample" "$haunch" run "$plan"
python3 "$(dirname "$0")/quantities.py" "$scratch/copy/out/sample/tables" \
    "$scratch/copy/config" >"$scratch/report" 2>&1
check "exit of the second calculation" 0 $?
while read -r verdict name; do
    [ "$verdict" = ok ] && pass || fail "$name" "the same numbers" "see $scratch/report: $verdict"
done <"$scratch/report"
check_not "checks of the second calculation" 0 "$(wc -l <"$scratch/report")"

# Round sewers to enter: people put rings and panels, a wound and two slip-linings
# there. The same questions again, and the wall of host, grout and lining.
cp "$source/sample-gis/overrides.csv" "$scratch/copy/sample-gis/overrides.csv"
put() { # SEGMENT METHOD YEAR
    printf '%s,%s,%s,second calculation,test,2025-11-05\n' "$1" method "$2" "$1" year "$3" \
        >>"$scratch/copy/sample-gis/overrides.csv"
}
put S19-0073 ring_and_panel 2028           # worn out: the host is cracked
put S19-0004 ring_and_panel 2027
put S22-0042 ring_and_panel 2030
put S20-0043 spirally_wound 2028
put S20-0004 discrete_slip_lining 2029     # worn out
put S13-0130 continuous_slip_lining 2029
expect_exit 0 "run with grouted linings in round sewers" "$haunch" run --quiet "$plan"
check "overrides that were applied" 15 \
    "$(sqlite3 "$scratch/copy/out/sample/result.gpkg" "SELECT count(*) FROM overrides WHERE state LIKE 'applied%'")"
python3 "$(dirname "$0")/quantities.py" "$scratch/copy/out/sample/tables" \
    "$scratch/copy/config" >"$scratch/report"
for lib_pair in "S19-0073 ring_and_panel" "S19-0004 ring_and_panel" "S20-0043 spirally_wound" \
    "S20-0004 discrete_slip_lining" "S13-0130 continuous_slip_lining"; do
    set -- $lib_pair
    expect_exit 0 "sheet of $lib_pair" "$haunch" explain "$scratch/copy/out/sample" "$1" --format json
    python3 "$(dirname "$0")/grouted.py" "$scratch/copy/out/sample/tables" "$scratch/copy/config" \
        "$1" "$2" <"$out" >>"$scratch/report" 2>&1
done
while read -r verdict name; do
    [ "$verdict" = ok ] && pass || fail "round sewers: $name" "the same numbers" "$verdict"
done <"$scratch/report"
check "round sewers: questions about the wall" 30 "$(grep -c '_per_m$' "$scratch/report")"
check_has "round sewers: rings and panels were asked" "ok rings (3)" "$scratch/report"
cp "$source/sample-gis/overrides.csv" "$scratch/copy/sample-gis/overrides.csv"

# a table that cannot be read is refused with row, column and what is accepted
refused() { # NAME, sed command on FILE, FILE, words
    cp "$source/config/$3" "$scratch/copy/config/$3"
    sed -i "$2" "$scratch/copy/config/$3"
    expect_exit 2 "$1" "$haunch" run "$plan"
    check_has "$1: says what is wrong" "$4" "$err"
    cp "$source/config/$3" "$scratch/copy/config/$3"
}
refused "sizes that fall" '3s/^125,/90,/' pipe_sizes.csv "rising order"
refused "a pipe without a wall" '3s/^125,[0-9]*/125,120/' pipe_sizes.csv "not more than inside_mm"
refused "a number of the takeoff left out" '/^bulking/d' takeoff.csv "no row bulking"
refused "a number in another unit" 's/^truck_m3,6,m3/truck_m3,6,ft3/' takeoff.csv "is in m3"
refused "a number out of range" 's/^bulking,1.25/bulking,9/' takeoff.csv "from 1 to 2"
refused "a name nobody knows" 's/^bulking/bulkin/' takeoff.csv "bulking"
refused "a quantity nobody knows" 's/,dug_m3,/,dug_m4,/' cost_items.csv "dug_m3"
refused "panels that are no whole number" 's/^panels_around,6/panels_around,1.9/' takeoff.csv "whole number"
refused "an item by a quantity that none of its methods has" \
    's/^trench_dig,\(.*\),open_cut,,dug_m3/trench_dig,\1,close_fit,,dug_m3/' cost_items.csv "none of them has"
printf 'x,"a\033[31m"\n' >"$scratch/escape"
refused "a control character" '2s/cement/ce\x1bment/; 2s/Cured/Cu\x1bred/' methods.csv "control character"
refused "a zero byte" '3s/EN/E\x00N/' pipe_sizes.csv "zero byte"
incomplete=$(sqlite3 "$scratch/copy/out/sample/result.gpkg" "SELECT count(*) FROM segments WHERE cost_is_incomplete")
echo 'grout_extra,Grout extra,always,all,,grout_m3,m3,100,,,local rule' >>"$scratch/copy/config/cost_items.csv"
expect_exit 0 "an item for all methods by a quantity of some" "$haunch" run --quiet "$plan"
check "costs that are incomplete are not more for it" "$incomplete" \
    "$(sqlite3 "$scratch/copy/out/sample/result.gpkg" "SELECT count(*) FROM segments WHERE cost_is_incomplete")"
cp "$source/config/cost_items.csv" "$scratch/copy/config/cost_items.csv"

# a replacement without a surface of its own is as rough as the host, not too small
sized=$(sqlite3 "$scratch/copy/out/sample/result.gpkg" "SELECT count(replacement_width_mm) FROM segments")
python3 - "$scratch/copy/config/methods.csv" <<'BLANK'
import csv, sys
rows = list(csv.DictReader(open(sys.argv[1], newline="")))
for row in rows:
    if row["kind"] == "replacement":
        row["manning_n"] = ""
with open(sys.argv[1], "w", newline="") as file:
    writer = csv.DictWriter(file, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
BLANK
expect_exit 0 "replacements without a surface" "$haunch" run --quiet "$plan"
check "pipes are sized all the same, but for a few that the flow makes too large" 1 \
    "$(sqlite3 "$scratch/copy/out/sample/result.gpkg" "SELECT count(replacement_width_mm) > $sized - 30 FROM segments")"
cp "$source/config/methods.csv" "$scratch/copy/config/methods.csv"
printf 'quantity,methods,kg_per_unit,source\ngrout_m4,all,1,local rule\n' \
    >"$scratch/copy/sample-gis/carbon.csv"
expect_exit 2 "carbon of a quantity nobody knows" "$haunch" run "$plan"
check_has "carbon: nearest name" "grout_m3" "$err"
finish

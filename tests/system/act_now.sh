#!/bin/sh
# The act-now list: for structure, service and tightness; each line with rule, reason,
# date, caution and source; and the same whatever decides the rank.
. "$(dirname "$0")/lib_system.sh"
need_tools ogr2ogr sqlite3
. "$(dirname "$0")/lib_small_town.sh"
gpkg=$town/out/result.gpkg
list() {
    sql "$gpkg" "SELECT segment_id, rule, act_within_days, act_by FROM act_now ORDER BY segment_id" | tr '\n' ' '
}

cat >"$town/insp.csv" <<'CSV'
ID,DAY,G,S,T,DONE
P1,2020-05-01,5,1,1,yes
P2,2021-05-01,1,5,1,yes
P5,2021-05-01,1,1,5,yes
P6,2022-05-01,1,1,5,yes
P3,2022-05-01,4,4,4,yes
CSV
# open water runs beside P1 to P4 and P6, and far from P5
with='s/^      grade_structural:/      grade_service: {field: S, best: 1, worst: 5}\n      grade_tightness: {field: T, best: 1, worst: 5}\n&/
s/^programme:/context:\n  water: {from: rail.gpkg, layer: rail, search_m: 60}\n&/'
plan_as "$with"
runs "a town with one urgent sewer of each kind"
expected="P1|structure_grade_5|90|2026-04-01 P2|service_grade_5|14|2026-01-15 "
for lib_near in $(sql "$gpkg" "SELECT segment_id FROM segments WHERE near_water_m <= 10 AND grade_tightness_1_5 = 5"); do
    expected="$expected$lib_near|leak_near_water|60|2026-03-02 "
done
check "one leak is near the water, one is not" 3 "$(echo "$expected" | wc -w)"
check "rules, days and dates" "$expected" "$(list)"
check_rows "every line says why, what to mind and where the rule is from" "$gpkg" \
    "SELECT segment_id FROM act_now WHERE reason IS NULL OR reason = '' OR caution IS NULL OR caution = '' OR source IS NULL OR source = ''"
check_rows "the soonest first" "$gpkg" \
    "SELECT a.segment_id FROM act_now a, act_now b WHERE a.rowid < b.rowid AND a.act_by > b.act_by"
plan_as "$with
s/^programme:/programme:\n  priority: value/"
runs "the same with a priority by value"
check "priority by value: the same list" "$expected" "$(list)"
{
    echo 'segment_id,what,value,reason,who,date'
    echo 'P1,priority,6,later,us,2025-01-01'
    echo 'P4,priority,1,first,us,2025-01-01'
} >"$town/ov.csv"
plan_as "$with
s/^output:/config: {overrides: ov.csv}\noutput:/"
runs "the same with ranks that a person moved"
check "moved ranks: the same list" "$expected" "$(list)"
check_sql "moved ranks: the last rank of all is on the list" "$gpkg" "P1|6" \
    "SELECT segment_id, priority FROM act_now WHERE segment_id = 'P1'"
finish

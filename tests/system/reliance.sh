#!/bin/sh
# What part of a loss rests on defaults and on grades that nobody saw: by hand, and
# from the chances and parts of the result.
. "$(dirname "$0")/lib_system.sh"
need_tools ogr2ogr sqlite3
. "$(dirname "$0")/lib_small_town.sh"
gpkg=$town/out/result.gpkg

consequence() { # ROW ...
    echo 'factor,class,condition,points,money,structural_share,service_share,tightness_share,source' >"$town/cons.csv"
    printf '%s,test\n' "$@" >>"$town/cons.csv"
}
use='s/^output:/config: {consequence: cons.csv}\noutput:\n  score_parts: all/'
shares() {
    sql "$gpkg" "SELECT DISTINCT round($1, 6) FROM segments ORDER BY 1" | tr '\n' ' '
}

consequence 'digging,any,depth_m > 0,1,300,1,0,0' 'digging,other,1,1,0,1,0,0'
plan_as "$use"
runs "all is recorded"
check "all is recorded: nothing rests on a default" "0.0 " "$(shares default_share)"
check_sql "three sewers were inspected, the others not" "$gpkg" "P1 0.0,P2 0.0,P3 1.0,P4 1.0,P5 1.0,P6 0.0" \
    "SELECT group_concat(segment_id || ' ' || unseen_share) FROM (SELECT * FROM segments ORDER BY segment_id)"

consequence 'digging,any,depth_m > 0,1,300,1,0,0' 'digging,other,1,1,0,1,0,0' \
    "above,green,surface = 'green',1,400,1,0,0" 'above,not known,1,1,100,1,0,0'
plan_as "$use"
runs "no surface is recorded"
check "the class for values not known: 100 of 400" "0.25 " "$(shares default_share)"
plan_as "$use
s/^programme:/defaults: {surface: {value: green, source: local rule}}\n&/"
runs "a default for the surface"
check "the default of the plan: 400 of 700" "0.571429 " "$(shares default_share)"
plan_as "$use
s/^programme:/defaults: {surface: {value: green, source: local rule}}\n&/
s/^    shape: SHAPE/&\n    surface: {value: green}/"
runs "a default that nobody takes"
check "a default that nobody takes" "0.0 " "$(shares default_share)"

# two drivers: chances of the layer, money of score_parts
consequence 'digging,any,depth_m > 0,1,300,1,0,0' 'digging,other,1,1,0,1,0,0' \
    "above,green,surface = 'green',1,400,0.5,1,0" 'above,not known,1,1,100,0.5,1,0'
plan_as "$use"
runs "two drivers"
check_sql "two drivers: default_share and unseen_share again" "$gpkg" 6 \
    "SELECT sum(abs(default_share - known.part / expected_loss_per_year) < 1e-6 AND abs(unseen_share - known.unseen / expected_loss_per_year) < 1e-6)
     FROM segments JOIN (SELECT segment_id id, failure_chance_structural_per_year * 50 + failure_chance_service_per_year * 100 part,
         failure_chance_service_per_year * 100 + CASE WHEN grade_structural_1_5 IS NULL THEN failure_chance_structural_per_year * 350 ELSE 0 END unseen
         FROM segments) known ON known.id = segment_id"
finish

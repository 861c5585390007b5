#!/bin/sh
# The table of attributes that act twice: found from the rules, with length and money
# added up again from score_parts and segments.
. "$(dirname "$0")/lib_system.sh"
need_tools ogr2ogr sqlite3
. "$(dirname "$0")/lib_small_town.sh"
gpkg=$town/out/result.gpkg
pairs() {
    sql "$gpkg" "SELECT attribute, first_use, second_use FROM overlap ORDER BY 1, 2, 3" | tr '\n' ' '
}

factor='factor,class,condition,points,money,structural_share,service_share,tightness_share,source'
consequence() { # ROW ...
    echo "$factor" >"$town/cons.csv"
    for lib_row in "$@"; do # the last class of a factor takes what is left, for nothing
        printf '%s,1,0,0,test\n%s,other,1,0,0,1,0,0,test\n' "$lib_row" "${lib_row%%,*}" >>"$town/cons.csv"
    done
    plan_as 's/^output:/config: {consequence: cons.csv}\noutput:\n  score_parts: all/'
}
consequence 'digging,any,depth_m > 0,1,1000 * depth_m' "size,any,width_mm > 0,1,10 * width_mm" \
    "street,mill,street = 'Mill Lane',1,500"
runs "a table of consequence where nothing acts twice but the size"
check "nothing twice in the factors; large concrete is a cohort of its own" \
    "width_mm|size|likelihood: cohort " "$(pairs)"
check_sql "size: all segments, and the money of its parts" "$gpkg" "6|1|1" \
    "SELECT segments, abs(length_m - (SELECT sum(length_m) FROM segments)) < 1e-3,
     abs(money - (SELECT sum(money) FROM score_parts WHERE factor = 'size')) < 0.01 FROM overlap"

consequence 'digging,any,depth_m > 0,1,1000 * depth_m' 'flooding,deep,cover_m >= 2.4,1,7000' \
    "street,mill,street = 'Mill Lane' AND year_built < 1900,1,500" \
    "lane,mill,street = 'Mill Lane',1,300"
runs "depth acts twice, once as the cover, and the street too"
check "three overlaps" "depth_m|digging|flooding street|street|lane year_built|street|likelihood: cohort " "$(pairs)"
for lib_pair in "digging flooding" "street lane"; do
    set -- $lib_pair
    check_sql "$lib_pair: length and money again" "$gpkg" 1 \
        "SELECT abs(o.length_m - sum(s.length_m)) < 1e-3 AND abs(o.money - sum(a.money + b.money)) < 0.01 AND o.segments = count(*)
         FROM overlap o, score_parts a, score_parts b, segments s WHERE o.first_use = '$1' AND o.second_use = '$2'
         AND a.factor = o.first_use AND b.factor = o.second_use AND a.segment_id = b.segment_id
         AND s.segment_id = a.segment_id AND a.money > 0 AND b.money > 0"
done
check_sql "digging and flooding: fewer than all segments" "$gpkg" 1 \
    "SELECT segments BETWEEN 1 AND 5 FROM overlap WHERE attribute = 'depth_m'"

plan_as 's/^    surface:.*//; s/^output:/config: {consequence: cons.csv}\ndefaults: {surface: {value: green, source: local rule}}\noutput:/'
echo "$factor" >"$town/cons.csv"
printf '%s\n' "above,green,surface = 'green',1,400,1,0,0,test" 'above,other,1,0,0,1,0,0,test' >>"$town/cons.csv"
runs "a factor that reads a default"
check "the default and how many took it" "surface|above|default of the plan|6|" \
    "$(sql "$gpkg" "SELECT attribute, first_use, second_use, segments, money FROM overlap")"
finish

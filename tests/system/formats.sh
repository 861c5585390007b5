#!/bin/sh
# The sample's sewers and inspections in other formats give the same result as the
# GeoPackage: the same segments and choices, lengths within a millionth.
#
# What a format cannot carry, and what is done about it here:
#   Shapefile     names of ten characters (those of the sample fit), no empty text
#   GeoJSON       seven decimals of a degree are a centimetre: written with twelve
#   FlatGeobuf    rows without geometry: compared with a run without them
#   CSV           no CRS: the plan gives it; every value is a text
#   OpenFileGDB   a grid of coordinates: written with one of 0.01 micrometres
#   another CRS   which of two rows with one id is the first follows from the place,
#                 and three pieces are as long as the snapping distance: compared
#                 with a run without these
. "$(dirname "$0")/lib_system.sh"
need_tools sqlite3 ogr2ogr ogrinfo

copy_sample "$scratch/copy"
home=$scratch/copy/sample-gis
sewers=$source/sample-gis/network.gpkg
sed -i 's/options: all/options: deciding/; s/score_parts: all/score_parts: deciding/' "$home/plan.yaml"
printf '  csv: no\n  xlsx: no\n' >>"$home/plan.yaml"

# plan_with PART LINES: the sample's plan, the source of PART named by LINES
plan_with() {
    awk -v part="$1" -v lines="$2" '
        /^[a-z]/ { inside = $0 ~ "^" part ":" }
        inside && /^ *(- )?from: / {
            dash = /- from/ ? "  - " : "  "
            n = split(lines, line, ";")
            for (i = 1; i <= n; i++) print (i == 1 ? dash : dash == "  " ? "  " : "    ") line[i]
            next
        }
        inside && /^ *layer: / { next }
        { print }' "$home/plan.yaml"
}

make() { # FILE OPTION ...: the sewers in another format
    file=$1
    shift
    ogr2ogr "$@" "$file" "$sewers" sewers >"$out" 2>"$err" || {
        fail "writing $file" "" "$(excerpt "$err")"
        return 1
    }
}

result=$scratch/copy/out/sample/result.gpkg
whole="STATUS = 'in use' AND OWNER = 'town'"
# refer_to CONDITION: what later runs are compared with
refer_to() {
    sed "s/^  where: \"STATUS.*/  where: \"$1\"/" "$home/plan.yaml" >"$home/reference.yaml"
    expect_exit 0 "GeoPackage, $1" "$haunch" run --quiet "$home/reference.yaml"
    reference=$scratch/reference.gpkg
    cp "$result" "$reference"
    count=$(sql "$reference" "SELECT count(*) FROM segments")
    check_not "segments of the GeoPackage" 0 "$count"
}

# same_result LABEL: segments of a run against those of the GeoPackage
texts="segment_id up_node down_node owner status district street duty surface soil material shape
 year_built year_lined lined_by length_basis source_rows merged_from is_outlet in_loop condition_basis
 cohort inspected_on infiltration roots is_collapsed method method_verdict best_lining best_replacement
 runner_up act_now_rule programme year is_overridden paving_year"
numbers="width_mm height_mm length_recorded_m invert_up_m invert_down_m ground_up_m ground_down_m
 depth_up_m depth_down_m slope_recorded_m_per_m flow_required_m3_per_s joint_offset_pct ovality_pct
 sag_pct lateral_count groundwater_above_invert_m access_opening_mm spot_defect_count deposits_pct
 grade_structural_1_5 grade_service_1_5 length_geometry_m length_m upstream_length_m
 expected_loss_per_year"
same_result() {
    check_empty "$1: standard error" "$err"
    check_sql "$1: number of segments" "$result" "$count" "SELECT count(*) FROM segments"
    tolerance=0
    same_table "$1" "$reference" "$result" segments segment_id $texts
    tolerance=1e-6
    same_table "$1" "$reference" "$result" segments segment_id $numbers
    findings="SELECT rule, count(*) FROM data_issues WHERE rule <> 'geometry_has_m' GROUP BY 1 ORDER BY 1"
    sql "$reference" "$findings" >"$scratch/wanted"
    sql "$result" "$findings" >"$scratch/found"
    check "$1: findings (< GeoPackage, > here)" "" "$(diff "$scratch/wanted" "$scratch/found")"
    check "$1: sums" "" "$(sql "$result" "SELECT * FROM reconciliation WHERE holds IS NOT 1")"
}

try() { # LABEL PART LINES
    plan_with "$2" "$3" >"$home/other.yaml"
    rm -rf "$scratch/copy/out"
    expect_exit 0 "$1" "$haunch" run --quiet "$home/other.yaml"
    [ ! -f "$result" ] || same_result "$1"
}

# ---- sewers ------------------------------------------------------------------------------------
refer_to "$whole"
make "$home/sewers.shp" -f "ESRI Shapefile" -lco ENCODING=UTF-8 -nlt MULTILINESTRING &&
    try "Shapefile" network "from: sewers.shp"
make "$home/old.geojson" -f GeoJSON && {
    check_has "GeoJSON with a crs member" '"crs"' "$home/old.geojson"
    try "GeoJSON with a crs member" network "from: old.geojson"
}
make "$home/height.geojson" -f GeoJSON -dim XYZ -zfield LEN_M && {
    check_not "GeoJSON with heights" 0 "$(grep -c '\[ *\[ *[0-9.]*, [0-9.]*, [0-9.]* *\]' "$home/height.geojson")"
    try "GeoJSON with heights" network "from: height.geojson"
}
make "$home/height.gpkg" -f GPKG -dim XYZ -zfield LEN_M -nln sewers &&
    try "GeoPackage with heights" network "from: height.gpkg"
make "$home/measure.gpkg" -f GPKG -dim XYZM -nln sewers &&
    try "GeoPackage with heights and measures" network "from: measure.gpkg"
make "$home/wkt.csv" -f CSV -lco GEOMETRY=AS_WKT &&
    try "CSV with WKT" network "from: wkt.csv;crs: EPSG:25832"
make "$home/sewers.gdb" -f OpenFileGDB -nlt MULTILINESTRING -lco XORIGIN=0 -lco YORIGIN=0 -lco XYSCALE=100000000 &&
    try "OpenFileGDB" network "from: sewers.gdb;layer: sewers"
make "$home/sewers.sqlite" -f SQLite -nln sewers &&
    try "SQLite" network "from: sewers.sqlite"
make "$home/sewers.gml" -f GML &&
    try "GML" network "from: sewers.gml"
(cd "$home" && rm -f packed.zip && python3 -m zipfile -c packed.zip sewers.shp sewers.shx sewers.dbf sewers.prj) 2>"$err" &&
    try "Shapefile in a zip" network "from: /vsizip/$home/packed.zip"


refer_to "$whole AND geom IS NOT NULL"
make "$home/sewers.fgb" -f FlatGeobuf -lco SPATIAL_INDEX=NO &&
    try "FlatGeobuf" network "from: sewers.fgb"

twice=$(sql "$sewers" "SELECT group_concat('''' || ASSET_ID || '''') FROM (SELECT ASSET_ID FROM sewers
    GROUP BY ASSET_ID HAVING count(*) > 1)")
pieces=$(sql "$sewers" "SELECT group_concat('''' || ASSET_ID || '''') FROM sewers
    WHERE LEN_M BETWEEN 0.1 AND 0.5")
plain="$whole AND ASSET_ID NOT IN ($twice, $pieces)"
refer_to "$plain"
sed -i "s/^  where: \"STATUS.*/  where: \"$plain\"/" "$home/plan.yaml"
make "$home/lonlat.geojson" -f GeoJSON -t_srs EPSG:4326 -lco COORDINATE_PRECISION=12 &&
    try "GeoJSON in degrees" network "from: lonlat.geojson"
make "$home/rfc.geojson" -f GeoJSON -lco RFC7946=YES -lco COORDINATE_PRECISION=12 &&
    try "GeoJSON by RFC 7946" network "from: rfc.geojson"
# Lengths come back from a scale that changes with latitude: near but not the same, so a segment may pass to
# the other side of a threshold. Lengths agree to a tenth of a permille; few verdicts may differ.
near_result() {
    check_empty "$1: standard error" "$err"
    check_sql "$1: number of segments" "$result" "$count" "SELECT count(*) FROM segments"
    tolerance=1e-3
    same_table "$1" "$reference" "$result" segments segment_id segment_id up_node down_node width_mm
    sql "$reference" "SELECT segment_id, method FROM segments ORDER BY 1" >"$scratch/wanted"
    sql "$result" "SELECT segment_id, method FROM segments ORDER BY 1" >"$scratch/found"
    differ=$(diff "$scratch/wanted" "$scratch/found" | grep -c '^<')
    check "$1: at most three methods differ ($differ)" 1 "$((differ <= 3))"
}
make "$home/mercator.gpkg" -f GPKG -t_srs EPSG:3857 -nln sewers && {
    plan_with network "from: mercator.gpkg" >"$home/other.yaml"
    rm -rf "$scratch/copy/out"
    expect_exit 0 "GeoPackage in web Mercator" "$haunch" run --quiet "$home/other.yaml"
    near_result "GeoPackage in web Mercator"
}
sed -i "s/^  where: \"STATUS.*/  where: \"$whole\"/" "$home/plan.yaml"

# ---- inspections ----------------------------------------------------------------------------------
refer_to "$whole"
# as a spreadsheet keeps them: numbers and dates have types, ids are texts
table=$home/inspections.csv
printf '"String","String","String","String","Date","String","Real","Integer","Integer","Real","Real","Integer","String","String","Integer","Integer","String","String"\n' \
    >"$home/inspections.csvt"
# other FILE OPTION ...
other() {
    file=$1
    shift
    ogr2ogr "$@" "$file" "$table" inspections >"$out" 2>"$err" || {
        fail "writing $file" "" "$(excerpt "$err")"
        return 1
    }
}
other "$home/inspections.gpkg" -f GPKG && try "inspections as GeoPackage table" inspections "from: inspections.gpkg;layer: inspections"
other "$home/inspections.xlsx" -f XLSX && try "inspections as XLSX" inspections "from: inspections.xlsx;layer: inspections"
other "$home/inspections.ods" -f ODS && try "inspections as ODS" inspections "from: inspections.ods;layer: inspections"
try "inspections as CSV with types" inspections "from: inspections.csv"
rm "$home/inspections.csvt"
tr ',' ';' <"$table" >"$home/semicolon.csv"
try "inspections as CSV with semicolons" inspections "from: semicolon.csv"
sed 's/$/\r/' "$table" | sed '1s/^/\xef\xbb\xbf/' >"$home/windows.csv"
try "inspections as CSV of a spreadsheet" inspections "from: windows.csv"
other "$home/texts.xlsx" -f XLSX && try "inspections as XLSX of texts" inspections "from: texts.xlsx"
finish

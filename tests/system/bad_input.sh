#!/bin/sh
# Sources that cannot be read, and sources that can and should not be trusted: broken
# files, geometries, values and names. What cannot be used is refused without harm;
# what can be is used and the rest is listed.
. "$(dirname "$0")/lib_system.sh"
need_tools sqlite3 ogr2ogr ogrinfo
. "$(dirname "$0")/lib_small_town.sh"
cd "$town" || exit 2
result=$town/out/result.gpkg
source_sum=$(sha256sum <net.gpkg)

# ---- the network ----------------------------------------------------------------------------------
plan_as 's/net.gpkg/none.gpkg/'
refused 3 "missing file" network none.gpkg
plan_as 's/layer: sewers/layer: sowers/'
refused 3 "missing layer" network net.gpkg sowers 'did you mean "sewers"'
plan_as 's/field: MAT,/field: MATT,/'
refused 3 "missing field" network MATT material 'did you mean "MAT"'
plan_as 's/net.gpkg/insp.csv/; s/layer: sewers/layer: insp/'
refused 3 "table instead of a layer" network insp.csv geometry
plan_as 's/from: net.gpkg/from: ./'
refused 3 "folder instead of a file" network
plan_as 's/net.gpkg/\/dev\/null/'
refused 3 "device instead of a file" network /dev/null
head -c 60000 net.gpkg >cut.gpkg
plan_as 's/net.gpkg/cut.gpkg/'
refused 3 "file that is cut off" network cut.gpkg
cp net.gpkg noise.gpkg
head -c 30000 /dev/zero | tr '\0' 'Z' | dd of=noise.gpkg bs=1 seek=5000 conv=notrunc 2>"$err"
plan_as 's/net.gpkg/noise.gpkg/'
refused 3 "file with noise in it" network noise.gpkg

plan_as 's/net.gpkg/net.csv/; /layer: sewers/d'
refused 3 "text without CRS" network net.csv "coordinate system" "crs:"
ogr2ogr -f "ESRI Shapefile" bare.shp net.gpkg sewers && rm -f bare.prj
plan_as 's/net.gpkg/bare.shp/; /layer: sewers/d'
refused 3 "Shapefile without .prj" network bare.shp "coordinate system" "crs:"
to_gpkg net.csv bare.gpkg sewers
plan_as 's/net.gpkg/bare.gpkg/'
refused 3 "GeoPackage layer without CRS" network "crs"
plan_as 's/layer: sewers/layer: sewers\n  crs: EPSG:4326/'
refused 3 "CRS that cannot be that of the coordinates" network "crs"
plan_as 's/layer: sewers/layer: sewers\n  crs: EPSG:999999/'
refused 3 "CRS that is not there" network EPSG:999999
plan_as 's/layer: sewers/layer: sewers\n  crs: EPSG:4978/'
refused 3 "CRS of three axes" network EPSG:4978

to_gpkg net.csv empty.gpkg sewers -a_srs EPSG:25832 -where "ID = 'none'"
plan_as 's/net.gpkg/empty.gpkg/'
refused 3 "empty layer" network sewers empty
filter() { # CONDITION
    plan_as "s/layer: sewers/layer: sewers\n  where: \"$1\"/"
}
filter "MAT = 'XX'"
refused 3 "where that lets nothing through" network where
filter "MAT == = 'VC'"
refused 3 "where with an error" network where "MAT == = 'VC'"
filter "MATT = 'VC'"
refused 3 "where on an unknown field" network where MATT "MAT,"
filter "MAT = 'VC'; DROP TABLE sewers"
refused 2 "where with a second statement" plan.yaml where semicolon
check "no source is changed by a where" "$source_sum" "$(sha256sum <net.gpkg)"

# ---- values -----------------------------------------------------------------------------------------
cp net.gpkg nulls.gpkg
ogrinfo -q nulls.gpkg -sql "UPDATE sewers SET UP = NULL, DN = NULL, MAT = NULL, SHAPE = NULL, DN_MM = NULL,
    YEAR = NULL, DEPTH = NULL, STREET = NULL" >"$out" 2>&1
plan_as 's/net.gpkg/nulls.gpkg/'
runs "all values null"
check_sql "all values null: said for every row" "$result" "6|6|6" "SELECT sum(rule = 'width_missing'),
    sum(rule = 'material_missing'), sum(rule = 'shape_missing') FROM data_issues"
check_sql "all values null: stays unknown" "$result" "0|0" "SELECT count(width_mm), count(year_built) FROM segments"
ogrinfo -q nulls.gpkg -sql "UPDATE sewers SET ID = NULL" >"$out" 2>&1
runs "all ids null"
check_sql "all ids null: said, and each has one" "$result" "6|6" "SELECT
    (SELECT count(*) FROM data_issues WHERE rule = 'segment_id_missing'), count(DISTINCT segment_id) FROM segments"
ogrinfo -q nulls.gpkg -sql "UPDATE sewers SET geom = NULL" >"$out" 2>&1
refused 3 "no lines and no lengths" network sewers
sed 's/,300,/,wide,/; s/,1890,/,0000,/; s/circle/circus/' net.csv >odd.csv
to_gpkg odd.csv odd.gpkg sewers -a_srs EPSG:25832
plan_as 's/net.gpkg/odd.gpkg/'
runs "values that are none"
check_rows "values that are none: listed with field and value" "$result" "SELECT 1 WHERE NOT EXISTS
    (SELECT 1 FROM data_issues WHERE value = 'wide' AND field = 'width' AND segment_id = 'P1')"
check_sql "values that are none: a shape that is not known is listed" "$result" 4 \
    "SELECT count(*) FROM data_issues WHERE value = 'circus'"
sed 's/,300,/,1e999,/; s/,400,/,-400,/; s/,200,/,nan,/' net.csv >huge.csv
ogr2ogr -f GPKG huge.gpkg huge.csv -nln sewers -nlt LINESTRING -a_srs EPSG:25832 >"$out" 2>&1
plan_as 's/net.gpkg/huge.gpkg/'
runs "numbers that are none"
check_rows "numbers that are none: never used" "$result" "SELECT segment_id, width_mm, cost FROM segments
    WHERE width_mm > 1e6 OR cost > 1e12 OR cost < 0"

# ---- inspections ---------------------------------------------------------------------------------------
sed 's/^P/Q/' insp.csv >others.csv
plan_as 's/insp.csv/others.csv/'
runs "inspections that match nothing" "seen       0 segments"
check_sql "inspections that match nothing: each is listed" "$result" "3|3" "SELECT
    (SELECT records FROM match_report WHERE matched_by = 'no segment found'), count(*) FROM data_issues
    WHERE rule = 'inspection_unmatched'"
head -n 1 insp.csv >header.csv
plan_as 's/insp.csv/header.csv/'
runs "inspections without rows"
sed 's/2020-05-01/soon/; s/,4,/,9,/' insp.csv >weird.csv
plan_as 's/insp.csv/weird.csv/'
runs "a date and a grade that are none"
check_sql "a date and a grade that are none: file, row, field, value" "$result" "grade_structural|9|2,inspected_on|soon|1" "
    SELECT group_concat(field || '|' || value || '|' || substr(effect, -1)) FROM (SELECT * FROM data_issues
    WHERE rule IN ('grade_off_scale', 'value_not_a_date') ORDER BY field)"
check_sql "a date and a grade that are none: not used" "$result" 1 "SELECT count(*) FROM segments WHERE
    segment_id = 'P2' AND grade_structural_1_5 IS NULL"
plan_as 's/insp.csv/none.csv/'
refused 3 "missing inspections" "inspections[1]" none.csv
plan_as 's/field: DAY/field: DAYS/'
refused 3 "missing field of the inspections" "inspections[1]" DAYS 'did you mean "DAY"'

# ---- context ----------------------------------------------------------------------------------------------
context() { # SOURCE
    plan_as "s#^programme:#context:\n  rail: {$1}\nprogramme:#"
}
context "from: rail.gpkg, search_m: 50"
runs "rail near"
check_sql "rail near: distances" "$result" "3.00|0.00" "SELECT
    (SELECT printf('%.2f', near_rail_m) FROM segments WHERE segment_id = 'P1'),
    (SELECT printf('%.2f', near_rail_m) FROM segments WHERE segment_id = 'P2')"
context "from: rail.gpkg, where: N = 9, search_m: 50"
runs "context of which nothing is read"
check_sql "context of which nothing is read: said" "$result" "1|0" \
    "SELECT count(*), (SELECT count(near_rail_m) FROM segments) FROM data_issues WHERE field = 'context.rail'"
to_gpkg rail.csv nothing.gpkg rail -a_srs EPSG:25832 -where "N = 9"
context "from: nothing.gpkg, search_m: 50"
runs "empty context layer"
check_sql "empty context layer: said" "$result" "1|0" \
    "SELECT count(*), (SELECT count(near_rail_m) FROM segments) FROM data_issues WHERE rule = 'context_empty'"
to_gpkg rail.csv south.gpkg rail -a_srs EPSG:32732
context "from: south.gpkg, search_m: 50"
runs "context layer in another hemisphere"
check_sql "context layer in another hemisphere: said" "$result" "1|0" \
    "SELECT count(*), (SELECT count(near_rail_m) FROM segments) FROM data_issues WHERE rule = 'context_far_away'"
# straight in another CRS is not straight here: 300 m bend by some 2 mm
for crs in EPSG:4326 EPSG:25833 EPSG:3035; do
    ogr2ogr -f GPKG other_crs.gpkg rail.gpkg rail -t_srs $crs -segmentize 5 >"$out" 2>"$err"
    context "from: other_crs.gpkg, search_m: 50"
    runs "context layer in $crs"
    check_sql "context layer in $crs: distances" "$result" "3.00|0.00" "SELECT
        (SELECT printf('%.2f', near_rail_m) FROM segments WHERE segment_id = 'P1'),
        (SELECT printf('%.2f', near_rail_m) FROM segments WHERE segment_id = 'P2')"
    rm -f other_crs.gpkg
done
# A bow tie around P6, an area without points, a ring that does not end where it begins
# (its open leg runs beside P1), one without a place, one of two points, one that is sound.
cat >areas.csv <<'CSV'
WKT,N
"POLYGON ((400190 6051990,400270 6052060,400270 6051990,400190 6052060,400190 6051990))",1
"POLYGON EMPTY",2
"POLYGON ((399990 6052002,399990 6052100,400060 6052100,400060 6052002))",3
"POLYGON ((nan nan,400060 6052100,400060 6052002,nan nan))",4
"POLYGON ((400000 6051990,400010 6051990,400000 6051990))",5
"POLYGON ((400090 6052050,400110 6052050,400110 6052070,400090 6052070,400090 6052050))",6
CSV
ogr2ogr -f GPKG areas.gpkg areas.csv -nln zone -nlt POLYGON -a_srs EPSG:25832 -oo KEEP_GEOM_COLUMNS=NO >"$out" 2>"$err"
context "from: areas.gpkg, search_m: 50"
runs "context areas that are broken"
check_sql "context areas that are broken: said" "$result" "context_area_mended|2 areas
context_ring_closed|1 rings
context_shape_unusable|2 of 6 features" "SELECT rule, value FROM data_issues WHERE field = 'context.rail' ORDER BY 1"
check_sql "context areas that are broken: distances all the same" "$result" "2.0|0.0|0.0" "SELECT
    (SELECT printf('%.1f', near_rail_m) FROM segments WHERE segment_id = 'P1'),
    (SELECT printf('%.1f', near_rail_m) FROM segments WHERE segment_id = 'P5'),
    (SELECT printf('%.1f', near_rail_m) FROM segments WHERE segment_id = 'P6')"
context "from: rail.csv, search_m: 50"
refused 3 "context layer without CRS" context.rail rail.csv "coordinate system"
context "from: insp.csv, search_m: 50"
refused 3 "context that is a table" context.rail insp.csv
context "from: rail.gpkg, layer: rial, search_m: 50"
refused 3 "missing context layer" context.rail rial 'did you mean "rail"'

# ---- geometries ------------------------------------------------------------------------------------------------
feature() { # ID GEOMETRY
    printf '{"type":"Feature","properties":{"ID":"%s","MAT":"VC","DN_MM":300,"SHAPE":"circle"},"geometry":%s}' "$1" "$2"
}
{
    printf '{"type":"FeatureCollection","features":[\n'
    for line in '[[7,54],[7.001,54]]' '[]' '[[7,54]]' '[[7,54],[7,54],[7,54]]' '[[1e300,54],[7,1e300]]' \
        '[[1e999,54],[7,54]]' '[[7,95],[7,54]]' '[["x",54],[7,54]]' '[[7],[8]]' '[null,[7,54]]'; do
        lines=$((${lines:-0} + 1))
        feature "L$lines" "{\"type\":\"LineString\",\"coordinates\":$line}"
        printf ',\n'
    done
    feature A '{"type":"Point","coordinates":[7,54]}'
    printf ',\n'
    feature B '{"type":"Polygon","coordinates":[[[7,54],[7.001,54],[7.001,54.001],[7,54]]]}'
    printf ',\n'
    feature C '{"type":"MultiLineString","coordinates":[]}'
    printf ',\n'
    feature D null
    printf ',\n'
    feature E '{"type":"LineString","coordinates":[[179.9999,54],[-179.9999,54]]}'
    printf ']}\n'
} >broken.geojson
sed -i '/^ *layer:/d; /up_node/d; /down_node/d; /year_built/d; /depth_/d; /street/d; s/net.gpkg/broken.geojson/' good.yaml
plan_as 's/Small town/Broken lines/'
runs "broken lines"
check_rows "broken lines: each row is a segment or an error" "$result" "
    WITH wanted(id) AS (VALUES ('L1'), ('L2'), ('L3'), ('L4'), ('L5'), ('L6'), ('L7'), ('L8'), ('L9'), ('L10'),
        ('A'), ('B'), ('C'), ('D'), ('E'))
    SELECT id FROM wanted WHERE id NOT IN (SELECT segment_id FROM segments) AND id NOT IN
    (SELECT segment_id FROM data_issues WHERE severity = 'error' AND rule LIKE 'geometry%' OR rule LIKE 'coordinates%')"
check_rows "broken lines: no length from them" "$result" \
    "SELECT segment_id, length_m FROM segments WHERE NOT (length_m BETWEEN 1 AND 200)"
check_sql "a line across the date line is short" "$result" 13 "SELECT CAST(length_m AS INTEGER) FROM segments WHERE segment_id = 'E'"
head -c 900 broken.geojson >cut.geojson
plan_as 's/broken.geojson/cut.geojson/'
refused 3 "GeoJSON that is cut off" network cut.geojson

cp net.gpkg blobs.gpkg
ogrinfo -q blobs.gpkg -sql "UPDATE sewers SET geom = x'47500001E864000001020000' WHERE ID = 'P1'" >"$out" 2>&1
ogrinfo -q blobs.gpkg -sql "UPDATE sewers SET geom = x'DEADBEEF' WHERE ID = 'P2'" >"$out" 2>&1
ogrinfo -q blobs.gpkg -sql "UPDATE sewers SET geom = 'words' WHERE ID = 'P3'" >"$out" 2>&1
# a line that says that it has four thousand million points
ogrinfo -q blobs.gpkg -sql "UPDATE sewers SET geom = x'47500001E8640000010200000000FFFFFFFF0000000000000000' WHERE ID = 'P4'" >"$out" 2>&1
plan_as 's/broken.geojson/blobs.gpkg/'
runs "damaged geometries"
check_sql "damaged geometries: listed" "$result" "P1,P2,P3,P4" "SELECT group_concat(segment_id) FROM
    (SELECT segment_id FROM data_issues WHERE rule LIKE 'geometry%' AND severity = 'error' ORDER BY 1)"
check_sql "damaged geometries: the others are there" "$result" "P5,P6" \
    "SELECT group_concat(segment_id) FROM (SELECT segment_id FROM segments ORDER BY 1)"

# ---- hostile names -------------------------------------------------------------------------------------------------
long=$(head -c 20000 /dev/zero | tr '\0' 'x')
{
    echo 'WKT,ID,UP,DN,MAT,SHAPE,DN_MM,YEAR,DEPTH,STREET'
    number=0
    for pair in '<script>alert(1)</script>|St. <b>&amp;</b> ]]>' '=1+1|=HYPERLINK(""http://x"")' '+cmd|@SUM(A1)' \
        '-2+3|-x' "O'Brien; DROP TABLE segments;--|he said \"\"hi\"\"" "$long|$long" 'new
line|two
lines' 'ümläut 渠|Straße' 'a,b;c|%s%n%p{width_mm}' '../../etc|C:\x' '${HOME}`id`|$(id)'; do
        x=$((400000 + 50 * number))
        number=$((number + 1))
        printf '"LINESTRING (%d 6052000,%d 6052000)","%s",M%d,M%d,VC,circle,300,1900,2.5,"%s"\n' \
            "$x" $((x + 50)) "${pair%%|*}" "$number" $((number + 1)) "${pair#*|}"
    done
    printf '"LINESTRING (400600 6052000,400650 6052000)",bad\377\376id,M20,M21,VC,circle,300,1900,2.5,\351t\351\n'
} >hostile.csv
sed 's/P1/=1+1/' insp.csv >hostile_insp.csv
sed -e "s/broken.geojson/hostile.csv\n  crs: EPSG:25832/; s/insp.csv/hostile_insp.csv/" \
    -e 's/    shape: SHAPE/    shape: SHAPE\n    up_node: UP\n    down_node: DN\n    street: STREET\n    district: STREET/' \
    -e 's/^title: .*/title: "<script>x<\/script> \\"q\\" ]]> =1+1"/' good.yaml >plan.yaml
runs "hostile names"
check_sql "hostile names: all are there, as they were" "$result" "12|1|1|1|1|20000" "SELECT count(*),
    sum(segment_id = '<script>alert(1)</script>'), sum(segment_id = 'O''Brien; DROP TABLE segments;--'),
    sum(segment_id = '=1+1' AND street = '=HYPERLINK(\"http://x\")' AND grade_structural_1_5 = 5),
    sum(segment_id = 'new' || char(10) || 'line'), max(length(segment_id)) FROM segments"
check_sql "hostile names: text that is not UTF-8 is listed" "$result" 1 \
    "SELECT count(*) > 0 FROM data_issues WHERE rule = 'text_not_utf8'"
for file in out/run.json out/tables/*.csv; do
    check "${file##*/} is UTF-8" "" "$(iconv -f UTF-8 -t UTF-8 "$file" 2>&1 >/dev/null)"
done
check "run.json keeps the title" '<script>x</script> "q" ]]> =1+1' \
    "$(sqlite3 -batch :memory: "SELECT json_extract(readfile('out/run.json'), '\$.title')")"
table_rows=$(printf '.mode csv\n.import out/tables/segments.csv t\n.mode list\nSELECT count(*) FROM t;\n' | sqlite3 -batch)
check "segments.csv has a row for each" 12 "$table_rows"
guarded="substr(segment_id, 1, 1) IN ('=', '+', '@', '-') OR substr(street, 1, 1) IN ('=', '+', '@', '-')"
check "segments.csv: no cell begins a formula" "" "$(printf '%s\n' '.mode csv' '.import out/tables/segments.csv t' \
    '.mode list' "SELECT segment_id, street FROM t WHERE $guarded;" | sqlite3 -batch 2>&1)"
if command -v unzip >/dev/null 2>&1 && command -v xmllint >/dev/null 2>&1; then
    mkdir sheets
    (cd sheets && unzip -qo ../out/tables.xlsx)
    for file in $(find sheets -name '*.xml' -o -name '*.rels'); do
        check "$file is XML" "" "$(xmllint --noout "$file" 2>&1 | head -n 2)"
    done
    check "no formula in the workbook" "" "$(grep -rl '<f[ >]' sheets | head -n 3)"
else
    skip "no unzip or xmllint for the workbook"
fi
check "the workbook can be read" 12 "$(ogrinfo -ro -so out/tables.xlsx segments 2>/dev/null | sed -n 's/^Feature Count: //p')"
sql "$result" "SELECT metadata FROM gpkg_metadata LIMIT 1" >metadata.xml
! command -v xmllint >/dev/null 2>&1 || check "metadata is XML" "" "$(xmllint --noout metadata.xml 2>&1 | head -n 2)"
expect_exit 0 "check of hostile names" "$haunch" check plan.yaml
# a terminal must not get codes from the data
printf 'ID,DAY,G,DONE\n\033[31mred\007,2020-05-01,5,yes\n' >escape.csv
sed 's/hostile_insp.csv/escape.csv/' plan.yaml >escape.yaml
expect_exit 0 "check of names with codes of a terminal" "$haunch" check escape.yaml
check "no code of a terminal is printed" 0 "$(tr -d '\n' <"$out" | tr -cd '\033\007' | wc -c)"
check "no source is changed" "$source_sum" "$(sha256sum <net.gpkg)"
finish

#!/bin/sh
# haunch explain, looked at from outside: its numbers are those of the layers and
# tables, its forms are whole, and it refuses what does not belong together any more.
. "$(dirname "$0")/lib_system.sh"
need_tools sqlite3 python3
compare=$source/tests/system/explain_compare.py

copy_sample "$scratch/copy"
plan=$scratch/copy/sample-gis/plan.yaml
expect_exit 0 "run of the sample" "$haunch" run --quiet "$plan"
result=$scratch/copy/out/sample
gpkg=$result/result.gpkg
hashes_of "$scratch/copy" >"$scratch/before"

explain() {
    "$haunch" explain --quiet "$@"
}
segment_where() { # CONDITION: the best ranked segment that it holds for
    sql "$gpkg" "SELECT segment_id FROM segments WHERE $1 ORDER BY priority LIMIT 1"
}
plain=$(segment_where "method = 'cured_in_place' AND shape = 'circle' AND programme = 'funded'")

# ---- numbers ------------------------------------------------------------------------
# two of every method and state, and what is rare
sql "$gpkg" "SELECT min(segment_id) FROM segments GROUP BY ifnull(method, ''), programme, ifnull(shape, '')
    UNION SELECT max(segment_id) FROM segments GROUP BY ifnull(method, ''), programme
    UNION SELECT segment_id FROM segments WHERE is_overridden
    UNION SELECT min(segment_id) FROM segments GROUP BY act_now_rule
    UNION SELECT min(segment_id) FROM segments GROUP BY condition_basis
    UNION SELECT min(segment_id) FROM segments WHERE merged_from <> ''" >"$scratch/ids"
count=$(wc -l <"$scratch/ids")
[ "$count" -ge 40 ] && pass || fail "segments that are compared" "40 and more" "$count"
check "segments of all methods in the comparison" "$(sql "$gpkg" "SELECT count(DISTINCT method) FROM segments")" \
    "$(sql "$gpkg" "SELECT count(DISTINCT method) FROM segments WHERE segment_id IN ($(sed "s/.*/'&'/" "$scratch/ids" |
        paste -s -d ,))")"
python3 "$compare" "$haunch" "$result" <"$scratch/ids" >"$out" 2>"$err"
check_empty "comparison: standard error" "$err"
check "numbers of $count segments are those of layers and tables" "faults 0" \
    "$(grep -v '^segments' "$out" | head -n 6)"
check_has "comparison: numbers" "segments $count, " "$out"
check_has "comparison: numbers, and formulas worked out again" "numbers many, formulas many" "$out"

# the comparison can fail: a copy of the result with another cost in the options
cp -R "$scratch/copy" "$scratch/spoilt"
spoilt=$scratch/spoilt/out/sample
sqlite3 "$spoilt/result.gpkg" "UPDATE options SET main_cost = main_cost + 1 WHERE segment_id = '$plain'"
python3 "$compare" "$haunch" "$spoilt" "$plain" >"$out" 2>"$err"
check_has "comparison finds a changed number" "main_cost" "$out"
check_lacks "comparison finds a changed number" "faults 0" "$out"

# ---- forms -----------------------------------------------------------------------------
well_formed() { # FILE
    python3 -c 'import sys, xml.etree.ElementTree as e; e.parse(sys.argv[1])' "$1"
}
whole_json() { # FILE
    python3 -c 'import sys, json; json.load(open(sys.argv[1], encoding="utf-8"))' "$1"
}
widest() { # FILE
    python3 -c 'import sys; print(max(len(l.rstrip("\n")) for l in open(sys.argv[1], encoding="utf-8")))' "$1"
}
for condition in "id = 0" "shape = 'egg' AND wall_mm > 0" "shape = 'horseshoe'" "shape = 'channel'" \
    "shape = 'rectangle'" "shape = 'arch'" "shape IS NULL" "method IS NULL" "programme = 'committed'" \
    "programme = 'unfunded'" "method = 'ring_and_panel'"; do
    case $condition in id*) id=$plain ;; *) id=$(segment_where "$condition") ;; esac
    expect_exit 0 "text of $id ($condition)" explain "$result" "$id"
    check_empty "text of $id: standard error" "$err"
    check_has "text of $id: verdict" "Summary" "$out"
    check_lacks "text of $id: nothing unprintable" " nan" "$out"
    check_lacks "text of $id: nothing unprintable" "(null)" "$out"
    [ "$(widest "$out")" -le 100 ] && pass || fail "text of $id: width" "100 columns" "$(widest "$out")"
    expect_exit 0 "html of $id" explain "$result" "$id" --format html
    cp "$out" "$scratch/sheet.html"
    expect_exit 0 "html of $id is well-formed" well_formed "$scratch/sheet.html"
    check_lacks "html of $id: no script" "<script" "$scratch/sheet.html"
    check "html of $id: nothing is fetched" "" \
        "$(grep -oE '(src|href|url)=?\(?["'\'']?(https?:|//)[^ >]*' "$scratch/sheet.html" | head -n 2)"
done
explain "$result" "$plain" --format html >"$scratch/sheet.html"
check_has "html has the figure" '<svg xmlns="http://www.w3.org/2000/svg" role="img"' "$scratch/sheet.html"
check_has "html has the wall in the figure" "wall of the lining" "$scratch/sheet.html"
expect_exit 0 "json" explain "$result" "$plain" --format json
cp "$out" "$scratch/one.json"
expect_exit 0 "json with one thread" explain "$result" "$plain" --format json --threads 1
check "json does not depend on the threads" "" "$(cmp "$scratch/one.json" "$out" 2>&1)"
for named in "$gpkg" "$result/run.json" "$result/"; do
    expect_exit 0 "result named as ${named##*/}" explain "$named" "$plain" --format json
    check "the same sheet from ${named##*/}" "" "$(cmp "$scratch/one.json" "$out" 2>&1)"
done
piece=$(sql "$gpkg" "SELECT merged_from FROM segments WHERE merged_from LIKE segment_id || '; %' ORDER BY segment_id LIMIT 1")
last=${piece##*; }
expect_exit 0 "a piece that was merged into a reach" explain "$result" "$last"
check_has "the piece is named" "asked for as $last" "$out"
expect_exit 0 "into a file" explain "$result" "$plain" --format json --output "$scratch/new.json"
check "the file holds the sheet" "" "$(cmp "$scratch/one.json" "$scratch/new.json" 2>&1)"
hashes_of "$scratch/copy" >"$scratch/after"
check "nothing of plan, sources and result is altered" "" "$(diff "$scratch/before" "$scratch/after")"

# ---- US customary units -----------------------------------------------------------------
copy_sample "$scratch/us"
sed -i 's/^units: si/units: us/' "$scratch/us/sample-gis/plan.yaml"
expect_exit 0 "run in US units" "$haunch" run --quiet "$scratch/us/sample-gis/plan.yaml"
python3 "$compare" "$haunch" "$scratch/us/out/sample" "$plain" "$(segment_where "method = 'ring_and_panel'")" \
    "$(segment_where "shape = 'egg' AND wall_mm > 0")" >"$out" 2>"$err"
check "numbers in US units are those of the layer" "faults 0" "$(grep -v '^segments' "$out" | head -n 6)"
expect_exit 0 "text in US units" explain "$scratch/us/out/sample" "$plain"
check_has "text in US units: lengths" " ft " "$out"
check_lacks "text in US units: no millimetres of width" " mm     recorded" "$out"
other=$(sql "$gpkg" "SELECT segment_id FROM segments WHERE segment_id <> '$plain' AND length_m > 0 LIMIT 1")
expect_exit 0 "two segments in US units" explain "$scratch/us/out/sample" "$plain" "$other" --format json
check "length in feet beside its unit" "yes" "$(python3 -c "
import json, sqlite3, sys
rows = json.load(open(sys.argv[1]))
def find(x):
    if isinstance(x, dict):
        if x.get('what') == 'Length used':
            return x
        x = list(x.values())
    if isinstance(x, list):
        for y in x:
            z = find(y)
            if z:
                return z
row = find(rows)
db = sqlite3.connect(sys.argv[2])
feet = {r[0] for r in db.execute('SELECT round(length_ft, 3) FROM segments WHERE segment_id IN (?, ?)', sys.argv[3:])}
print('yes' if row['unit'] == 'ft' and {round(row['first'], 3), round(row['second'], 3)} == feet else (row, feet))
" "$out" "$scratch/us/out/sample/result.gpkg" "$plain" "$other")"

# ---- refused ------------------------------------------------------------------------------
# refuse CODE LABEL TEXT ARGUMENT ...
refuse() {
    lib_code=$1 lib_what=$2 lib_text=$3
    shift 3
    expect_exit "$lib_code" "$lib_what" "$haunch" explain "$@"
    check_has "$lib_what: message" "$lib_text" "$err"
    check_has "$lib_what: way out" "haunch: hint: " "$err"
    check_empty "$lib_what: standard output" "$out"
}
refuse 3 "unknown id" 'there is no segment "S10-00011"' "$result" S10-00011
check_has "unknown id: the nearest" "nearest ids: S10-0001" "$err"
refuse 3 "an id like nothing" "there is no segment" "$result" "$(printf 'x%.0s' 1 2 3 4 5 6 7 8 9)zzzzzzzzzzzzzzzzzz"
refuse 2 "one operand" "takes RESULT ID" "$result"
refuse 2 "unknown format" 'not "pdf"' "$result" "$plain" --format pdf
refuse 3 "no such result" "is neither a folder" "$scratch/nothing" "$plain"
refuse 3 "a folder without run.json" "run.json" "$scratch" "$plain"
refuse 4 "output exists" "exists already" "$result" "$plain" --output "$scratch/new.json"
refuse 4 "output in a folder that is not there" "could not make" "$result" "$plain" --output "$scratch/none/a.html"
check "the file of before is untouched" "" "$(cmp "$scratch/one.json" "$scratch/new.json" 2>&1)"

# statement on a copied result, whose triggers ask for functions of a GIS
change_layer() {
    sqlite3 out/sample/result.gpkg "SELECT 'DROP TRIGGER \"' || name || '\";' FROM sqlite_master
        WHERE type = 'trigger' AND tbl_name = 'segments'" | sqlite3 out/sample/result.gpkg
    sqlite3 out/sample/result.gpkg "$1"
}
# refuse_when LABEL TEXT COMMAND: a fresh copy, changed by the command in its folder
refuse_when() {
    rm -rf "$scratch/bad"
    cp -R "$scratch/copy" "$scratch/bad"
    (cd "$scratch/bad" && eval "$3") >"$out" 2>&1 || fail "$1: the test changes the copy" "" "$(excerpt "$out")"
    refuse 3 "$1" "$2" "$scratch/bad/out/sample" "$plain"
}
refuse_when "a changed source" "source inspections[1] has changed" "echo >>sample-gis/inspections.csv"
refuse_when "a source that is gone" "source network is gone" "rm sample-gis/network.gpkg"
refuse_when "a changed table" "rates.csv" "sed -i 's/,110,EUR/,111,EUR/' config/rates.csv"
refuse_when "a changed register of decisions" "overrides.csv" "echo >>sample-gis/overrides.csv"
refuse_when "a changed plan" "the plan has changed" "echo '# later' >>sample-gis/plan.yaml"
refuse_when "a plan that is gone" "the plan is gone" "rm sample-gis/plan.yaml"
check_has "a plan that is gone: way out" "--plan FILE" "$err"
refuse_when "run.json that is no JSON" "is no run.json of haunch" "echo '{' >out/sample/run.json"
refuse_when "run.json of something else" "is no run.json of haunch" "echo '{\"result\": 1}' >out/sample/run.json"
refuse_when "an empty run.json" "is no run.json of haunch" ": >out/sample/run.json"
refuse_when "run.json of an older haunch" "does not say which plan" "sed -i '/plan_sha256/d' out/sample/run.json"
refuse_when "no result.gpkg" "result.gpkg" "rm out/sample/result.gpkg"
refuse_when "result.gpkg that is no database" "result.gpkg" "echo text >out/sample/result.gpkg"
refuse_when "result.gpkg cut in two" "result.gpkg" "truncate -s 100000 out/sample/result.gpkg"
refuse_when "a number of the layer changed" "column cost of layer segments" \
    "change_layer \"UPDATE segments SET cost = cost + 1 WHERE segment_id = '$plain'\""
refuse_when "a column of the layer missing" "column wall_mm of layer segments" \
    "change_layer 'ALTER TABLE segments RENAME COLUMN wall_mm TO wall'"
refuse_when "the row of the layer missing" "has no segment" \
    "change_layer \"UPDATE segments SET segment_id = 'other' WHERE segment_id = '$plain'\""

# a result that was moved with its plan, and a plan that was moved alone
rm -rf "$scratch/bad" && cp -R "$scratch/copy" "$scratch/moved"
expect_exit 0 "moved together" explain "$scratch/moved/out/sample" "$plain" --format json
check "moved together: the same sheet" "" "$(cmp "$scratch/one.json" "$out" 2>&1)"
mv "$scratch/moved/sample-gis/plan.yaml" "$scratch/moved/sample-gis/renamed.yaml"
expect_exit 0 "plan moved alone" explain "$scratch/moved/out/sample" "$plain" --format json \
    --plan "$scratch/moved/sample-gis/renamed.yaml"
check "plan moved alone: the same sheet" "" "$(cmp "$scratch/one.json" "$out" 2>&1)"

# ---- hostile names ---------------------------------------------------------------------------
. "$(dirname "$0")/lib_small_town.sh"
bad='P1"<script>alert(1)</script>&'
escape=$(printf '\033')
sed -i "s|,P1,|,P1\"\"<script>alert(1)</script>\&,|; s|Low Street|Low ${escape}[31mStreet ]]> --|" "$town/net.csv"
# the id has a quote and so its field is quoted
sed -i 's|,P1""\(.*\)&,M1|,"P1""\1\&",M1|' "$town/net.csv"
rm -f "$town/net.gpkg"
to_gpkg net.csv net.gpkg sewers -a_srs EPSG:25832
expect_exit 0 "run with hostile names" run_town
expect_exit 0 "hostile id, text" explain "$town/out" "$bad"
check_has "hostile id, text: the id stays text" "$bad" "$out"
check_lacks "hostile id, text: no escape sequence" "$escape" "$out"
expect_exit 0 "hostile id, html" explain "$town/out" "$bad" --format html
cp "$out" "$scratch/sheet.html"
check_lacks "hostile id, html: no element" "<script" "$scratch/sheet.html"
expect_exit 0 "hostile id, html is well-formed" well_formed "$scratch/sheet.html"
expect_exit 0 "hostile id, json" explain "$town/out" "$bad" --format json
cp "$out" "$scratch/sheet.json"
expect_exit 0 "hostile id, json is whole" whole_json "$scratch/sheet.json"
refuse 3 "SQL as an id" "there is no segment" "$town/out" "' OR 1=1 --"
expect_exit 0 "an id that begins with a hyphen is no option" "$haunch" explain --quiet "$town/out" -- P2

# ---- what would weaken the proof, or hang ----------------------------------------------
rm -rf "$scratch/spoilt" && cp -R "$scratch/copy" "$scratch/spoilt"
spoilt=$scratch/spoilt/out/sample
sqlite3 "$spoilt/result.gpkg" "SELECT 'DROP TRIGGER \"' || name || '\";' FROM sqlite_master WHERE type = 'trigger'" >"$scratch/drop.sql"
sqlite3 "$spoilt/result.gpkg" <"$scratch/drop.sql"
sqlite3 "$spoilt/result.gpkg" "UPDATE segments SET cost = 9e999 WHERE segment_id = '$plain'"
expect_exit 3 "an infinite cost in the layer" explain "$spoilt" "$plain"
cp "$gpkg" "$spoilt/result.gpkg"
python3 - "$spoilt/run.json" <<'WEAK'
import json, sys
run = json.load(open(sys.argv[1]))
run["sources"] = []
json.dump(run, open(sys.argv[1], "w"))
WEAK
expect_exit 3 "no sources in run.json" explain "$spoilt" "$plain"
sed 's/"plan_sha256": "[0-9a-f]*"/"plan_sha256": ""/' "$result/run.json" >"$spoilt/run.json"
expect_exit 3 "no hash of the plan" explain "$spoilt" "$plain"
rm "$spoilt/run.json" && mkfifo "$spoilt/run.json"
expect_exit 3 "run.json is a pipe" timeout 20 "$haunch" explain --quiet "$spoilt" "$plain"
escape=$(printf '\033[31mx\nhaunch: error: y')
explain "$result" "$escape" >"$out" 2>"$err"
check "no escapes on the terminal" "" "$(grep -c "$(printf '\033')" "$err" | grep -v '^0$')"
check "a message is two lines" 2 "$(wc -l <"$err")"
expect_exit 2 "an option of another command" "$haunch" explain "$result" "$plain" --strict
check_has "an option of another command" "is not for haunch explain" "$err"

# ---- two segments ------------------------------------------------------------------------
first=$(sql "$gpkg" "SELECT segment_id FROM segments WHERE priority = 5")
second=$(sql "$gpkg" "SELECT segment_id FROM segments WHERE priority = 900")
expect_exit 0 "two segments, text" explain "$result" "$second" "$first"
check_has "two segments: the order" "$first stands before $second: priority 5 against 900" "$out"
expect_exit 0 "two segments, json" explain "$result" "$second" "$first" --format json
cp "$out" "$scratch/pair.json"
sql "$gpkg" "SELECT expected_loss_per_year FROM segments WHERE priority IN (5, 900) ORDER BY priority" >"$scratch/losses"
cat >"$scratch/pair.py" <<'PAIR'
import json, sys
sheet = json.load(open(sys.argv[1]))
losses = [float(line) for line in open(sys.argv[2])]
tables = {}
def walk(node):
    if isinstance(node, dict):
        for key, value in node.items():
            if isinstance(value, dict) and "rows" in value:
                tables[key] = [list(row.values()) for row in value["rows"]]
            walk(value)
walk(sheet)
terms = tables["terms"]
values = [row[1] for row in terms]
assert abs(sum(values[:-1]) - values[-1]) < 0.01, values
assert abs(values[-1] - (losses[0] - losses[1])) < 0.01, (values, losses)
for r in tables["swaps"]:
    what, now, needed, percent = r
    assert abs(percent - 100 * (needed / now - 1)) < 1e-6 and needed > now, r
assert tables["swaps"]
PAIR
expect_exit 0 "two segments: parts and changes worked out again" python3 "$scratch/pair.py" \
    "$scratch/pair.json" "$scratch/losses"
expect_exit 0 "two segments, html" explain "$result" "$second" "$first" --format html
cp "$out" "$scratch/sheet.html"
expect_exit 0 "html of two segments is well-formed" well_formed "$scratch/sheet.html"
expect_exit 3 "the same segment twice" explain "$result" "$first" "$first"
check_has "the same segment twice: way out" "two different segments" "$err"
expect_exit 3 "a second segment that is not there" explain "$result" "$first" "no such"

finish

# A town of six sewers for tests of bad input: quick to run, easy to spoilt. Sourced
# after lib_system.sh. Everything lies in $town; the plan is $town/plan.yaml, its
# result $town/out, and a first run has been made.
town=$scratch/town
mkdir "$town"
cat >"$town/net.csv" <<'CSV'
WKT,ID,UP,DN,MAT,SHAPE,DN_MM,YEAR,DEPTH,STREET
"LINESTRING (400000 6052000,400050 6052000)",P1,M1,M2,VC,circle,300,1950,2.5,Low Street
"LINESTRING (400050 6052000,400100 6052010)",P2,M2,M3,VC,circle,300,1950,2.5,Low Street
"LINESTRING (400100 6052010,400150 6052020)",P3,M3,M4,CO,circle,400,1960,3,Low Street
"LINESTRING (400150 6052020,400200 6052020)",P4,M4,M5,BR,egg,600,1890,3,Mill Lane
"LINESTRING (400100 6052060,400100 6052010)",P5,M6,M3,PVC,circle,200,1990,2,Mill Lane
"LINESTRING (400200 6052020,400260 6052030)",P6,M5,M7,BR,egg,600,1890,3,Mill Lane
CSV
cat >"$town/insp.csv" <<'CSV'
ID,DAY,G,DONE
P1,2020-05-01,5,yes
P2,2021-05-01,4,yes
P6,2022-05-01,5,yes
CSV
cat >"$town/rail.csv" <<'CSV'
WKT,N
"LINESTRING (400000 6052003,400300 6052003)",1
CSV
cat >"$town/good.yaml" <<'YAML'
title: Small town
as_of: 2026-01-01
currency: EUR
network:
  from: net.gpkg
  layer: sewers
  fields:
    segment_id: ID
    up_node: UP
    down_node: DN
    street: STREET
    material: {field: MAT, values: {VC: vitrified clay, CO: concrete, BR: brick, PVC: pvc}}
    shape: SHAPE
    width: {field: DN_MM, unit: mm}
    year_built: {field: YEAR, date: year}
    depth_up: {field: DEPTH, unit: m}
    depth_down: {field: DEPTH, unit: m}
inspections:
  - from: insp.csv
    fields:
      segment_id: ID
      inspected_on: {field: DAY, date: iso}
      complete: DONE
      grade_structural: {field: G, best: 1, worst: 5}
programme:
  budgets: [50000, 50000, 50000]
output:
  folder: out
YAML
to_gpkg() { # CSV GPKG LAYER OPTION ...
    lib_csv=$1 lib_gpkg=$2 lib_layer=$3
    shift 3
    ogr2ogr -f GPKG "$town/$lib_gpkg" "$town/$lib_csv" -nln "$lib_layer" -nlt LINESTRING \
        -oo AUTODETECT_TYPE=YES -oo KEEP_GEOM_COLUMNS=NO "$@" >"$out" 2>"$err" ||
        fail "making $lib_gpkg" "" "$(excerpt "$err")"
}
to_gpkg net.csv net.gpkg sewers -a_srs EPSG:25832
to_gpkg rail.csv rail.gpkg rail -a_srs EPSG:25832

# plan_as SED_SCRIPT: the good plan, changed; refused when that changes nothing
plan_as() {
    sed "$1" "$town/good.yaml" >"$town/plan.yaml"
    ! cmp -s "$town/good.yaml" "$town/plan.yaml" || [ "$1" = "" ] || fail "the test changes the plan: $1"
}

run_town() {
    "$haunch" run "$town/plan.yaml"
}

plan_as ""
expect_exit 0 "run of the small town" run_town
hashes_of "$town/out" >"$scratch/before"
cp -R "$town/out" "$scratch/out_before"

# What a refused run must leave: the result of before, whole, and nothing else.
turn=0
restore_out() {
    rm -rf "$town/out"
    turn=$((turn + 1))
    # by turns with and without a result of before
    [ $((turn % 2)) -eq 0 ] || cp -R "$scratch/out_before" "$town/out"
}
check_untouched() { # LABEL
    if [ $((turn % 2)) -eq 0 ]; then
        [ -e "$town/out" ] && fail "$1: no result is begun" "no folder out" "$(ls -A "$town/out")" || pass
    else
        hashes_of "$town/out" >"$scratch/after"
        check "$1: the previous result is whole" "" "$(diff "$scratch/before" "$scratch/after" 2>&1 | head -n 4)"
    fi
    check "$1: no leftovers" "" "$(cd "$town" && ls -A | grep '^\.' | tr '\n' ' ')"
}

# refused CODE LABEL TEXT ...: runs the plan, which must be refused with a message
# of all the texts, a hint, nothing on standard output, and no harm done
refused() {
    lib_code=$1 lib_what=$2
    shift 2
    restore_out
    expect_exit "$lib_code" "$lib_what" run_town
    check_empty "$lib_what: standard output" "$out"
    for lib_text in "$@"; do
        check_has "$lib_what: message" "$lib_text" "$err"
    done
    check_has "$lib_what: way out" "haunch: hint: " "$err"
    check_untouched "$lib_what"
}

# runs LABEL [TEXT ...]: a run that goes well all the same; the texts stand in its summary
runs() {
    lib_what=$1
    shift
    restore_out
    expect_exit 0 "$lib_what" run_town
    check_empty "$lib_what: standard error" "$err"
    for lib_text in "$@"; do
        check_has "$lib_what: summary" "$lib_text" "$out"
    done
    gpkg=$town/out/result.gpkg
    if [ -f "$gpkg" ]; then
        check_sql "$lib_what: result is whole" "$gpkg" ok "PRAGMA integrity_check"
        check_rows "$lib_what: sums" "$gpkg" "SELECT * FROM reconciliation WHERE holds IS NOT 1"
    else
        fail "$lib_what: there is a result"
    fi
}

#!/bin/sh
# Observations through the whole program, on the small town: a table and a text in
# exchange form; what a plan or a table says wrongly; the same bytes on any number of
# threads; the layer, the table of grades, and the sheet of one segment.
. "$(dirname "$0")/lib_system.sh"
need_tools sqlite3 ogr2ogr cmp
. "$(dirname "$0")/lib_small_town.sh"

cat >"$town/obs.csv" <<'CSV'
NO,ID,UP,DN,DAY,CODE,C1,Q1,AT,TO,MARK,CLK,DIR,REM
i1,P1,,,2020-05-01,BCD,,,0,,,,,
i1,P1,,,2020-05-01,BAB,B,3,10,,,3,,crack
i1,P1,,,2020-05-01,BAB,C,5,20,,A1,9,,crack
i1,P1,,,2020-05-01,BAB,C,5,25,,B1,9,,crack
i1,P1,,,2020-05-01,BCE,,,50,,,,,
,P2,,,2021-05-01,BAC,B,,12,,,,against,hole
,,M5,M4,2019-03-03,BBA,,30,5,,,,,"roots, thick"
,P9,,,2019-03-03,BBA,,30,5,,,,,nowhere
CSV
cat >"$town/survey.txt" <<'TXT'
#A1=ISO-8859-1:1998
#A2=en
#A3=;
#A4=,
#A5="
#A6=2010
#B01=AAA;AAD;AAF;AAB;ABF
P3;M3;M4;M4;2023-04-05
#C=I;J;A;B;D;F;G;H;K
0,00;;BCD;XP;;;;;
10,50;;BAJ;A;35;"a; remark";12;12;A
20,00;A1;BBC;A;30;;5;7;
x;;BAB;B;1;;9;;
40,00;B1;BBC;A;30;;5;7;
50,99;;BCE;XP;;;;;
#Z
TXT
cat >>"$town/good.yaml" <<'YAML'
observations:
  - from: obs.csv
    fields:
      inspection_id: NO
      segment_id: ID
      up_node: UP
      down_node: DN
      inspected_on: {field: DAY, date: iso}
      code: CODE
      characterisation_1: C1
      quantity_1: Q1
      distance: {field: AT, unit: m}
      distance_to: {field: TO, unit: m}
      continuous: MARK
      clock_from: CLK
      direction: DIR
      remark: REM
  - from: survey.txt
grading:
  scheme: local
YAML

# ---- what comes out ------------------------------------------------------------------
plan_as ""
runs "a plan with observations"
gpkg=$town/out/result.gpkg
check_sql "observations is a layer of points" "$gpkg" "features|25832" \
    "SELECT data_type, srs_id FROM gpkg_contents WHERE table_name = 'observations'"
check_sql "observations of segments, end marks and lost ones aside" "$gpkg" 11 \
    "SELECT count(*) FROM observations"
check_sql "the crack that runs on is the worst of P1" "$gpkg" "BAB|C|5.0|4.0|structural" \
    "SELECT code, characterisation_1, defect_length_m, grade_1_5, driver FROM observations
    WHERE segment_id = 'P1' AND worst_rank = 1"
check_sql "a survey against the flow counts from the other end" "$gpkg" "39.0" \
    "SELECT round(place_m, 1) FROM observations WHERE segment_id = 'P2'"
check_sql "the recorded grade stays" "$gpkg" "5.0|4.0|-1.0" \
    "SELECT recorded_grade_1_5, grade_1_5, difference FROM observation_grades
    WHERE segment_id = 'P1' AND driver = 'structural'"
check_sql "grades that nobody recorded come from observations" "$gpkg" "P3|3.0|3.0|3.0
P4|1.0|4.0|3.0" \
    "SELECT segment_id, grade_structural_1_5, grade_service_1_5, grade_tightness_1_5
    FROM segments WHERE segment_id IN ('P3', 'P4') ORDER BY 1"
check_sql "every observation is accounted for" "$gpkg" "14|14" \
    "SELECT (SELECT records FROM observation_report WHERE item = 'read'),
    (SELECT sum(records) FROM observation_report WHERE topic = 'observations' AND item IN
    (SELECT matched_by FROM match_report))"
check_sql "a place that cannot be read is told with its line" "$gpkg" "I|x|1" \
    "SELECT field, value, effect LIKE '%line 13' FROM data_issues WHERE rule = 'exchange_value'"
check_sql "the lost observation is listed" "$gpkg" P9 \
    "SELECT segment_id FROM data_issues WHERE rule = 'observation_unmatched'"
expect_exit 0 "sheet of P1" "$haunch" explain "$town/out" P1
check_has "the sheet lists the worst observations" "Worst observations" "$out"
check_has "the sheet lists grades by scheme" "Grades from observations" "$out"

# ---- the same bytes -----------------------------------------------------------------
cp "$gpkg" "$scratch/first.gpkg"
for threads in 1 2 3; do
    expect_exit 0 "run on $threads threads" "$haunch" run --threads $threads "$town/plan.yaml"
    check "the same bytes on $threads threads" "" "$(cmp "$scratch/first.gpkg" "$gpkg" 2>&1)"
done
plan_as 's/^  scheme: local/  scheme: local\n  replace_recorded: yes\n  all_shown_up_to: 2\n  observations_shown: 1/'
runs "grades replaced, and one observation a segment"
check_sql "recorded grades give way" "$gpkg" "4.0" \
    "SELECT grade_structural_1_5 FROM segments WHERE segment_id = 'P1'"
check_sql "one observation a segment, the worst" "$gpkg" "4|4" \
    "SELECT count(*), sum(worst_rank = 1) FROM observations"
expect_exit 0 "sheet of P1, others dropped" "$haunch" explain "$town/out" P1
hashes_of "$town/out" >"$scratch/before"
rm -rf "$scratch/out_before"
cp -R "$town/out" "$scratch/out_before"

# ---- what a plan says wrongly ----------------------------------------------------------
plan_as 's/^  scheme: local/  scheme: locale/'
refused 2 "unknown scheme" "no scheme \`locale\`"
plan_as '/^      code: CODE/d'
refused 2 "no main code" "does not map code"
plan_as 's/^      characterisation_1: C1/      characterization_1: C1/'
refused 2 "unknown role" "characterization_1" characterisation_1
plan_as 's/distance: {field: AT, unit: m}/distance: AT/'
refused 2 "distance without its unit" "distance" unit
plan_as 's/^  - from: survey.txt/  - from: survey.txt\n    fields: {code: A}/'
refused 2 "fields of an exchange text" "says itself what it holds"
plan_as 's/^      segment_id: ID\n//; s/^  - from: survey.txt/  - from: gone.txt/'
refused 2 "a table without fields" "has no \`fields:\`"
plan_as 's/^  - from: survey.txt/  - from: gone.txt\n    format: exchange_text/'
refused 3 "a text that is not there" "gone.txt"

# ---- what a table says wrongly ----------------------------------------------------------
cp -R "$source/config" "$town/tables"
spoil() { # LABEL TABLE SED_SCRIPT TEXT ...
    lib_label=$1 lib_table=$2 lib_script=$3
    shift 3
    cp "$source/config/$lib_table.csv" "$town/tables/$lib_table.csv"
    sed -i "$lib_script" "$town/tables/$lib_table.csv"
    cmp -s "$source/config/$lib_table.csv" "$town/tables/$lib_table.csv" && fail "$lib_label: the table is spoilt"
    refused 2 "$lib_label" "$@"
    cp "$source/config/$lib_table.csv" "$town/tables/$lib_table.csv"
}
plan_as 's/^output:/config:\n  folder: tables\noutput:/'
spoil "unknown column in a rule" grading_rules 's/quantity_1 >= 20/quantitiy_1 >= 20/' deformed_failing "no such column"
spoil "two expressions in a rule" grading_rules 's/quantity_1 >= 20,/quantity_1 >= 20; SELECT 1,/' "deformed_failing"
spoil "unknown scheme of a rule" grading_rules 's/^local,mortar/locale,mortar/' "row 14" locale
spoil "value off the scale" grading_rules 's/structural,5,gives/structural,6,gives/' "outside the scheme"
spoil "unknown effect" grading_rules 's/,gives,/,give,/' "gives, adds, times"
spoil "best is worst" roll_up 's/,worst,1,5,/,worst,5,5,/' "best and worst are the same"
spoil "a sum without bands" roll_up 's/structural,worst,/structural,total,/' "needs bands"
spoil "bands that fall" roll_up 's/structural,worst,1,5,,/structural,peak,1,5,10;5;80;165,/' "four rising numbers"
spoil "a code twice" observation_codes 's/,BAB,/,BAA,/' "already in row"

# ---- broken texts ------------------------------------------------------------------------
plan_as ""
cp "$town/survey.txt" "$scratch/whole.txt"
broken() { # LABEL SED_SCRIPT TEXT ...
    lib_label=$1
    sed "$2" "$scratch/whole.txt" >"$town/survey.txt"
    shift 2
    refused 3 "$lib_label" "survey.txt, line" "$@"
}
broken "no end" '$d' "ends inside of an inspection"
broken "no header" '/^#B01/,/^P3/d' "line 7, field #C"
broken "no main code" 's/;BAJ;/;;/' "line 11, field A"
broken "no column of codes" 's/^#C=I;J;A;/#C=I;J;Q;/' "no column A"
broken "more values than columns" 's/^0,00;.*/1;2;3;4;5;6;7;8;9;10/' "line 10" "more values"
cp "$scratch/whole.txt" "$town/survey.txt"

finish

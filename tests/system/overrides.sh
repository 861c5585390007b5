#!/bin/sh
# The register of what people decided: applied, doubted when it is stale or contradicts
# something, kept from run to run, read from a workbook too; ranks that a person moved
# say so; the act-now list does not care for the rank.
. "$(dirname "$0")/lib_system.sh"
need_tools ogr2ogr sqlite3
. "$(dirname "$0")/lib_small_town.sh"
gpkg=$town/out/result.gpkg

register() { # ROW ...
    echo 'segment_id,what,value,reason,who,date' >"$town/ov.csv"
    printf '%s\n' "$@" >>"$town/ov.csv"
    plan_as 's/^output:/config: {overrides: ov.csv}\noutput:/'
}
state_of() { # SEGMENT WHAT
    sql "$gpkg" "SELECT state, ifnull(doubt, '') FROM overrides WHERE segment_id = '$1' AND what = '$2'"
}
order() {
    sql "$gpkg" "SELECT group_concat(segment_id, ' ') FROM (SELECT segment_id FROM segments ORDER BY priority)"
}

before=$(order)
last=${before##* }
acts=$(sql "$gpkg" "SELECT segment_id, rule, act_by FROM act_now ORDER BY segment_id")
programme=$(sql "$gpkg" "SELECT segment_id, programme, year, cost FROM segments ORDER BY segment_id")
check_rows "unmoved: nothing is dominated" "$gpkg" "SELECT * FROM data_issues WHERE rule = 'rank_dominated'"
check_not "there are act-now segments" "" "$acts"

# ---- a person moves a rank --------------------------------------------------------
register "$last,priority,1,the school was promised,mayor,2025-06-01"
runs "a rank moved by a person"
check "moved: it is first, the others keep their order" "$last ${before% *}" "$(order)"
# at least as bad in each of six parts: asked again of the columns of the layer
worse=$(sql "$gpkg" "SELECT group_concat(segment_id || '>$last', ' ') FROM (SELECT a.segment_id FROM segments a, segments b
    WHERE b.segment_id = '$last' AND a.priority > b.priority AND a.expected_loss_per_year > b.expected_loss_per_year
    AND a.failure_chance_structural_per_year >= b.failure_chance_structural_per_year
    AND a.failure_chance_service_per_year >= b.failure_chance_service_per_year
    AND a.failure_chance_tightness_per_year >= b.failure_chance_tightness_per_year
    AND a.consequence_money >= b.consequence_money AND a.consequence_service_money >= b.consequence_service_money
    AND a.consequence_tightness_money >= b.consequence_tightness_money ORDER BY 1)")
check_not "moved: some are worse on everything" "" "$worse"
check_sql "moved: those that are worse on everything are a finding, with both ids" "$gpkg" "$worse" \
    "SELECT group_concat(segment_id || '>' || value, ' ') FROM (SELECT segment_id, value FROM data_issues WHERE rule = 'rank_dominated' ORDER BY segment_id)"
check "moved: applied" "applied|" "$(state_of "$last" priority)"
check_sql "moved: the column says what the rule gives" "$gpkg" "$last|6" \
    "SELECT segment_id, priority_computed FROM segments WHERE priority_computed IS NOT NULL"
check_sql "moved: its reason says so, and no other" "$gpkg" "$last" \
    "SELECT segment_id FROM segments WHERE reason LIKE '%A person set priority 1; the rule gives 6.%'"
check_sql "moved: no two segments on one place" "$gpkg" "6|1|6" \
    "SELECT count(DISTINCT priority), min(priority), max(priority) FROM segments"
check "moved: the act-now list is the same" "$acts" \
    "$(sql "$gpkg" "SELECT segment_id, rule, act_by FROM act_now ORDER BY segment_id")"
check "moved: the programme is the same" "$programme" \
    "$(sql "$gpkg" "SELECT segment_id, programme, year, cost FROM segments ORDER BY segment_id")"
expect_exit 0 "moved: sheet" "$haunch" explain "$town/out" "$last"
tr -s " \n" "  " <"$out" >"$scratch/flat"
check_has "moved: sheet says who and why" "mayor placed it, 2025-06-01: the school was promised" "$scratch/flat"
runs "the same register again"
check "moved: kept in the next run" "$last ${before% *}" "$(order)"
register "P1,priority,2,a,b,2025-06-01" "P5,priority,2,a,b,2025-06-01" "P3,priority,7,a,b,2025-06-01"
runs "two on one place, and one past the last"
check "one place: the second row cannot be used" "value cannot be used|" "$(state_of P5 priority)"
check "one place: nor one past the last" "value cannot be used|" "$(state_of P3 priority)"

# ---- stale ---------------------------------------------------------------------------
register 'P1,grade_structural_1_5,2,seen by us,crew,2019-01-01' \
    'P2,method,open_cut,wanted,us,2020-01-01' 'NOPE,width_mm,300,tape,us,2025-01-01' \
    'P4,width_mm,600,tape,us,2025-01-01' 'P6,method,open_cut,wanted,us,2025-01-01'
runs "a stale register"
check "stale: an inspection rules" "replaced by an inspection|stale: an inspection says otherwise and rules" \
    "$(state_of P1 grade_structural_1_5)"
check_sql "stale: the grade is that of the inspection" "$gpkg" 5.0 \
    "SELECT grade_structural_1_5 FROM segments WHERE segment_id = 'P1'"
check "stale: decided before the inspection" "applied|stale: decided before the inspection of 2021-05-01" \
    "$(state_of P2 method)"
check "stale: the segment is gone" "no such segment|stale: the network has no such segment, or merged it" \
    "$(state_of NOPE width_mm)"
check "stale: so without it" "changes nothing|stale: it is so without it" "$(state_of P4 width_mm)"
check "not stale: decided after the inspection" "applied|" "$(state_of P6 method)"
check_sql "stale: each is a finding" "$gpkg" "NOPE P1 P2 P4" \
    "SELECT group_concat(segment_id, ' ') FROM (SELECT segment_id FROM data_issues WHERE rule = 'override_doubtful' ORDER BY 1)"

# ---- contradicting ---------------------------------------------------------------------
register 'P5,method,ring_and_panel,nicer,us,2025-01-01' 'P3,method,watch,wait,us,2025-01-01' \
    'P3,year,2027,do it,us,2025-01-01'
runs "a register against the rules"
check "against a method rule" "applied|contradicts a method rule that forbids it here: see options" \
    "$(state_of P5 method)"
check "a year for a segment that is only watched" "applied|contradicts the method: watching needs no year" \
    "$(state_of P3 year)"
register 'P1,width_mm,300,tape,us,2025-01-01' 'P1,width_mm,250,tape,them,2025-01-02'
refused 2 "two rows for the same thing" "P1"

# ---- a workbook ---------------------------------------------------------------------------
register "$last,priority,1,the school was promised,mayor,2025-06-01"
ogr2ogr -f XLSX "$town/ov.xlsx" "$town/ov.csv" >"$out" 2>"$err" || fail "making the workbook" "" "$(excerpt "$err")"
plan_as 's/^output:/config: {overrides: ov.xlsx}\noutput:/'
runs "a register in a workbook"
check "workbook: the same" "applied|" "$(state_of "$last" priority)"
ogr2ogr -f XLSX "$town/ov.xlsx" "$town/ov.csv" -oo AUTODETECT_TYPE=YES >"$out" 2>"$err"
runs "a register in a workbook whose dates are dates"
check "workbook with dates: the same" "applied|" "$(state_of "$last" priority)"
finish

#!/bin/sh
# What is wrong on purpose in the sample (sample-gis/dirt.csv) is seen by the
# program. The table below says for each kind how: by a row of data_issues, by a
# value that is read as missing, or by a value that is read all the same. `count` is
# what dirt.csv counts; the statement must find as many.
. "$(dirname "$0")/lib_system.sh"
need_tools sqlite3

copy_sample "$scratch/copy"
expect_exit 0 "run of the sample" "$haunch" run --quiet "$scratch/copy/sample-gis/plan.yaml"
gpkg=$scratch/copy/out/sample/result.gpkg
[ -f "$gpkg" ] || { fail "there is a result"; finish; }

# One database: dirt, dirty rows with their ids, inspections with the segment they
# belong to, and the result.
db=$scratch/dirt.db
samples=$source/sample-gis
sqlite3 -batch "$db" <<SQL 2>"$err" || { fail "data of the test" "" "$(excerpt "$err")"; finish; }
.mode csv
.import "$samples/dirt.csv" dirt
.import "$samples/dirt_rows.csv" dirt_rows
.import "$samples/inspections.csv" inspections
ATTACH '$samples/network.gpkg' AS net;
ATTACH '$gpkg' AS res;
CREATE TABLE sewers AS SELECT * FROM net.sewers;
CREATE TABLE manholes AS SELECT * FROM net.manholes;
CREATE TABLE segments AS SELECT * FROM res.segments;
CREATE TABLE issues AS SELECT * FROM res.data_issues;
CREATE TABLE overrides AS SELECT * FROM res.overrides;
CREATE TABLE sums AS SELECT * FROM res.reconciliation;
CREATE TABLE matches AS SELECT * FROM res.match_report;
CREATE INDEX segment_by_id ON segments (segment_id);
CREATE INDEX sewer_by_fid ON sewers (fid);
CREATE INDEX sewer_by_id ON sewers (ASSET_ID);
CREATE INDEX sewer_by_nodes ON sewers (UP_MH, DN_MH);
CREATE INDEX issue_by_rule ON issues (rule, segment_id);
-- a dirty sewer with its id, and the segment where it is one of its own
CREATE TABLE dirty AS SELECT d.kind, s.fid AS sewer, s.ASSET_ID AS id, g.*
    FROM dirt_rows d JOIN sewers s ON d."table" = 'sewers' AND s.fid = d.row
    LEFT JOIN segments g ON g.segment_id = s.ASSET_ID;
-- inspections of sewers that are in use and the town's, by id, else by the two nodes
CREATE TABLE seen AS SELECT i.*, s.ASSET_ID AS id,
    (SELECT count(*) FROM dirt_rows d WHERE d.row = i.INSP_NO AND d.kind = 'grades_of_one_day') AS desk
    FROM inspections i JOIN sewers s ON s.STATUS = 'in use' AND s.OWNER = 'town' AND
        CASE WHEN i.PIPE <> '' THEN s.ASSET_ID = i.PIPE
        ELSE (s.UP_MH = i.FROM_MH AND s.DN_MH = i.TO_MH) OR (s.UP_MH = i.TO_MH AND s.DN_MH = i.FROM_MH) END
    GROUP BY i.INSP_NO;
-- the segment of a sewer that was drawn in pieces may have the id of another piece
CREATE TABLE dirty_inspection AS SELECT d.kind, s.*, (SELECT segment_id FROM segments g
        WHERE g.segment_id = s.id OR '; ' || g.merged_from || ';' LIKE '%; ' || s.id || ';%') AS segment
    FROM dirt_rows d JOIN seen s ON d."table" = 'inspections' AND s.INSP_NO = d.row;
CREATE INDEX seen_by_id ON seen (id);
SQL

# KIND | how it is seen | statement whose number is the count of dirt.csv.
# K stands for the kind. "issue(RULE)" is short for the number of its dirty sewers
# for which data_issues has a row of RULE; "missing(C)" and "known(C)" for those
# whose segment lacks or has the value C, pieces of cut sewers counted by themselves.
sed -e '/^#/d' -e '/^$/d' >"$scratch/kinds" <<'KINDS'
# rows that the plan's `where` leaves out
status_abandoned | not read: the rows read are the others | SELECT count(*) FROM dirty WHERE kind = K AND segment_id IS NULL
status_planned | not read | SELECT count(*) FROM dirty WHERE kind = K AND segment_id IS NULL
owner_private | not read | SELECT count(*) FROM dirty WHERE kind = K AND segment_id IS NULL
owner_state | not read | SELECT count(*) FROM dirty WHERE kind = K AND segment_id IS NULL
# the drawing
self_loop | issue loop | issue(loop)
closed_loop | issue loop | issue(loop)
isolated | issue isolated | issue(isolated)
fragment | every piece is in merged_from of a segment | SELECT count(*) FROM dirty d WHERE kind = K AND EXISTS (SELECT 1 FROM segments s WHERE '; ' || s.merged_from || ';' LIKE '%; ' || d.id || ';%')
fragmented_sewer | issue fragment_merged, under the sewer's id | SELECT count(*) FROM dirty d WHERE kind = K AND EXISTS (SELECT 1 FROM issues i WHERE i.rule = 'fragment_merged' AND '; ' || i.value || ';' LIKE '%; ' || d.id || ';%')
fragment_under_2_m | in merged_from too | SELECT count(*) FROM dirty d WHERE kind = K AND EXISTS (SELECT 1 FROM segments s WHERE '; ' || s.merged_from || ';' LIKE '%; ' || d.id || ';%')
id_twice | issue duplicate_id for the second of each pair | SELECT 2 * count(*) FROM issues WHERE rule = 'duplicate_id' AND value IN (SELECT id FROM dirty WHERE kind = K)
geometry_twice | issue duplicate_geometry names one of the two | SELECT count(*) FROM dirty d WHERE kind = K AND EXISTS (SELECT 1 FROM issues i WHERE i.rule = 'duplicate_geometry' AND d.id IN (i.segment_id, i.value))
manhole_twice | an issue names the manhole as one that is there twice | SELECT count(*) FROM dirt_rows d JOIN manholes m ON m.fid = d.row WHERE d.kind = K AND EXISTS (SELECT 1 FROM issues i WHERE i.rule NOT IN ('ends_do_not_meet', 'pseudo_node_id') AND instr(ifnull(i.value, '') || i.message, m.MH_ID))
line_reversed | both ends do not meet their nodes | SELECT count(*) FROM dirty d WHERE kind = K AND (SELECT count(*) FROM issues i WHERE i.segment_id = d.id AND i.rule IN ('ends_do_not_meet', 'line_reversed')) >= 1
geometry_null | issue geometry_missing | issue(geometry_missing)
line_of_zero_length | issue geometry_no_length | issue(geometry_no_length)
line_multi_part | issue geometry_in_parts | issue(geometry_in_parts)
# a gap below snap_m closes by itself; where the node id is missing too the issue is that
gap_under_half_m | snapped: no issue but for the missing ids | SELECT count(*) FROM dirty d WHERE kind = K AND NOT EXISTS (SELECT 1 FROM issues i WHERE i.segment_id = d.id AND i.rule = 'ends_do_not_meet')
gap_under_half_m_no_node | issue pseudo_node_id | issue(pseudo_node_id)
gap_up_to_1_m | issue ends_do_not_meet, or pseudo_node_id without an id | SELECT count(*) FROM dirty d WHERE kind = K AND EXISTS (SELECT 1 FROM issues i WHERE i.segment_id = d.id AND i.rule IN ('ends_do_not_meet', 'pseudo_node_id'))
gap_up_to_1_m_no_node | issue pseudo_node_id | issue(pseudo_node_id)
gap_over_1_m | issue ends_do_not_meet, or pseudo_node_id without an id | SELECT count(*) FROM dirty d WHERE kind = K AND EXISTS (SELECT 1 FROM issues i WHERE i.segment_id = d.id AND i.rule IN ('ends_do_not_meet', 'pseudo_node_id'))
gap_over_1_m_no_node | issue pseudo_node_id | issue(pseudo_node_id)
# values that stand for unknown; one of the widths in inches is set by an override
width_zero | issue width_missing | issue(width_missing)
width_minus_99 | issue width_missing | issue(width_missing)
width_missing | issue width_missing | issue(width_missing)
width_with_unit | the pattern reads it | known(width_mm)
width_in_inches | issue value_no_match | issue(value_no_match)
height_zero | issue height_missing | issue(height_missing)
profile_missing | issue shape_missing | issue(shape_missing)
year_in_future | issue date_in_future; one is set right by an override | SELECT count(DISTINCT id) FROM dirty d WHERE kind = K AND EXISTS (SELECT 1 FROM issues i WHERE i.rule = 'date_in_future' AND i.segment_id = d.id UNION SELECT 1 FROM overrides o WHERE o.segment_id = d.id AND o.what = 'year_built' AND o.state = 'applied')
year_as_text | the pattern reads it | known(year_built)
year_zero | issue year_missing | issue(year_missing)
lined_1899_12_30 | never lined | missing(year_lined)
material_second_spelling | the value map reads it | SELECT count(*) FROM dirty WHERE kind = K AND material IN ('vitrified clay', 'brick', 'concrete')
material_unknown | issue material_missing | issue(material_missing)
invert_minus_99 | missing | missing(invert_down_m)
invert_zero | missing at the end where it is 0, in segments that were not merged | SELECT count(*) + (SELECT count(*) FROM dirty WHERE kind = K AND (segment_id IS NULL OR source_rows > 1)) FROM dirty d JOIN sewers s ON s.fid = d.sewer WHERE kind = K AND source_rows = 1 AND ((s.INV_UP = 0) = (invert_up_m IS NULL) AND (s.INV_DN = 0) = (invert_down_m IS NULL) OR s.INV_DN = -99)
slope_9_99999 | missing | missing(slope_recorded_m_per_m)
groundwater_minus_99 | missing | missing(groundwater_above_invert_m)
adverse_slope | issue adverse_slope | issue(adverse_slope)
rim_zero | no ground level at this end of the sewers at the manhole | SELECT count(*) FROM dirt_rows d JOIN manholes m ON m.fid = d.row WHERE d.kind = K AND NOT EXISTS (SELECT 1 FROM segments s WHERE s.up_node = m.MH_ID AND s.ground_up_m IS NOT NULL OR s.down_node = m.MH_ID AND s.ground_down_m IS NOT NULL)
opening_minus_99 | no opening is -99; the other end's may count | SELECT count(*) FROM dirt_rows d JOIN manholes m ON m.fid = d.row WHERE d.kind = K AND NOT EXISTS (SELECT 1 FROM segments s WHERE m.MH_ID IN (s.up_node, s.down_node) AND s.access_opening_mm <= 0)
length_differs | issue length_differs | issue(length_differs)
length_zero | missing | missing(length_recorded_m)
# inspections
inspection_abandoned | not counted as a full one: where it is the only one since a lining, an issue says so | SELECT count(*) + (SELECT count(*) FROM dirt_rows WHERE kind = K AND row NOT IN (SELECT INSP_NO FROM seen)) FROM dirty_inspection d WHERE kind = K AND (EXISTS (SELECT 1 FROM seen s WHERE s.id = d.id AND s.STATUS = 'complete') OR EXISTS (SELECT 1 FROM issues i WHERE i.segment_id = d.segment AND i.rule LIKE 'partial_%') OR EXISTS (SELECT 1 FROM segments g WHERE g.segment_id = d.id AND g.year_lined > CAST(substr(d.DATE, 1, 4) AS INTEGER)))
inspection_partial | the same | SELECT count(*) + (SELECT count(*) FROM dirt_rows WHERE kind = K AND row NOT IN (SELECT INSP_NO FROM seen)) FROM dirty_inspection d WHERE kind = K AND (EXISTS (SELECT 1 FROM seen s WHERE s.id = d.id AND s.STATUS = 'complete') OR EXISTS (SELECT 1 FROM issues i WHERE i.segment_id = d.segment AND i.rule LIKE 'partial_%') OR EXISTS (SELECT 1 FROM segments g WHERE g.segment_id = d.id AND g.year_lined > CAST(substr(d.DATE, 1, 4) AS INTEGER)))
inspection_of_unknown_sewer | issue inspection_unmatched with its id | SELECT count(*) FROM dirt_rows d JOIN inspections i ON i.INSP_NO = d.row WHERE kind = K AND EXISTS (SELECT 1 FROM issues x WHERE x.rule = 'inspection_unmatched' AND x.value = i.PIPE)
inspection_by_nodes | match_report; those of other owners' sewers are not matched | SELECT records + (SELECT count(*) FROM dirt_rows WHERE kind = K AND row NOT IN (SELECT INSP_NO FROM seen)) FROM matches WHERE matched_by = 'node pair'
inspection_by_nodes_reversed | match_report | SELECT records FROM matches WHERE matched_by = 'node pair, reversed'
inspection_zeros_lost | the sewer's id is there, so nothing is lost | SELECT count(*) + (SELECT count(*) FROM dirt_rows WHERE kind = K AND row NOT IN (SELECT INSP_NO FROM seen)) FROM dirty_inspection d JOIN segments s ON s.segment_id = d.id WHERE kind = K AND s.inspected_on IS NOT NULL
inspection_before_construction | issue inspection_before_built | SELECT count(*) + (SELECT count(*) FROM dirt_rows WHERE kind = K AND row NOT IN (SELECT INSP_NO FROM seen)) FROM dirty_inspection d WHERE kind = K AND EXISTS (SELECT 1 FROM issues i WHERE i.rule = 'inspection_before_built' AND i.segment_id = d.id)
inspection_date_1899_12_30 | never a date; without a later one issue grade_without_date | SELECT count(*) + (SELECT count(*) FROM dirt_rows WHERE kind = K AND row NOT IN (SELECT INSP_NO FROM seen)) FROM dirty_inspection d JOIN segments s ON s.segment_id = d.id WHERE kind = K AND ifnull(s.inspected_on, '') <> '1899-12-30' AND (s.inspected_on IS NOT NULL OR EXISTS (SELECT 1 FROM issues i WHERE i.rule = 'grade_without_date' AND i.segment_id = d.id))
grade_zero | never a grade | SELECT count(*) + (SELECT count(*) FROM dirt_rows WHERE kind = K AND row NOT IN (SELECT INSP_NO FROM seen)) FROM dirty_inspection d JOIN segments s ON s.segment_id = d.id WHERE kind = K AND ifnull(s.grade_structural_1_5, 1) >= 1
offset_minus_99 | never an offset | SELECT count(*) + (SELECT count(*) FROM dirt_rows WHERE kind = K AND row NOT IN (SELECT INSP_NO FROM seen)) FROM dirty_inspection d JOIN segments s ON s.segment_id = d.id WHERE kind = K AND ifnull(s.joint_offset_pct, 0) >= 0
grades_of_one_day | issue dates_assigned_in_one_day names the day | SELECT CASE WHEN EXISTS (SELECT 1 FROM issues WHERE rule = 'dates_assigned_in_one_day' AND value LIKE '%2020-12-31%') THEN 52 ELSE 0 END
inspection_twice | an issue of the segment says that the record is there twice | SELECT count(*) + (SELECT count(*) FROM dirt_rows WHERE kind = K AND row NOT IN (SELECT INSP_NO FROM seen)) FROM dirty_inspection d WHERE kind = K AND EXISTS (SELECT 1 FROM issues i WHERE i.segment_id = d.id AND i.rule LIKE '%inspection%' AND (i.rule LIKE '%duplicate%' OR i.rule LIKE '%twice%'))
# counted over all rows
node_id_leading_zero | ids stay text: nodes of segments are found as they are written | SELECT CASE WHEN count(*) = 0 THEN 2808 END FROM segments WHERE up_node <> '' AND up_node NOT GLOB '0*' AND up_node NOT LIKE '99%' AND up_node IN (SELECT ltrim(MH_ID, '0') FROM manholes)
node_id_empty | merged away, or issue pseudo_node_id | nodes('')
node_id_na | the same | nodes('NA')
node_id_end | the same | nodes('END')
node_id_zero | the same | nodes('0')
manhole_not_in_layer | an issue names the manhole that the layer lacks | SELECT count(*) FROM dirty d JOIN sewers s ON s.fid = d.sewer WHERE kind = K AND EXISTS (SELECT 1 FROM issues i WHERE i.rule = 'manhole_not_in_layer' AND (instr(ifnull(i.value, '') || i.message, s.UP_MH) OR instr(ifnull(i.value, '') || i.message, s.DN_MH)))
inspected_on_two_days | no error: the latest full one counts | SELECT count(*) FROM dirt_rows WHERE kind = K
KINDS

missing_or_known="SELECT count(*) FROM dirty WHERE kind = K AND (source_rows > 1 OR segment_id IS NULL OR"
in_issues="SELECT count(DISTINCT sewer) FROM dirty d WHERE kind = K AND EXISTS (SELECT 1 FROM issues i
    WHERE i.segment_id = d.id AND i.rule ="
# of the ends with this text: merged into a sewer, no text of that kind left, and told
node_text="SELECT count(*) FROM (SELECT d.id FROM dirty d WHERE kind = K AND NOT EXISTS
    (SELECT 1 FROM segments s WHERE s.segment_id = d.id AND (s.up_node IN ('NA', 'END', '0')
    OR s.down_node IN ('NA', 'END', '0'))))"
check "kinds of dirt.csv, and those of this test" "$(cut -d, -f1 "$samples/dirt.csv" | tail -n +2 | sort)" \
    "$(cut -d' ' -f1 "$scratch/kinds" | sort)"
while IFS= read -r line; do
    kind=${line%% | *} rest=${line#* | }
    how=${rest%% | *} statement=${rest#* | }
    case $statement in
    issue\(*) rule=${statement#issue(} statement="$in_issues '${rule%)}')" ;;
    missing\(*) column=${statement#missing(} statement="$missing_or_known ${column%)} IS NULL)" ;;
    known\(*) column=${statement#known(} statement="$missing_or_known ${column%)} IS NOT NULL)" ;;
    nodes\(*) statement=$node_text ;;
    esac
    statement=$(printf %s "$statement" | sed "s/kind = K\>/kind = '$kind'/g")
    check "$kind ($how)" "$(sql "$db" "SELECT count FROM dirt WHERE kind = '$kind'")" \
        "$(sql "$db" "$statement" 2>&1)"
done <"$scratch/kinds"

# ---- and nothing more than that -----------------------------------------------------------
# rules whose every row is one of the dirty ones
for pair in adverse_slope:adverse_slope length_differs:length_differs geometry_missing:geometry_null \
    geometry_no_length:line_of_zero_length geometry_in_parts:line_multi_part \
    year_missing:year_zero material_missing:material_unknown shape_missing:profile_missing \
    height_missing:height_zero value_no_match:width_in_inches date_in_future:year_in_future; do
    check_rows "${pair%:*} is found where it was made only" "$db" "
        SELECT rule, segment_id, value FROM issues WHERE rule = '${pair%:*}' AND segment_id NOT IN
        (SELECT id FROM dirty WHERE kind = '${pair#*:}' OR rule = 'year_missing' AND kind = 'year_in_future')"
done
# what is said to be missing is missing, and the other way round
for pair in width_missing:width_mm year_missing:year_built shape_missing:shape material_missing:material; do
    check_rows "${pair%:*} is said where ${pair#*:} is not known" "$db" "
        SELECT segment_id, ${pair#*:} FROM segments WHERE (${pair#*:} IS NULL) <>
        (segment_id IN (SELECT segment_id FROM issues WHERE rule = '${pair%:*}'))"
done
check_sql "rows left out by the plan" "$db" 144 "SELECT count(*) FROM dirt_rows
    WHERE kind IN ('status_abandoned', 'status_planned', 'owner_private', 'owner_state')"
check_sql "records whose sewer is there = records matched" "$db" "$(sql "$db" "SELECT count(*) FROM seen")" \
    "SELECT sum(records) FROM matches WHERE matched_by <> 'no segment found'"
check_sql "an unmatched record is listed" "$db" \
    "$(sql "$db" "SELECT records FROM matches WHERE matched_by = 'no segment found'")" \
    "SELECT count(*) FROM issues WHERE rule = 'inspection_unmatched'"
# what was seen before the last lining is not this sewer any more
check_rows "segments seen only in part, and the issues that say so" "$db" "
    SELECT id FROM seen WHERE id IN (SELECT segment_id FROM segments) GROUP BY id
    HAVING sum(STATUS = 'complete') = 0 AND max(CAST(substr(DATE, 1, 4) AS INTEGER)) >=
        (SELECT ifnull(year_lined, 0) FROM segments g WHERE g.segment_id = id) AND id NOT IN
    (SELECT segment_id FROM issues WHERE rule IN ('partial_not_counted', 'partial_defect_counts'))"
check_rows "the grade is that of the latest full inspection" "$db" "
    SELECT g.segment_id, g.grade_structural_1_5, s.STR, s.DATE FROM segments g JOIN seen s ON s.id = g.segment_id
    WHERE s.STATUS = 'complete' AND s.DATE = g.inspected_on AND s.STR BETWEEN 1 AND 5
      AND (SELECT count(*) FROM seen x WHERE x.id = s.id AND x.DATE = s.DATE) = 1
      AND g.segment_id NOT IN (SELECT segment_id FROM issues WHERE rule = 'worse_partial_kept')
      AND g.grade_structural_1_5 IS NOT CAST(s.STR AS REAL)"
# the text of `effect` is a promise
check_rows "a date that is not used is not in the layer" "$db" "
    SELECT g.segment_id, g.year_built, i.effect FROM issues i JOIN segments g USING (segment_id)
    WHERE i.rule = 'date_in_future' AND i.effect = 'the date is not used' AND i.field = 'year_built'
      AND g.year_built IS NOT NULL"
finish

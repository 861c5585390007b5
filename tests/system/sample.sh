#!/bin/sh
# One whole run of the sample, looked at from outside: the layers and tables that
# docs/outputs.md promises, and every sum, rank, rule and share worked out again in
# SQL. What is wrong on purpose in the data is in sample_dirt.sh.
. "$(dirname "$0")/lib_system.sh"
need_tools sqlite3 ogrinfo

copy_sample "$scratch/copy"
# nobody measured infiltration here: the flow stands in for it, so that its table is there
sed -i 's|^    laterals: LATERALS|&\n    infiltration_flow: {field: FLOW_LS, unit: l/s}|' "$scratch/copy/sample-gis/plan.yaml"
echo '  loss_avoided_by_year: yes' >>"$scratch/copy/sample-gis/plan.yaml"
expect_exit 0 "run of the sample" "$haunch" run "$scratch/copy/sample-gis/plan.yaml"
check_empty "standard error of the run" "$err"
check_has "summary says where the results are" "result.gpkg" "$out"
check_lacks "summary has no failed sum" "do not agree" "$out"
result=$scratch/copy/out/sample
gpkg=$result/result.gpkg
[ -f "$gpkg" ] || { fail "there is a result"; finish; }
as_written=$(sha256sum <"$gpkg")
# the same with indexes, since the questions below join many rows
original=$gpkg gpkg=$scratch/indexed.gpkg
cp "$original" "$gpkg"
sqlite3 "$gpkg" "CREATE INDEX s1 ON segments (segment_id); CREATE INDEX s2 ON segments (priority);
    CREATE INDEX s3 ON segments (rank_value); CREATE INDEX s4 ON segments (project_id);
    CREATE INDEX o1 ON options (segment_id, method); CREATE INDEX p1 ON score_parts (segment_id);
    CREATE INDEX u1 ON unfunded (segment_id); CREATE INDEX a1 ON act_now (segment_id)"

# ---- everything that docs/outputs.md promises is there ------------------------------
# documented TABLE: the columns between its marks
documented() {
    awk -v begin="<!-- $1: begin -->" -v end="<!-- $1: end -->" '
        $0 == end { exit }
        inside && /^\| `/ { split($0, part, "`"); print part[2] }
        $0 == begin { inside = 1 }' "$source/docs/outputs.md"
}
tables=$(sed -n 's/^<!-- \([a-z_]*\): begin -->$/\1/p' "$source/docs/outputs.md" |
    grep -vx 'scheme_parts\|matrix') # of a points scheme: scheme.sh
check_not "tables in docs/outputs.md" 0 "$(echo "$tables" | wc -w)"
sheets=$(ogrinfo -ro -q "$result/tables.xlsx" 2>&1)
for table in segments $tables; do
    [ "$table" = segments ] ||
        check "columns of $table" "$(documented "$table" | tr '\n' ' ')" \
            "$(columns_of "$gpkg" "$table" | grep -vx 'fid\|geom' | tr '\n' ' ')"
    check "$table is registered" 1 \
        "$(sql "$gpkg" "SELECT count(*) FROM gpkg_contents WHERE table_name = '$table' AND
                        length(identifier) > 0 AND length(description) > 0")"
    check_rows "columns of $table without title or meaning" "$gpkg" "
        SELECT p.name FROM pragma_table_info('$table') p
        LEFT JOIN gpkg_data_columns d ON d.table_name = '$table' AND d.column_name = p.name
        WHERE p.name NOT IN ('fid', 'geom') AND (ifnull(d.title, '') = ''
              OR ifnull(d.description, '') = '')"
    check "header of $table.csv" "$(columns_of "$gpkg" "$table" | grep -vx 'fid\|geom' | tr '\n' ',' | sed 's/,$//')" \
        "$(head -n 1 "$result/tables/$table.csv" | tr -d '\r"')"
    check "rows of $table.csv" "$(sql "$gpkg" "SELECT count(*) FROM $table")" \
        "$(printf '.mode csv\n.import "%s" t\nSELECT count(*) FROM t;\n' "$result/tables/$table.csv" | sqlite3 -batch)"
    [ -f "$result/tables/$table.csvt" ] && pass || fail "$table.csvt"
    case $sheets in *": $table"*) pass ;; *) fail "sheet $table in tables.xlsx" "$table" "$sheets" ;; esac
done
check_rows "infiltration: the most water per money first, and who has none has no rank" "$gpkg" \
    "SELECT a.segment_id FROM infiltration a JOIN infiltration b ON b.rank_infiltration = a.rank_infiltration + 1
     WHERE b.removed_m3_per_cost > a.removed_m3_per_cost UNION ALL
     SELECT i.segment_id FROM infiltration i JOIN segments s USING (segment_id) WHERE (i.rank_infiltration IS NULL) != (i.note IS NOT NULL)
     OR (i.rank_infiltration IS NOT NULL AND abs(i.removed_m3_per_year / 31536000.0 / s.infiltration_m3_per_s - 1) > 1e-9)"
check_sql "infiltration: every worn segment is in it" "$gpkg" 0 \
    "SELECT count(*) FROM segments WHERE structural_grade_now >= 4 AND segment_id NOT IN (SELECT segment_id FROM infiltration)"
# a sewer that is better now than its lining will be may gain by waiting: those of grade 2.5 and worse may not
check_rows "waiting: the first year is the column of the segment, later never more, sums hold" "$gpkg" \
    "SELECT w.segment_id FROM loss_avoided_by_year w JOIN segments s USING (segment_id) WHERE w.year = 2026
     AND (abs(w.loss_avoided - s.loss_avoided) > 1e-6 * s.loss_avoided OR w.method != s.method OR w.lost_by_waiting != 0)
     UNION ALL SELECT a.segment_id FROM loss_avoided_by_year a JOIN loss_avoided_by_year b ON b.segment_id = a.segment_id AND b.year = a.year + 1
     WHERE a.method NOT IN ('clean', 'local_repair') AND b.loss_avoided > a.loss_avoided * (1 + 1e-9)
     AND (SELECT structural_grade_now FROM segments s WHERE s.segment_id = a.segment_id) >= 2.5
     OR b.loss_avoided < 0 OR abs(b.lost_by_waiting - a.lost_by_waiting - a.loss_avoided + b.loss_avoided) > 1e-6 * a.loss_avoided"
check_sql "waiting: every segment with work, every year" "$gpkg" 1 \
    "SELECT count(*) = 10 * (SELECT count(*) FROM segments WHERE programme IN ('funded', 'committed', 'unfunded')) FROM loss_avoided_by_year"
limit=$(sed -n 's/.*A sheet is cut at \([0-9 ]*\) rows.*/\1/p' "$source/docs/outputs.md" | tr -d ' ')
for table in options segments; do
    check "rows of the sheet $table, cut at $limit as docs/outputs.md says" \
        "$(sql "$gpkg" "SELECT min(count(*), $limit) FROM $table")" \
        "$(ogrinfo -ro -so "$result/tables.xlsx" "$table" 2>&1 | sed -n 's/^Feature Count: //p')"
done
for layer in segments projects act_now data_issues; do
    check "$layer is a layer with its CRS" features/25832 \
        "$(sql "$gpkg" "SELECT data_type || '/' || srs_id FROM gpkg_contents WHERE table_name = '$layer'")"
done
check_sql "GeoPackage is whole" "$original" ok "PRAGMA integrity_check"
check "files of the result" "./result.gpkg ./run.json ./tables.xlsx ./tornado.svg" \
    "$(cd "$result" && find . -type f -not -path './tables/*' | LC_ALL=C sort | tr '\n' ' ' | sed 's/ $//')"
check "run.json says how many segments" "$(sql "$gpkg" "SELECT count(*) FROM segments")" \
    "$(sqlite3 -batch :memory: "SELECT json_extract(readfile('$result/run.json'), '\$.segments')")"
check "run.json has the hash of the network" "$(sha256sum <"$scratch/copy/sample-gis/network.gpkg" | cut -d' ' -f1)" \
    "$(sqlite3 -batch :memory: "SELECT json_extract(readfile('$result/run.json'), '\$.sources[0].sha256')")"
# columns of a points scheme, of people and of flow are there when a plan has them: scheme.sh
check_rows "every column of docs/columns.md is in segments" "$gpkg" "
    WITH wanted(name) AS (VALUES $(sed -n 's/^| `\([a-z0-9_]*\)` | .* | .* | .* | .* | .* |$/(\x27\1\x27),/p' \
        "$source/docs/columns.md" | grep -v 'up_index\|down_index\|score\|hood_class\|ence_class\|people\|flow_added\|_flow_' | tr '\n' ' ' | sed 's/, $//'))
    SELECT name FROM wanted EXCEPT SELECT name FROM pragma_table_info('segments')"

# ---- totals, made again ----------------------------------------------------------------
check_rows "a sum that does not hold" "$gpkg" "SELECT * FROM reconciliation WHERE holds IS NOT 1"
check_rows "left less right" "$gpkg" "SELECT * FROM reconciliation WHERE abs(left - right - difference) > 1e-6"
rows=$(sql "$scratch/copy/sample-gis/network.gpkg" "SELECT count(*) FROM sewers WHERE STATUS = 'in use' AND OWNER = 'town'")
check_sql "rows read, counted in the source" "$gpkg" "$rows" \
    "SELECT CAST(left AS INTEGER) FROM reconciliation WHERE \"check\" LIKE 'rows read =%'"
check_sql "source rows of all segments" "$gpkg" "$rows" "SELECT sum(source_rows) FROM segments"
check_sql "segments + merged = rows kept" "$gpkg" "$rows" \
    "SELECT (SELECT count(*) FROM segments) + (SELECT sum(source_rows - 1) FROM segments)"
check_rows "merged_from lists as many ids as source rows" "$gpkg" "
    SELECT segment_id, source_rows, merged_from FROM segments WHERE source_rows > 1
    AND length(merged_from) - length(replace(merged_from, ';', '')) + 1 <> source_rows"
check_sql "segment ids are one a segment" "$gpkg" 0 \
    "SELECT count(*) - count(DISTINCT segment_id) FROM segments"
check_sql "inspection records" "$gpkg" "$(($(wc -l <"$scratch/copy/sample-gis/inspections.csv") - 1))" \
    "SELECT sum(records) FROM match_report"
check_rows "every matched record has its confidence" "$gpkg" "
    SELECT m.matched_by FROM match_report m WHERE m.matched_by <> 'no segment found' AND
    (m.records <> (SELECT count(*) FROM inspection_matches i WHERE i.matched_by = m.matched_by)
        OR m.doubtful <> (SELECT count(*) FROM inspection_matches i
        WHERE i.matched_by = m.matched_by AND i.confidence < 0.5)
        OR abs(m.mean_confidence - (SELECT avg(confidence) FROM inspection_matches i
        WHERE i.matched_by = m.matched_by)) > 1e-6)
    UNION ALL SELECT segment_id FROM inspection_matches WHERE NOT confidence BETWEEN 0 AND 1"
check_rows "one ruling inspection a segment, of the day that the segment bears" "$gpkg" "
    SELECT s.segment_id FROM segments s WHERE s.inspected_on IS NOT (SELECT max(inspected_on)
    FROM inspection_matches i WHERE i.segment_id = s.segment_id AND i.use = 'rules')"

# ---- observations -------------------------------------------------------------------------
seen=$scratch/copy/sample-gis/observations.csv
check_sql "observations, counted in the source" "$gpkg" "$(($(wc -l <"$seen") - 1))" \
    "SELECT records FROM observation_report WHERE item = 'read'"
for spoilt in "observation_unknown_code ,XFB," "observation_beyond_end ,999.00,"; do
    check_sql "${spoilt% *}, counted in the source" "$gpkg" "$(grep -v '^I99999' "$seen" |
        grep -cF "${spoilt#* }")" "SELECT records FROM observation_report WHERE item = '${spoilt% *}'"
done
check_sql "rows keyed twice, counted in the source" "$gpkg" "$(sort "$seen" | uniq -d | wc -l)" \
    "SELECT records FROM observation_report WHERE item = 'observation_duplicate'"
check_rows "a grade from observations where one was recorded" "$gpkg" "
    SELECT g.segment_id FROM observation_grades g JOIN segments s USING (segment_id, inspected_on)
    WHERE driver = 'structural' AND recorded_grade_1_5 <> grade_structural_1_5"
check_rows "a tightness grade that no observation gives" "$gpkg" "
    SELECT segment_id FROM segments s WHERE grade_tightness_1_5 IS NOT (SELECT max(grade_1_5)
    FROM observation_grades g WHERE g.segment_id = s.segment_id AND driver = 'tightness'
    AND g.inspected_on = s.inspected_on)"
check_rows "an observation that lies off its segment" "$gpkg" "
    SELECT o.segment_id FROM observations o JOIN segments s USING (segment_id)
    WHERE NOT o.place_m BETWEEN 0 AND s.length_m"

# ---- ranks --------------------------------------------------------------------------------
for rank in rank_risk priority; do
    check_sql "$rank is 1 to n, each once" "$gpkg" 1 "SELECT min($rank) = 1 AND max($rank) = count(*)
        AND count(DISTINCT $rank) = count(*) FROM segments"
done
# watching costs nothing, so it has no value for money
check_sql "rank_value is 1 to n, each once, over the segments with work" "$gpkg" "1|1|0" "
    SELECT min(rank_value), max(rank_value) = count(rank_value)
        AND count(DISTINCT rank_value) = count(rank_value),
        sum((rank_value IS NULL) <> (loss_avoided_per_cost IS NULL)) FROM segments"
check_rows "the rank lies between its best and its worst case" "$gpkg" "
    SELECT segment_id, rank_worst_case, rank_risk, rank_best_case FROM segments
    WHERE NOT (1 <= rank_worst_case AND rank_worst_case <= rank_risk AND rank_risk <= rank_best_case
        AND rank_best_case <= (SELECT count(*) FROM segments))"
check_rows "priority follows the expected loss" "$gpkg" "
    SELECT a.segment_id, a.expected_loss_per_year, b.segment_id, b.expected_loss_per_year
    FROM segments a JOIN segments b ON b.priority = a.priority + 1
    WHERE b.expected_loss_per_year > a.expected_loss_per_year"
check_rows "priority is rank_risk, and the order of the layer" "$gpkg" \
    "SELECT fid, priority, rank_risk FROM segments WHERE priority <> rank_risk OR priority <> fid"
check_rows "rank_value follows loss avoided per cost" "$gpkg" "
    SELECT a.segment_id, a.loss_avoided_per_cost, b.segment_id, b.loss_avoided_per_cost
    FROM segments a JOIN segments b ON b.rank_value = a.rank_value + 1
    WHERE b.loss_avoided_per_cost > a.loss_avoided_per_cost"
# chances are kept in single precision, hence the tolerance
check_rows "expected loss = sum of chance x consequence over the three drivers" "$gpkg" "
    SELECT segment_id, expected_loss_per_year FROM segments WHERE NOT abs(
        failure_chance_structural_per_year * consequence_money
        + failure_chance_service_per_year * consequence_service_money
        + failure_chance_tightness_per_year * consequence_tightness_money
        - expected_loss_per_year) <= 1e-6 * expected_loss_per_year"
check_rows "chances of the five grades sum to 1, and their mean is the grade now" "$gpkg" "
    SELECT segment_id, structural_grade_now FROM segments WHERE NOT (
        abs(structural_share_1 + structural_share_2 + structural_share_3 + structural_share_4
            + structural_share_5 - 1) < 1e-5
        AND abs(structural_share_1 + 2 * structural_share_2 + 3 * structural_share_3
            + 4 * structural_share_4 + 5 * structural_share_5 - structural_grade_now) < 1e-4)"
check_rows "observed means that a structural grade was seen" "$gpkg" "
    SELECT segment_id, condition_basis, grade_structural_1_5 FROM segments
    WHERE (condition_basis = 'observed') <> (grade_structural_1_5 IS NOT NULL)"
check_rows "length of the drawn line is close to the plane length of its CRS" "$gpkg" "
    SELECT segment_id, length_m, length_recorded_m, length_basis FROM segments
    WHERE length_basis = 'recorded, agrees' AND abs(length_recorded_m - length_geometry_m) >
          max(2.0, 0.1 * length_geometry_m) OR length_basis = 'drawn, recorded differs'
          AND abs(length_recorded_m - length_geometry_m) <= max(2.0, 0.1 * length_geometry_m)"

# ---- options -------------------------------------------------------------------------------
methods=$(($(printf '.mode csv\n.import "%s" m\nSELECT count(*) FROM m;\n' "$source/config/methods.csv" | sqlite3 -batch)))
check_sql "every segment has all methods" "$gpkg" "$methods|$methods|$methods" "
    SELECT min(n), max(n), max(m) FROM (SELECT count(o.method) n, count(DISTINCT o.method) m
    FROM segments s LEFT JOIN options o USING (segment_id) GROUP BY s.segment_id)"
check_sql "verdicts are four words" "$gpkg" "" \
    "SELECT DISTINCT verdict FROM options WHERE verdict NOT IN
     ('fits', 'fits after works', 'cannot tell', 'ruled out') OR verdict IS NULL"
check_rows "a reason for each verdict" "$gpkg" "
    SELECT segment_id, method FROM options WHERE ifnull(reason, '') = ''
    OR verdict = 'ruled out' AND reason NOT LIKE '%ruled out: %'
    OR verdict = 'fits after works' AND (ifnull(works, '') = '')
    OR verdict = 'cannot tell' AND reason NOT LIKE '%cannot tell%'
    OR verdict = 'fits' AND reason LIKE '%ruled out: %'"
check_rows "the chosen method of options is that of segments, with its figures" "$gpkg" "
    SELECT s.segment_id, s.method, o.method FROM segments s
    LEFT JOIN options o ON o.segment_id = s.segment_id AND o.role = 'chosen'
    WHERE s.method IS NOT o.method OR s.method IS NOT NULL AND (s.method_verdict IS NOT o.verdict
          OR abs(s.cost - o.cost) > 0.005 OR abs(s.yearly_cost - o.yearly_cost) > 0.005
          OR abs(s.cost_low - o.cost_low) > 0.005 OR abs(s.cost_high - o.cost_high) > 0.005)"
check_rows "a method that does not fit is not chosen, nor the best of its kind" "$gpkg" "
    SELECT segment_id, method, verdict, role FROM options
    WHERE role <> 'other' AND verdict NOT IN ('fits', 'fits after works')"
# people and contracts may decide otherwise
check_rows "the chosen method has the greatest net benefit of those that fit" "$gpkg" "
    SELECT s.segment_id, s.method FROM segments s JOIN options c USING (segment_id, method)
    WHERE s.programme <> 'committed' AND s.is_overridden IS NOT 1 AND c.net_benefit + 0.005 <
        (SELECT max(net_benefit) FROM options o WHERE o.segment_id = s.segment_id
         AND o.verdict IN ('fits', 'fits after works'))"
for kind in lining replacement; do
    check_rows "best_$kind has the greatest net benefit of its kind" "$gpkg" "
        SELECT s.segment_id, s.best_$kind FROM segments s
        LEFT JOIN options b ON b.segment_id = s.segment_id AND b.method = s.best_$kind
        WHERE round(b.net_benefit, 4) IS NOT (SELECT round(max(net_benefit), 4) FROM options o
            WHERE o.segment_id = s.segment_id AND o.kind = '$kind'
            AND o.verdict IN ('fits', 'fits after works'))"
done
check_rows "net benefit = loss avoided - cost to horizon" "$gpkg" "
    SELECT segment_id, method FROM options
    WHERE abs(loss_avoided - ifnull(horizon_cost, 0) - net_benefit) > 0.01"
# 15 % and 25 % in a chain: config/markups.csv
check_rows "cost = works, main work and items with both mark-ups" "$gpkg" "
    SELECT segment_id, method, cost FROM options
    WHERE abs((main_cost + works_cost + items_cost) * 1.15 * 1.25 - cost) > 0.006"
check_rows "class 5: half to double" "$gpkg" "
    SELECT segment_id, method FROM options
    WHERE abs(cost_low - 0.5 * cost) > 0.005 OR abs(cost_high - 2 * cost) > 0.005"
# capital recovery factor i / (1 - (1 + i)^-n) at 3 %
check_rows "yearly cost = cost over the annuity of its life" "$gpkg" "
    SELECT segment_id, method, yearly_cost FROM options WHERE life_years > 0 AND
    abs(cost * 0.03 / (1 - pow(1.03, -life_years)) - yearly_cost) > 0.005"
check_rows "rate x length = main cost" "$gpkg" "
    SELECT o.segment_id, o.method FROM options o JOIN segments s USING (segment_id)
    WHERE abs(o.rate_per_m * s.length_m - o.main_cost) > 0.01"

# ---- parts of the consequence -----------------------------------------------------------------
check_rows "parts sum exactly to points and money" "$gpkg" "
    SELECT s.segment_id, s.consequence_money, p.money FROM segments s LEFT JOIN (
        SELECT segment_id, sum(points) points, sum(money) money, sum(service_money) service,
               sum(tightness_money) tightness FROM score_parts GROUP BY segment_id) p
        USING (segment_id)
    WHERE s.consequence_points IS NOT p.points OR s.consequence_points IS NULL
       OR round(s.consequence_money * 100) IS NOT round(p.money * 100)
       OR round(s.consequence_service_money * 100) IS NOT round(p.service * 100)
       OR round(s.consequence_tightness_money * 100) IS NOT round(p.tightness * 100)
       OR abs(s.consequence_money - p.money) > 1e-6"
check_rows "share of the total" "$gpkg" "
    SELECT segment_id, factor FROM score_parts p JOIN segments s USING (segment_id)
    WHERE s.consequence_money > 0 AND abs(p.money / s.consequence_money - share_of_total) > 1e-9"
factors=$(printf '.mode csv\n.import "%s" c\nSELECT count(DISTINCT factor) FROM c;\n' \
    "$source/config/consequence.csv" | sqlite3 -batch)
check_sql "every segment has all factors" "$gpkg" "$factors|$factors" "
    SELECT min(n), max(n) FROM (SELECT count(factor) n FROM segments LEFT JOIN score_parts
    USING (segment_id) GROUP BY segment_id)"

# ---- act now: the rules of the table, asked again row by row ------------------------------------
printf '.mode csv\n.import "%s" r\nSELECT id || char(9) || condition FROM r;\n' \
    "$source/config/act_now.csv" | sqlite3 -batch -noheader | sed 's/^"//; s/"$//; s/""/"/g' >"$scratch/rules"
check_not "rules read" 0 "$(wc -l <"$scratch/rules")"
first_rule=$(awk -F '\t' '{ printf "WHEN %s THEN \x27%s\x27 ", $2, $1 }' "$scratch/rules")
check_rows "act_now_rule is the first rule that holds" "$gpkg" "
    SELECT segment_id, act_now_rule, again FROM
        (SELECT *, CASE $first_rule END again FROM segments) WHERE act_now_rule IS NOT again"
check_rows "the list holds these segments and no others" "$gpkg" "
    SELECT s.segment_id, s.act_now_rule, a.rule FROM segments s LEFT JOIN act_now a USING (segment_id)
    WHERE s.act_now_rule IS NOT a.rule OR a.rule IS NOT NULL AND
          (s.priority <> a.priority OR s.method IS NOT a.method OR s.year IS NOT a.programme_year)"
check_sql "one row a segment of the list" "$gpkg" 1 \
    "SELECT count(*) = count(DISTINCT segment_id) AND count(*) > 0 FROM act_now"
check_rows "the soonest first, counted from the date of the plan" "$gpkg" "
    SELECT a.fid, a.act_by FROM act_now a LEFT JOIN act_now b ON b.fid = a.fid + 1
    WHERE b.act_within_days < a.act_within_days
       OR a.act_by IS NOT date('2026-01-01', '+' || a.act_within_days || ' days')"

# ---- programme -------------------------------------------------------------------------------------
check_rows "states are five words" "$gpkg" "SELECT DISTINCT programme FROM segments WHERE programme NOT IN
    ('no work', 'committed', 'funded', 'unfunded', 'no method') OR programme IS NULL"
check_rows "year and project where funded or committed, else neither" "$gpkg" "
    SELECT segment_id, programme, year, project_id FROM segments
    WHERE (programme IN ('funded', 'committed')) <> (year IS NOT NULL)
       OR (year IS NULL) <> (project_id IS NULL)"
check_rows "no work means watch, no method that nothing fits" "$gpkg" "
    SELECT segment_id, method FROM segments WHERE (programme = 'no work') IS NOT (method IS 'watch')
    OR (programme = 'no method') IS NOT (method IS NULL)"
# a committed work costs what its contract says, not what we estimate
check_rows "cost of funded segments by year = spent less committed" "$gpkg" "
    SELECT y.year, y.spent - y.committed, f.cost FROM programme_year y LEFT JOIN
        (SELECT year, sum(cost) cost FROM segments WHERE programme = 'funded' GROUP BY year) f
        USING (year) WHERE abs(y.spent - y.committed - ifnull(f.cost, 0)) > 0.005"
check_rows "cost of projects by year = spent" "$gpkg" "
    SELECT y.year, y.spent, p.cost FROM programme_year y LEFT JOIN
        (SELECT year, sum(cost) cost FROM projects GROUP BY year) p USING (year)
    WHERE abs(y.spent - ifnull(p.cost, 0)) > 0.005"
check_sql "committed money, as the paving list says" "$gpkg" \
    "$(sql "$scratch/copy/sample-gis/context.gpkg" "SELECT printf('%.2f', sum(COST)) FROM paving_list
       WHERE KIND = 'committed'")" "SELECT printf('%.2f', sum(committed)) FROM programme_year"
check_rows "budget + carried in = spent + carried out + forfeited" "$gpkg" "
    SELECT year FROM programme_year WHERE abs(budget + carry_in - spent - carry_out - forfeited) > 0.005
    OR spent > budget + carry_in + 0.005 OR carry_out > 0.1 * budget + 0.005"
check_rows "what is carried out is carried in" "$gpkg" "
    SELECT a.year FROM programme_year a JOIN programme_year b ON b.year = a.year + 1
    WHERE abs(a.carry_out - b.carry_in) > 1e-9"
check_sql "years and budgets of the plan" "$gpkg" "2026|2035|13000000.0" \
    "SELECT min(year), max(year), sum(budget) FROM programme_year"
check_rows "projects add up from their segments" "$gpkg" "
    SELECT p.project_id FROM projects p LEFT JOIN (SELECT project_id, count(*) n, sum(length_m) length,
        min(priority) best, count(DISTINCT year) years, count(DISTINCT method) methods, max(year) year
        FROM segments WHERE project_id IS NOT NULL GROUP BY project_id) s USING (project_id)
    WHERE p.segments IS NOT s.n OR abs(p.length_m - s.length) > 1e-6 OR p.best_priority IS NOT s.best
       OR s.years <> 1 OR s.methods <> 1 OR p.year IS NOT s.year"
check_sql "no project of segments but in the list" "$gpkg" 0 "SELECT count(*) FROM segments
    WHERE project_id IS NOT NULL AND project_id NOT IN (SELECT project_id FROM projects)"
check_rows "unfunded lists the unfunded, by priority" "$gpkg" "
    SELECT s.segment_id FROM segments s LEFT JOIN unfunded u USING (segment_id)
    WHERE (s.programme = 'unfunded') <> (u.segment_id IS NOT NULL)
       OR u.segment_id IS NOT NULL AND (abs(s.cost - u.cost) > 0.005 OR s.priority <> u.priority
          OR (s.act_now_rule IS NOT NULL) <> u.is_act_now)
    UNION ALL SELECT a.segment_id FROM unfunded a JOIN unfunded b ON b.fid = a.fid + 1
    WHERE b.priority < a.priority"
check_sql "five scenarios" "$gpkg" "do nothing,plan,minus 20 %,unconstrained,worst first" \
    "SELECT group_concat(scenario, ',') FROM (SELECT scenario FROM scenario ORDER BY fid)"
check_rows "scenario plan = the programme" "$gpkg" "
    SELECT c.spent, c.segments FROM scenario c, (SELECT sum(spent) spent, sum(segments) n,
        sum(length_lined_m + length_replaced_m + length_other_m) length,
        sum(loss_avoided) avoided, sum(expected_loss) loss FROM programme_year) y
    WHERE c.scenario = 'plan' AND (abs(c.spent - y.spent) > 0.005 OR c.segments <> y.n
        OR abs(c.length_m - y.length) > 1e-6 OR abs(c.loss_budget_years - y.loss) > 0.01
        OR abs(c.loss_avoided - y.avoided) > 0.01 OR c.segments_moved <> 0)"
check_rows "observed share of a project, counted again" "$gpkg" "
    SELECT p.project_id FROM projects p WHERE abs(p.observed_share - (SELECT
    sum(length_m * (condition_basis = 'observed')) / sum(length_m) FROM segments s
    WHERE s.project_id = p.project_id)) > 1e-9"
check_rows "observed share of the network and of a year, counted again" "$gpkg" "
    SELECT r.year FROM risk_by_year r WHERE abs(r.observed_share - (SELECT
    sum(length_m * (condition_basis = 'observed')) / sum(length_m) FROM segments)) > 1e-9
    UNION ALL SELECT y.year FROM programme_year y WHERE abs(y.observed_share - (SELECT
    sum(length_m * (condition_basis = 'observed')) / sum(length_m) FROM segments s
    WHERE s.year = y.year)) > 1e-9
    UNION ALL SELECT 0 FROM scenario c WHERE c.scenario = 'plan' AND abs(c.observed_share - (SELECT
    sum(length_m * (condition_basis = 'observed')) / sum(length_m) FROM segments
    WHERE year IS NOT NULL)) > 1e-9"
check_rows "act-now segments without money" "$gpkg" "
    SELECT c.act_now_missed FROM scenario c WHERE c.scenario = 'plan' AND c.act_now_missed <>
    (SELECT count(*) FROM segments WHERE act_now_rule IS NOT NULL AND programme = 'unfunded')"
check_rows "a fifth less money is spent within a fifth less budget" "$gpkg" "
    SELECT scenario, spent FROM scenario WHERE scenario = 'minus 20 %' AND spent > 0.8 * 13000000 + 0.005
    OR scenario = 'do nothing' AND (spent <> 0 OR segments <> 0 OR loss_avoided <> 0)"
check_rows "unconstrained = all work" "$gpkg" "
    SELECT spent FROM scenario WHERE scenario = 'unconstrained' AND segments <>
    (SELECT count(*) FROM segments WHERE programme NOT IN ('no work', 'no method'))"
check_rows "risk by year is that of the programme" "$gpkg" "
    SELECT y.year FROM programme_year y LEFT JOIN risk_by_year p ON p.year = y.year AND p.scenario = 'plan'
    LEFT JOIN risk_by_year n ON n.year = y.year AND n.scenario = 'do nothing'
    WHERE NOT (abs(y.expected_loss - p.expected_loss) < 0.01 AND abs(y.spent - p.spent) < 0.005
        AND abs(y.expected_loss_do_nothing - n.expected_loss) < 0.01)
       OR p.year IS NULL OR n.year IS NULL"
check_rows "loss of the first year if nothing is done = that of all segments" "$gpkg" "
    SELECT expected_loss FROM risk_by_year WHERE scenario = 'do nothing' AND year = 2026 AND
    abs(expected_loss - (SELECT sum(expected_loss_per_year) FROM segments)) > 1e-6 * expected_loss"
check_rows "periods add up from years" "$gpkg" "
    SELECT p.period FROM programme_period p WHERE
        abs(p.expected_loss - (SELECT sum(expected_loss) FROM risk_by_year r WHERE r.scenario = 'plan'
            AND r.year BETWEEN p.first_year AND p.last_year)) > 0.01
     OR abs(p.spent - (SELECT sum(spent) FROM programme_year y
            WHERE y.year BETWEEN p.first_year AND p.last_year)) > 0.005"

# ---- totals by method, district and condition --------------------------------------------------------
check_rows "totals by method" "$gpkg" "
    SELECT m.method FROM method_totals m LEFT JOIN (SELECT method, count(*) n, sum(length_m) length,
        sum(cost) cost, sum(programme IN ('funded', 'committed')) funded FROM segments GROUP BY method) s
        USING (method)
    WHERE m.chosen_segments <> ifnull(s.n, 0) OR abs(m.chosen_length_m - ifnull(s.length, 0)) > 1e-6
       OR abs(m.chosen_cost - ifnull(s.cost, 0)) > 0.005 OR m.funded_segments <> ifnull(s.funded, 0)
       OR m.best_lining_segments <> (SELECT count(*) FROM segments x WHERE x.best_lining = m.method)
       OR m.best_replacement_segments <>
          (SELECT count(*) FROM segments x WHERE x.best_replacement = m.method)"
check_rows "totals by district" "$gpkg" "
    SELECT d.district FROM district_totals d LEFT JOIN (SELECT ifnull(district, '') district, count(*) n,
        sum(length_m) length, sum(expected_loss_per_year) loss, sum(act_now_rule IS NOT NULL) act,
        sum(programme IN ('funded', 'committed')) funded, sum(programme = 'unfunded') unfunded,
        sum(CASE condition_basis WHEN 'observed' THEN length_m ELSE 0 END) seen
        FROM segments GROUP BY 1) s ON s.district = ifnull(d.district, '')
    WHERE NOT (d.segments IS s.n AND abs(d.length_m - s.length) < 1e-6
        AND abs(d.observed_share - s.seen / s.length) < 1e-9
        AND abs(d.expected_loss_per_year - s.loss) < 0.01 AND d.act_now_segments = s.act
        AND d.funded_segments = s.funded AND d.unfunded_segments = s.unfunded)"
check_sql "shares of the coverage sum to 1" "$gpkg" "1.000000000|1" "
    SELECT printf('%.9f', sum(share_of_length)), sum(segments) = (SELECT count(*) FROM segments)
    FROM coverage"
check_rows "coverage, counted again" "$gpkg" "
    SELECT c.condition FROM coverage c WHERE abs(c.length_m - (SELECT ifnull(sum(length_m), 0)
        FROM segments s WHERE CASE WHEN s.grade_structural_1_5 IS NOT NULL
            THEN 'grade ' || CAST(round(s.grade_structural_1_5) AS INTEGER)
            WHEN s.inspected_on IS NOT NULL THEN 'inspected, no structural grade'
            ELSE s.condition_basis END = CASE WHEN c.condition LIKE 'not inspected%'
            THEN c.condition_basis ELSE c.condition END)) > 1e-6"
check_rows "shares of the match report" "$gpkg" "
    SELECT matched_by FROM match_report WHERE abs(share_of_records -
    1.0 * records / (SELECT sum(records) FROM match_report)) > 1e-12"

# ---- what people read -------------------------------------------------------------------------------------
check_rows "a reason for every segment" "$gpkg" "SELECT segment_id FROM segments WHERE ifnull(reason, '') = ''"
for field in segments.reason act_now.reason act_now.caution data_issues.message data_issues.effect options.reason; do
    check_rows "no placeholder is left in $field" "$gpkg" "
        SELECT ${field#*.} FROM ${field%.*} WHERE ${field#*.} LIKE '%{%' OR ${field#*.} LIKE '%(null)%'
        OR ${field#*.} LIKE '%nan%' AND ${field#*.} NOT LIKE '%maintenan%' AND ${field#*.} NOT LIKE '%finan%'"
done
check_rows "yes or no, never empty, for what every run decides" "$gpkg" "
    SELECT segment_id, is_overridden, is_outlet, in_loop FROM segments
    WHERE is_overridden IS NULL OR is_outlet IS NULL OR in_loop IS NULL"
check_sql "overrides, and the segments that they change" "$gpkg" "applied|3|3" "
    SELECT group_concat(DISTINCT state), count(*),
        (SELECT count(*) FROM segments WHERE is_overridden = 1) FROM overrides"
check_sql "a width set by a person is used" "$gpkg" 225.0 "SELECT width_mm FROM segments WHERE segment_id = 'S11-0144'"
check_sql "a method set by a person is used" "$gpkg" ring_and_panel "SELECT method FROM segments WHERE segment_id = 'S13-0050'"
check "looking at the result does not change it" "$as_written" "$(sha256sum <"$original")"
check_rows "an assumption without source" "$gpkg" "SELECT what FROM assumptions WHERE ifnull(source, '') = ''"
# ---- a programme that begins later ------------------------------------------------------------
# The chances of a year do not depend on when the programme begins: two routes to 2029.
later=$scratch/later
copy_sample "$later"
sed -i 's/first_year: 2026/first_year: 2029/; /^    202[678]: /d' "$later/sample-gis/plan.yaml"
printf '%s\n' '/^    2035: /a\' '    2036: 1400000\' '    2037: 1400000\' '    2038: 1400000' >"$scratch/years.sed"
sed -i -f "$scratch/years.sed" "$later/sample-gis/plan.yaml"
expect_exit 0 "run of a later programme" "$haunch" run --quiet "$later/sample-gis/plan.yaml"
sqlite3 "$gpkg" "ATTACH '$later/out/sample/result.gpkg' AS later; SELECT n.year, n.expected_loss, l.expected_loss
    FROM risk_by_year n JOIN later.risk_by_year l USING (year, scenario)
    WHERE scenario = 'do nothing' AND year IN (2029, 2035) AND
    abs(n.expected_loss - l.expected_loss) < 1e-5 * n.expected_loss" >"$scratch/years" 2>&1
check "loss of 2029 and 2035 if nothing is done, whenever the programme begins" 2 "$(grep -c '^20' "$scratch/years")"

finish

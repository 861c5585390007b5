#!/bin/sh
# A points scheme on the sample town, from the shipped scoring.csv and from one that
# asks what a segment cuts off: parts make the score, money stays what it was.
. "$(dirname "$0")/lib_system.sh"
need_tools sqlite3

copy_sample "$scratch/copy"
home=$scratch/copy/sample-gis result=$scratch/copy/out/sample/result.gpkg
plan=$home/plan.yaml
cp "$plan" "$scratch/plain.yaml"
sed -i 's/score_parts: deciding/score_parts: all/' "$plan"
expect_exit 0 "run without a scheme" "$haunch" run --quiet "$plan"
cp "$result" "$scratch/plain.gpkg"
check_sql "no scheme, no columns and tables of one" "$scratch/plain.gpkg" "0|0" "SELECT
    (SELECT count(*) FROM pragma_table_info('segments') WHERE name LIKE 'score%' OR name = 'rank_score'),
    (SELECT count(*) FROM sqlite_master WHERE name IN ('scheme_parts', 'matrix'))"

with_scheme() { # BLOCK
    sed 's/score_parts: deciding/score_parts: all/' "$scratch/plain.yaml" >"$plan"
    printf 'risk: %s\n' "$1" >>"$plan"
    rm -rf "$scratch/copy/out"
}
# Sums in the order of the factors, as the engine adds them.
parts_make_scores() { # LABEL
    check_rows "$1: factors and limits add up to each side" "$result" "
        SELECT s.segment_id, s.score_likelihood, s.score_consequence, p.l, p.c FROM segments s JOIN
            (SELECT segment_id, round(sum(score) FILTER (WHERE side = 'likelihood'), 6) l,
                    round(sum(score) FILTER (WHERE side = 'consequence'), 6) c
             FROM scheme_parts GROUP BY segment_id) p USING (segment_id)
        WHERE abs(s.score_likelihood - p.l) > 1e-9 OR abs(s.score_consequence - p.c) > 1e-9"
    check_sql "$1: every segment has every factor" "$result" 1 "SELECT count(*) =
        (SELECT count(*) FROM segments) * (SELECT count(DISTINCT factor) FROM scheme_parts
         WHERE factor <> 'limit') FROM scheme_parts WHERE factor <> 'limit'"
    check_rows "$1: rank by score" "$result" "
        SELECT a.segment_id FROM segments a JOIN segments b ON b.rank_score = a.rank_score + 1
        WHERE a.score < b.score OR (a.score = b.score AND a.rank_risk > b.rank_risk)"
    check_rows "$1: low <= score <= high" "$result" "
        SELECT segment_id FROM segments WHERE score IS NULL OR score_low > score OR score > score_high"
    check "$1: money, loss, choice and programme as without" "" "$(sqlite3 "$result" "
        ATTACH '$scratch/plain.gpkg' AS plain;
        SELECT a.segment_id FROM main.segments a JOIN plain.segments b USING (segment_id)
        WHERE a.consequence_money IS NOT b.consequence_money OR a.rank_risk IS NOT b.rank_risk
           OR a.expected_loss_per_year IS NOT b.expected_loss_per_year
           OR a.method IS NOT b.method OR a.year IS NOT b.year")"
}

with_scheme "{scheme: matrix, likelihood: {most: 9, class_from: [2, 4, 6, 8]}, consequence: {class_from: [10, 20, 30, 40]}}"
expect_exit 0 "matrix" "$haunch" run --quiet --threads 2 "$plan"
parts_make_scores "matrix"
check_rows "matrix: score is the product of the classes" "$result" "
    SELECT segment_id FROM segments WHERE score <> likelihood_class * consequence_class"
check_rows "matrix: classes by the limits of the plan" "$result" "
    SELECT segment_id FROM segments WHERE likelihood_class <> 1 + (score_likelihood >= 2) +
        (score_likelihood >= 4) + (score_likelihood >= 6) + (score_likelihood >= 8) OR
        consequence_class <> 1 + (score_consequence >= 10) + (score_consequence >= 20) +
        (score_consequence >= 30) + (score_consequence >= 40)"
check_rows "matrix: cells are the segments counted again" "$result" "
    SELECT m.likelihood_class, m.consequence_class FROM matrix m LEFT JOIN
        (SELECT likelihood_class, consequence_class, count(*) n, sum(length_m) length, sum(cost) cost,
                sum(expected_loss_per_year) loss,
                sum(CASE condition_basis WHEN 'observed' THEN length_m ELSE 0 END) seen
         FROM segments GROUP BY 1, 2) s USING (likelihood_class, consequence_class)
    WHERE m.segments <> ifnull(s.n, 0) OR abs(m.length_m - ifnull(s.length, 0)) > 1e-6
       OR abs(m.cost - ifnull(s.cost, 0)) > 0.01 OR abs(m.observed_share - s.seen / s.length) > 1e-9
       OR abs(m.expected_loss_per_year - ifnull(s.loss, 0)) > 0.01"
check_sql "matrix: all 25 cells, and something in most" "$result" "25|1" \
    "SELECT count(*), sum(segments > 0) > 12 FROM matrix"
documented() { # TABLE
    awk -v begin="<!-- $1: begin -->" -v end="<!-- $1: end -->" '
        $0 == end { exit }
        inside && /^\| `/ { split($0, part, "`"); print part[2] }
        $0 == begin { inside = 1 }' "$source/docs/outputs.md"
}
for table in scheme_parts matrix; do
    check "columns of $table as docs/outputs.md says" "$(documented $table | tr '\n' ' ')" \
        "$(columns_of "$result" $table | grep -vx fid | tr '\n' ' ')"
    check "rows of $table.csv" "$(sql "$result" "SELECT count(*) FROM $table")" \
        "$(printf '.mode csv\n.import "%s" t\nSELECT count(*) FROM t;\n' "$scratch/copy/out/sample/tables/$table.csv" | sqlite3 -batch)"
done
check_sql "columns of the scheme in segments" "$result" 8 "SELECT count(*) FROM pragma_table_info('segments')
    WHERE name LIKE 'score%' OR name IN ('rank_score', 'likelihood_class', 'consequence_class')"
hashes_of "$scratch/copy/out" >"$scratch/two"
rm -rf "$scratch/copy/out"
expect_exit 0 "matrix, one thread" "$haunch" run --quiet --threads 1 "$plan"
hashes_of "$scratch/copy/out" >"$scratch/one"
check "matrix: one thread and two give the same" "" "$(diff "$scratch/one" "$scratch/two")"
first=$(sql "$result" "SELECT segment_id FROM segments WHERE rank_score = 1")
expect_exit 0 "matrix: explain" "$haunch" explain "$scratch/copy/out/sample" "$first"
check_has "matrix: explain names the rank" "Rank by score" "$out"
check_has "matrix: explain shows the factors" "Score of the points scheme" "$out"
expect_exit 0 "matrix: explain as JSON" "$haunch" explain --format json "$scratch/copy/out/sample" "$first"
check "matrix: explain has the score of the layer" 1 "$(grep -c '"layer_column": *"score"' "$out")"

# What a segment cuts off, in a factor of a scheme of one's own.
cat >"$home/own.csv" <<'CSV'
side,factor,class,condition,points,weight,times,source
consequence,cut off,5 km,cut_off_length_m >= 5000,10,,,the test
consequence,cut off,1 km,cut_off_length_m >= 1000,6,,,the test
consequence,cut off,little,1,2,,,the test
consequence,size,any,width_mm > 0,width_mm / 100,,0.5,the test
consequence,size,not known,1,3,,,the test
CSV
with_scheme "{scheme: additive}"
sed -i 's#^config:.*#&\n  scoring: ../sample-gis/own.csv#; s/^  priority: .*//; s/^programme:/programme:\n  priority: score/' "$plan"
expect_exit 0 "own scheme" "$haunch" run --quiet "$plan"
parts_make_scores "own scheme"
check_rows "own scheme: points by what is cut off" "$result" "
    SELECT segment_id FROM segments s JOIN scheme_parts p USING (segment_id) WHERE factor = 'cut off'
    AND points <> CASE WHEN cut_off_length_m >= 5000 THEN 10 WHEN cut_off_length_m >= 1000 THEN 6 ELSE 2 END"
check_rows "own scheme: the priority follows the score" "$result" \
    "SELECT segment_id FROM segments WHERE priority <> rank_score"
sed -i '0,/^    segment_id: ASSET_ID/s/^    segment_id: ASSET_ID/    segment_id: ASSET_ID\n    people: {value: 12.5}\n    flow_added: {value: 0.1, unit: l\/s}/' "$plan"
expect_exit 0 "people and flow" "$haunch" run --quiet "$plan"
check_rows "people and flow: what is cut off" "$result" "
    SELECT segment_id FROM segments WHERE people_served <> 12.5 * ifnull(source_rows, 1) OR cut_off_people < people_served OR
    upstream_people < people_served - 0.001 OR abs(cut_off_people / 125000 - cut_off_flow_m3_per_s) > 1e-4 * cut_off_flow_m3_per_s"
check_sql "people and flow: all of them reach an outlet" "$result" 1 "SELECT abs(sum(people_served) -
    (SELECT sum(upstream_people) FROM segments WHERE is_outlet)) < 1 FROM segments"
check_rows "cut off: itself at least, and no more than drains through it, but for loops" "$result" "
    SELECT segment_id FROM segments WHERE cut_off_length_m < length_m - 0.01 OR
    (NOT in_loop AND cut_off_length_m > upstream_length_m + 0.01 AND cut_off_length_m > 1.0001 * upstream_length_m)"
finish

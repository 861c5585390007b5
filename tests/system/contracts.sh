#!/bin/sh
# Contracts for sewers that the engine would only watch: the method whose estimate is
# nearest to the contract sum, in proportion, stands for what has been committed.
. "$(dirname "$0")/lib_system.sh"
need_tools sqlite3

copy_sample "$scratch/copy"
plan=$scratch/copy/sample-gis/plan.yaml
expect_exit 0 "run without the contracts" "$haunch" run --quiet "$plan"
cp "$scratch/copy/out/sample/result.gpkg" "$scratch/before.gpkg"

# Sewers that are watched though two works and more could be done: each gets a contract
# of nine tenths of one of its estimates, the dearest, the next, ... in turn.
sqlite3 "$scratch/before.gpkg" "
    CREATE TABLE asked AS
    WITH possible AS (
        SELECT o.segment_id, o.method, o.cost,
               row_number() OVER (PARTITION BY o.segment_id ORDER BY o.cost DESC, o.method) AS place,
               count(*) OVER (PARTITION BY o.segment_id) AS works
        FROM options o JOIN segments s USING (segment_id)
        WHERE s.method = 'watch' AND s.programme = 'no work' AND o.kind <> 'watch'
          AND o.verdict IN ('fits', 'fits after works') AND o.cost > 0 AND NOT s.is_overridden),
    chosen AS (SELECT DISTINCT segment_id, works FROM possible WHERE works >= 3
               ORDER BY segment_id LIMIT 40)
    SELECT p.segment_id, 0.9 * p.cost AS contract
    FROM possible p JOIN (SELECT *, row_number() OVER (ORDER BY segment_id) AS n FROM chosen) c
      ON c.segment_id = p.segment_id AND p.place = 1 + c.n % c.works"
check "sewers with a contract" 40 "$(sql "$scratch/before.gpkg" "SELECT count(*) FROM asked")"
# the triggers of the spatial index want functions that this sqlite3 does not have
sqlite3 "$scratch/copy/sample-gis/context.gpkg" "SELECT 'DROP TRIGGER \"' || name || '\";' FROM sqlite_master
    WHERE type = 'trigger' AND tbl_name = 'paving_list'" |
    sqlite3 "$scratch/copy/sample-gis/context.gpkg"
sqlite3 "$scratch/copy/sample-gis/context.gpkg" "ATTACH '$scratch/before.gpkg' AS b;
    INSERT INTO paving_list (ASSET_ID, YEAR, KIND, COST)
    SELECT segment_id, 2027, 'committed', contract FROM b.asked" 2>"$err"
check_empty "contracts are in the works list" "$err"
expect_exit 0 "run with the contracts" "$haunch" run --quiet "$plan"
after=$scratch/copy/out/sample/result.gpkg
check "committed with a method" 40 "$(sqlite3 "$after" "ATTACH '$scratch/before.gpkg' AS b;
    SELECT count(*) FROM main.segments s JOIN b.asked a USING (segment_id)
    WHERE s.programme = 'committed' AND s.method <> 'watch' AND s.year = 2027")"
check "methods that are not the nearest to the contract" "" "$(sqlite3 "$after" "
    ATTACH '$scratch/before.gpkg' AS b;
    WITH apart AS (
        SELECT o.segment_id, o.method, abs(ln(o.cost / a.contract)) AS apart
        FROM b.options o JOIN b.asked a USING (segment_id)
        WHERE o.kind <> 'watch' AND o.verdict IN ('fits', 'fits after works') AND o.cost > 0)
    SELECT s.segment_id, s.method FROM main.segments s JOIN apart x USING (segment_id)
    WHERE x.method = s.method AND x.apart > 1e-9 +
          (SELECT min(y.apart) FROM apart y WHERE y.segment_id = s.segment_id)")"
check_not "methods that contracts stand for" 1 "$(sqlite3 "$after" "ATTACH '$scratch/before.gpkg' AS b;
    SELECT count(DISTINCT s.method) FROM main.segments s JOIN b.asked a USING (segment_id)")"
check "spent in 2027 holds the contract sums" 1 "$(sqlite3 "$after" "ATTACH '$scratch/before.gpkg' AS b;
    SELECT committed >= (SELECT sum(contract) FROM b.asked) - 0.01 FROM main.programme_year WHERE year = 2027")"
finish

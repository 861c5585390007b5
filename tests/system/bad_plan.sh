#!/bin/sh
# Plans and config tables that cannot be used: each is refused with its place, the
# value and a way out, and no result is touched.
. "$(dirname "$0")/lib_system.sh"
need_tools sqlite3 ogr2ogr
. "$(dirname "$0")/lib_small_town.sh"

# ---- files that are no plan -------------------------------------------------------------------
plan=$town/plan.yaml
rm -f "$plan"
refused 3 "missing plan" plan.yaml
printf 'this is not { a plan: [\n' >"$plan"
refused 2 "plan that is not YAML" plan.yaml:2:1 YAML
printf 'just words\n' >"$plan"
refused 2 "plan of words" plan.yaml:1
cp "$town/net.gpkg" "$plan"
refused 2 "binary plan" plan.yaml:1 UTF-8
head -c 4096 /dev/urandom >"$plan"
refused 2 "plan of noise" plan.yaml:1
: >"$plan"
refused 2 "empty plan" plan.yaml empty
printf '# nothing but a remark\n' >"$plan"
refused 2 "plan of one remark" plan.yaml empty
sed 's/^  /\t/' "$town/good.yaml" >"$plan"
refused 2 "plan with tabs" plan.yaml: YAML tab
printf 'title: \377\376\n' >"$plan"
refused 2 "plan in another encoding" plan.yaml:1 UTF-8
{ cat "$town/good.yaml"; printf -- '---\ntitle: second\n'; } >"$plan"
refused 2 "plan of two documents" plan.yaml:
sed 's/^title: .*/title: \&a Small town/; s/^currency: .*/currency: *a/' "$town/good.yaml" >"$plan"
refused 2 "plan with an alias" plan.yaml:1
{ printf 'title: '; head -c 5000000 /dev/zero | tr '\0' 'x'; echo; } >"$plan"
refused 2 "plan of 5 MB" plan.yaml
{ printf 'network: '; for i in $(seq 2000); do printf '['; done; echo; } >"$plan"
refused 2 "plan nested 2000 levels deep" plan.yaml
printf '\357\273\277' | cat - "$town/good.yaml" >"$plan"
runs "plan with a byte order mark"
sed 's/$/\r/' "$town/good.yaml" >"$plan"
runs "plan with the line ends of another system"

# ---- keys and values ------------------------------------------------------------------------------
plan_as 's/^currency/curency/'
refused 2 "unknown key" plan.yaml:3:1 '`curency`' 'did you mean `currency`'
plan_as 's/  budgets:/  budgetts:/'
refused 2 "unknown key below another" plan.yaml:26:3 budgetts budgets
plan_as 's/width: {field/width: {feld/'
refused 2 "unknown key in braces" plan.yaml:14: feld field
plan_as 's/    width:/    widht:/'
refused 2 "unknown role" plan.yaml:14:5 widht width
plan_as 's/^currency: EUR/currency: EUR\ncurrency: USD/'
refused 2 "key given twice" plan.yaml:4:1 currency twice "line 3"
plan_as '/^currency/d'
refused 2 "missing key" currency missing
plan_as '/^programme/,/budgets/d'
refused 2 "missing block" programme missing
plan_as 's/^currency: EUR/currency:/'
refused 2 "key without a value" plan.yaml:3 currency
plan_as 's/\[50000, 50000, 50000\]/[50000, plenty, 50000]/'
refused 2 "budget of text" plan.yaml:26: 2027 plenty
plan_as 's/\[50000, 50000, 50000\]/[50000, -1, 50000]/'
refused 2 "negative budget" plan.yaml:26: 2027 -1
plan_as 's/\[50000, 50000, 50000\]/[.nan, .inf, 1e999]/'
refused 2 "budget that is no number" plan.yaml:26: .nan
plan_as 's/\[50000, 50000, 50000\]/500,000/'
refused 2 "budget with a comma" plan.yaml:26: 500,000
plan_as 's/\[50000, 50000, 50000\]/[200,000, 200,000]/'
refused 2 "budgets with commas inside" plan.yaml:26: 2027 '`000`' comma
plan_as 's/budgets: .*/level_budget: 050000\n  years: 3/'
refused 2 "budget that begins with 0" plan.yaml:26: 050000
plan_as 's/\[50000, 50000, 50000\]/[0, 0.5, 50000]/'
runs "budgets of nothing and of half"
expect_exit 0 "check of budgets" "$haunch" check "$town/plan.yaml"
check_has "check of budgets: the years and sums" "programme: 3 years, EUR: 2026 0, 2027 0.5, 2028 50000" "$out"
plan_as 's/\[50000, 50000, 50000\]/[]/'
refused 2 "no budget" plan.yaml:26: budgets
plan_as 's/\[50000, 50000, 50000\]/{2026: 1, 2028: 1}/'
refused 2 "budgets with a hole" plan.yaml:26: 2027
plan_as 's/budgets: .*/level_budget: 1\n  years: 101/'
refused 2 "too many years" plan.yaml:27: 101
plan_as 's/^as_of: .*/as_of: 2026-02-30/'
refused 2 "day that is not in the calendar" plan.yaml:2: 2026-02-30
plan_as 's/unit: mm/unit: furlong/'
refused 2 "unknown unit" plan.yaml:14: furlong "mm, cm, m, in, ft"
plan_as 's/, unit: mm//'
refused 2 "no unit" plan.yaml:14: width unit
plan_as 's/DN_MM, unit: mm/DN_MM, unit: m3\/s/'
refused 2 "unit of something else" plan.yaml:14: m3/s
plan_as 's/, best: 1, worst: 5//'
refused 2 "grade without best and worst" plan.yaml:24: grade_structural best worst
plan_as 's/, worst: 5//'
refused 2 "grade without worst" plan.yaml:24: worst
plan_as 's/best: 1, worst: 5/best: 3, worst: 3/'
refused 2 "best and worst alike" plan.yaml:24: 3
plan_as 's/date: iso/date: julian/'
refused 2 "unknown form of date" plan.yaml:22: julian iso
plan_as 's/DEPTH, unit: m}/DEPTH, unit: m, pattern: "([0-9"}/'
refused 2 "broken pattern" plan.yaml: pattern
plan_as 's/VC: vitrified clay/VC: gingerbread/'
refused 2 "unknown material" plan.yaml:12 gingerbread ", unknown;"
check_lacks "unknown material: each name once" "unknown, unknown" "$err"
plan_as 's/^output:/money:\n  discount_pct: lots\noutput:/'
refused 2 "rate of text" plan.yaml:28: discount_pct lots
plan_as 's/^output:/defaults:\n  soil: {value: sand}\noutput:/'
refused 2 "default without a source" plan.yaml:28: source
plan_as 's/^output:/defaults:\n  grade_structural_1_5: {value: 1, source: local rule}\noutput:/'
refused 2 "default for a grade" plan.yaml:28: grade_structural_1_5
plan_as 's/^programme:/context:\n  rail: {from: rail.gpkg, search_m: -5}\nprogramme:/'
refused 2 "negative distance" plan.yaml:26: search_m -5

# ---- budgets that are odd and fine -----------------------------------------------------------------
plan_as 's/\[50000, 50000, 50000\]/[0, 0, 0]/'
runs "budget of zero" "funded     0 segments"
check_sql "budget of zero: nothing funded, work listed" "$town/out/result.gpkg" "0|1" \
    "SELECT (SELECT count(*) FROM segments WHERE programme = 'funded'), count(*) > 0 FROM unfunded"
plan_as 's/budgets: .*/level_budget: 1000000000000/'
sed -i 's/^  level_budget: .*/&\n  years: 3/' "$plan"
runs "budget beyond all work"
check_sql "budget beyond all work: nothing unfunded" "$town/out/result.gpkg" 0 "SELECT count(*) FROM unfunded"
# more years than the horizon: nothing may be lost on the way
late=$(seq -s, 40 | sed 's/[0-9][0-9]*/0/g; s/0$/50000/')
plan_as "s/budgets: .*/budgets: [$late]/; s/^output:/money:\n  horizon_years: 30\noutput:/"
restore_out
expect_exit_0_or_2() {
    code=0
    run_town >"$out" 2>"$err" || code=$?
    [ "$code" -eq 2 ] || check "$1: exit code" 0 "$code"
}
expect_exit_0_or_2 "more budget years than the horizon"
if [ "$code" -eq 2 ]; then
    check_has "more budget years than the horizon: message" horizon "$err"
else
    check_rows "more budget years than the horizon: sums" "$town/out/result.gpkg" \
        "SELECT * FROM reconciliation WHERE holds IS NOT 1"
    check_sql "more budget years than the horizon: all years are in the programme" \
        "$town/out/result.gpkg" 40 "SELECT count(*) FROM programme_year"
    check_rows "more budget years than the horizon: a funded year is in the programme" \
        "$town/out/result.gpkg" "SELECT segment_id, year FROM segments WHERE year IS NOT NULL
        AND year NOT IN (SELECT year FROM programme_year)"
fi

# ---- config tables --------------------------------------------------------------------------------------
config=$town/cfg
with_config() { # TABLE SED_SCRIPT
    rm -rf "$config"
    cp -R "$source/config" "$config"
    sed -i "$2" "$config/$1.csv"
    ! cmp -s "$config/$1.csv" "$source/config/$1.csv" || fail "the test changes $1: $2"
    plan_as 's/^output:/config: {folder: cfg}\noutput:/'
}
with_config methods '2s/,flexible,[0-9.]*/,flexible,lots/'
refused 2 "number that is none" "methods.csv, row 2" modulus_short_mpa lots
with_config methods '2s/,flexible,[0-9.]*/,flexible,-3/'
refused 2 "number out of range" "methods.csv, row 2" modulus_short_mpa -3
with_config methods '2s/,flexible,/,flexibel,/'
refused 2 "unknown word" "methods.csv, row 2" wall_rule flexibel
with_config methods '3s/^[a-z_]*/cured_in_place/'
refused 2 "id given twice" "methods.csv, row 3" cured_in_place "row 2"
with_config rates '2s/^[a-z_]*/frobnicate/'
refused 2 "unknown method" "rates.csv, row 2" frobnicate cured_in_place
with_config rates '2s/^[a-z_]*//'
refused 2 "blank where a value is needed" "rates.csv, row 2" method
with_config rates '1s/,rate,/,rates,/'
refused 2 "missing column" rates.csv rate nearest
with_config rates '1s/^method,/method,x,/'
refused 2 "unknown column" rates.csv
with_config rates '2,$d'
refused 2 "table without rows" rates.csv row
with_config rates '1,$d'
refused 2 "empty table" rates.csv
with_config failure_rates '2d'
refused 2 "row that is needed" failure_rates.csv structural "grade 1"
with_config act_now 's/is_collapsed = 1/is_collapsed = = 1/'
refused 2 "condition with an error" collapse "is_collapsed = = 1"
with_config act_now 's/is_collapsed = 1/is_colapsed = 1/'
refused 2 "condition on an unknown column" collapse is_colapsed 'did you mean "is_collapsed"'
with_config act_now 's/is_collapsed = 1/1; DROP TABLE x/'
refused 2 "condition with a second statement" collapse "DROP TABLE"
with_config act_now 's/is_collapsed = 1/(SELECT 1 FROM sqlite_master)/'
refused 2 "condition that reads a table" collapse sqlite_master
with_config act_now 's/is_collapsed = 1/load_extension(1)/'
refused 2 "condition that loads code" collapse load_extension
with_config act_now "s/is_collapsed = 1/readfile('x')/"
refused 2 "condition that reads a file" collapse readfile
# check says the same before it reads a row, for each table that has conditions
told_by_check() { # LABEL TABLE SED_SCRIPT TEXT ...
    lib_label=$1
    with_config "$2" "$3"
    shift 3
    expect_exit 2 "check: $lib_label" "$haunch" check "$town/plan.yaml"
    check_empty "check: $lib_label: standard output" "$out"
    check_has "check: $lib_label: way out" "haunch: hint: " "$err"
    for lib_text in "$@"; do
        check_has "check: $lib_label: message" "$lib_text" "$err"
    done
    cp "$err" "$scratch/said_by_check"
    restore_out
    expect_exit 2 "run: $lib_label" run_town
    check "run and check say the same: $lib_label" "$(cat "$scratch/said_by_check")" "$(cat "$err")"
}
told_by_check "act-now condition" act_now 's/is_collapsed = 1/is_colapsed = 1/' collapse is_colapsed 'did you mean "is_collapsed"'
told_by_check "method rule" method_rules '2s/,width_mm /,widht_mm /' "method rules, rule" widht_mm
told_by_check "cost item" cost_items '2s/,works,all,,/,works,all,dept_m > 3,/' "cost items, item" dept_m
told_by_check "ageing condition" deterioration 's/year_lined IS NOT NULL/yer_lined IS NOT NULL/' "deterioration, cohort" yer_lined
told_by_check "consequence condition" consequence 's/near_rail_m <= /near_rail_m <== /' "consequence, factor"
told_by_check "quality rule" quality_rules 's/depth_m > 25/depth_m >> > 25/' "quality rules, rule" depth_unlikely
with_config consequence '$d'
refused 2 "factor without its last class" consequence.csv
with_config consequence 's/,120000,/,-120000,/'
refused 2 "negative money" consequence.csv money "-120000 is negative"
with_config scoring 's/,0.6,2,/,0.5,2,/'
sed -i 's/^programme:/risk: {scheme: additive}\nprogramme:/' "$town/plan.yaml"
refused 2 "weights that do not add up" scoring.csv "side likelihood add up to 0.9" "column times"
with_config scoring 's/structural_grade_now >= 1/structural_grade_no >= 1/'
sed -i 's/^programme:/risk: {scheme: additive}\nprogramme:/' "$town/plan.yaml"
refused 2 "condition of a points scheme" "scoring, factor structural condition" structural_grade_no
with_config consequence 's/5000 + 5000 \* depth_m/5000 * (depth_m - 2.6)/'
restore_out
expect_exit 0 "money that comes out negative" run_town
check_sql "money that comes out negative: said, and not known" "$town/out/result.gpkg" \
    "repair depth, less than 3 m: 3 segments|0" "SELECT value, (SELECT count(*) FROM segments WHERE
    consequence_money < 0) FROM data_issues WHERE rule = 'consequence_negative'"
with_config methods '2s/Cured/C\xffred/'
restore_out
expect_exit_0_or_2 "table in another encoding"
if [ "$code" -eq 0 ]; then
    check "table in another encoding: the result is UTF-8" "" \
        "$(iconv -f UTF-8 -t UTF-8 "$town/out/tables/method_totals.csv" 2>&1 >/dev/null)"
fi
cp "$source/config/methods.csv" "$config/"
rm "$config/rates.csv"
refused 2 "missing table" rates.csv
cp "$town/net.gpkg" "$config/rates.csv"
refused 2 "table that is something else" rates.csv
plan_as 's/^output:/config: {folder: nowhere}\noutput:/'
refused 2 "missing folder of tables" nowhere
plan_as 's/^output:/config: {prices: x.csv}\noutput:/'
refused 2 "unknown table" plan.yaml:27: prices

# ---- overrides ---------------------------------------------------------------------------------------------
overrides() {
    printf 'segment_id,what,value,reason,who,date\n%s\n' "$1" >"$town/ov.csv"
    plan_as 's/^output:/config: {overrides: ov.csv}\noutput:/'
}
overrides 'NOPE,width_mm,300,tape,us,2025-01-01'
runs "override for a pipe that is not there"
check_sql "override for a pipe that is not there: said" "$town/out/result.gpkg" "no such segment" "SELECT state FROM overrides"
overrides 'P1,width_mm,wide,tape,us,2025-01-01'
runs "override with a value that is no number"
check_sql "override with a value that is no number: said" "$town/out/result.gpkg" "value cannot be used|300.0" \
    "SELECT state, (SELECT width_mm FROM segments WHERE segment_id = 'P1') FROM overrides"
overrides 'P1,width_mm,-5,tape,us,2025-01-01'
runs "override with an impossible width"
check_sql "override with an impossible width: said" "$town/out/result.gpkg" "value cannot be used|300.0" \
    "SELECT state, (SELECT width_mm FROM segments WHERE segment_id = 'P1') FROM overrides"
overrides 'P1,year,2099,later,us,2025-01-01'
runs "override with a year outside the programme"
check_not "override with a year outside the programme: said" applied \
    "$(sql "$town/out/result.gpkg" "SELECT state FROM overrides")"
overrides 'P1,year,2027.5,later,us,2025-01-01'
runs "override with half a year"
check_sql "override with half a year: said" "$town/out/result.gpkg" "value cannot be used" \
    "SELECT state FROM overrides"
printf '%s\n' 'side,factor,class,condition,points,weight,times,source' "likelihood,a,all,1,'abc',,,the test" \
    'consequence,c,all,1,1,,,the test' >"$town/own.csv"
plan_as 's/^output:/risk: {scheme: additive}\nconfig: {scoring: own.csv}\noutput:/'
runs "points that are a word"
check_sql "points that are a word: not known, not 0" "$town/out/result.gpkg" 0 "SELECT count(score) FROM segments"
overrides 'P1,method,frob,because,us,2025-01-01'
refused 2 "override with an unknown method" "ov.csv, row 2" frob cured_in_place
overrides 'P1,nonsense,1,because,us,2025-01-01'
refused 2 "override of an unknown column" "ov.csv, row 2" nonsense
overrides 'P1,width_mm,300,tape,us,someday'
refused 2 "override without a day" "ov.csv, row 2" someday
overrides 'P1,width_mm,300,tape,us,2025-01-01
P1,width_mm,400,tape,us,2025-01-02'
refused 2 "override given twice" "ov.csv, row 3" P1
plan_as 's/^output:/config: {overrides: nowhere.csv}\noutput:/'
refused 2 "missing register of overrides" nowhere.csv
check_has "missing register of overrides: where it is looked for" "relative to the folder of the plan" "$err"
check_lacks "missing register of overrides: none is shipped" shipped "$err"
overrides ''
runs "register of overrides without rows"
finish

#!/bin/sh
# haunch fit, looked at from outside: the folder, the table that a plan reads back, the
# same bytes every time, and what it refuses.
. "$(dirname "$0")/lib_system.sh"
need_tools python3 sha256sum xmllint

copy_sample "$scratch/copy"
plan=$scratch/copy/sample-gis/plan.yaml
fitted=$scratch/fitted
hashes_of "$scratch/copy" >"$scratch/before"

expect_exit 0 "fit of the sample" "$haunch" fit --threads 1 --output "$fitted" "$plan"
cp "$out" "$scratch/account"
check "the inputs are untouched" "" "$(hashes_of "$scratch/copy" | diff "$scratch/before" - 2>&1)"
check "files of the folder" "deterioration.csv fit.csv fit.csvt fit.html fit.json fit_backtest.csv fit_backtest.csvt fit_by_age.csv fit_by_age.csvt fit_warnings.csv fit_warnings.csvt implied_rates.csv implied_rates.csvt" \
    "$(ls "$fitted" | tr '\n' ' ' | sed 's/ $//')"
check_has "account: the busy day of the sample" "2020-12-31" "$scratch/account"
check_has "account: honest about single pipes" "single pipes are not" "$scratch/account"
hashes_of "$fitted" >"$scratch/first"

# ---- rates implied by time windows, against the published checks and the shipped table ----
check "implied rate, grade 5, half within 5 years" "0.13862944" "$(grep '^structural,5,5,0.5' "$fitted/implied_rates.csv" | cut -d, -f5)"
check "implied rate, grade 4, four fifths within 10 years" "0.16094379" "$(grep '^structural,4,10,0.8' "$fitted/implied_rates.csv" | cut -d, -f5)"
check "every implied rate is labelled" 12 "$(grep -c ',implied by time window,' "$fitted/implied_rates.csv")"

# ---- the table of rates ----------------------------------------------------------------
check "deterioration.csv has the header of the shipped one, and growth" \
    "$(head -n 1 "$source/config/deterioration.csv" | sed 's/,source$/,growth_per_year,source/')" \
    "$(head -n 1 "$fitted/deterioration.csv")"
python3 - "$source/config/deterioration.csv" "$fitted" >"$scratch/facts" <<'PY'
import csv, sys
shipped = list(csv.DictReader(open(sys.argv[1], newline="")))
fitted = list(csv.DictReader(open(sys.argv[2] + "/deterioration.csv", newline="")))
table = {(r["cohort"], r["driver"]): r for r in csv.DictReader(open(sys.argv[2] + "/fit.csv", newline=""))}
rates = [k for k in shipped[0] if k.startswith("rate_")]
same = all(a[k] == b[k] for a, b in zip(shipped, fitted) for k in ("cohort", "condition", "driver"))
print("keys", "same" if same and len(shipped) == len(fitted) else "differ")
kept = [(a, b) for a, b in zip(shipped, fitted) if table[b["cohort"], b["driver"]]["method"] == "kept"]
grown = [b for b in fitted if float(b["growth_per_year"]) != 0]
print("growth", len(grown), all(float(b["growth_per_year"]) > 0 and
      float(table[b["cohort"], b["driver"]]["growth_aic_change"]) < -10 and
      abs(float(b["growth_per_year"]) - float(table[b["cohort"], b["driver"]]["growth_per_year"])) < 1e-6 for b in grown))
print("kept", len(kept) > 10 and all(float(a[k]) == float(b[k]) for a, b in kept for k in rates)
      and all(b["source"] == a["source"] + "; kept by haunch fit: no records" for a, b in kept))
new = [b for b in fitted if table[b["cohort"], b["driver"]]["method"] != "kept"]
print("fitted", all("fitted on %s records of Sewer renewal for Brackwater" % table[b["cohort"], b["driver"]]["readings"]
                    in b["source"] for b in new), len(new))
print("agree", all(abs(float(b[k]) - float(table[b["cohort"], b["driver"]][k])) < 6e-7 for b in fitted for k in rates))
inside = True
for r in table.values():
    for step in ("1_to_2", "2_to_3", "3_to_4", "4_to_5"):
        low, rate, high = (r[n + step + "_per_year"] for n in ("low_", "rate_", "high_"))
        inside = inside and (not low or float(low) <= float(rate) <= float(high or 9))
print("inside", inside)
print("pooled", sum(int(r["readings"]) for (c, d), r in table.items() if d == "structural" and c != "all cohorts")
      == int(table["all cohorts", "structural"]["readings"]))
bands = {}
for r in csv.DictReader(open(sys.argv[2] + "/fit_by_age.csv", newline="")):
    at = bands.setdefault((r["cohort"], r["driver"], r["age_from_years"]), [0, 0, 0, int(r["readings"])])
    at[0] += float(r["observed_share"]); at[1] += float(r["predicted_share"]); at[2] += int(r["readings_of_grade"])
print("shares", all(abs(a - 1) < 3e-4 and abs(b - 1) < 3e-4 and n == m for a, b, n, m in bands.values()), len(bands) > 50)
PY
for line in "keys same" "growth 1 True" "kept True" "fitted True 33" "agree True" "inside True" "pooled True" "shares True True"; do
    check "tables: ${line%% *}" "$line" "$(grep "^${line%% *} " "$scratch/facts")"
done
sed "s|^config:.*|config:\n  deterioration: $fitted/deterioration.csv|" "$plan" >"$scratch/copy/sample-gis/again.yaml"
expect_exit 0 "a plan reads the table" "$haunch" check "$scratch/copy/sample-gis/again.yaml"
expect_exit 0 "a run with growth" "$haunch" run "$scratch/copy/sample-gis/again.yaml"
grown=$(python3 -c 'import csv, sys
print(next(r["segment_id"] for r in csv.DictReader(open(sys.argv[1], newline="")) if r["cohort"] == "clay before 1965"))' \
    "$scratch/copy/out/sample/tables/segments.csv")
expect_exit 0 "a segment of the cohort with growth" "$haunch" explain "$scratch/copy/out/sample" "$grown"
check_has "its growth" "Growth of the rates with age, structural" "$out"
expect_exit 4 "a fit over a table that its plan reads" "$haunch" fit --output "$fitted" \
    "$scratch/copy/sample-gis/again.yaml"
check_has "message" "lies in the folder of the fit" "$err"
expect_exit 0 "a fit that starts from a fitted table" "$haunch" fit --output "$scratch/second" \
    "$scratch/copy/sample-gis/again.yaml"
check "cohorts without records keep one mark only" 0 \
    "$(grep -c 'no records; kept' "$scratch/second/deterioration.csv")"

# ---- the page --------------------------------------------------------------------------
check "fit.html is well-formed" "" "$(xmllint --noout "$fitted/fit.html" 2>&1)"
check "fit.html fetches and runs nothing" 0 \
    "$(sed 's/xmlns="[^"]*"//g' "$fitted/fit.html" | grep -ciE '<script|src=|href=|url\(|@import|https?:')"
check "fit.html: a picture for each cohort and driver with readings" 36 "$(grep -c '<svg' "$fitted/fit.html")"
check_has "fit.html: the title of the plan" "Brackwater" "$fitted/fit.html"

# ---- the same every time ---------------------------------------------------------------
echo mine >"$fitted/notes.txt"
expect_exit 0 "again, with more threads, into the same folder" "$haunch" fit --threads 4 --output "$fitted" "$plan"
check "a file of a person stays" mine "$(cat "$fitted/notes.txt")"
rm "$fitted/notes.txt"
check "same bytes with more threads" "" "$(hashes_of "$fitted" | diff "$scratch/first" - 2>&1)"
expect_exit 0 "another seed" "$haunch" fit --quiet --seed 2 --output "$scratch/seed" "$plan"
check_empty "--quiet: standard output" "$out"
check_empty "--quiet: standard error" "$err"
check "another seed: same rates" "$(cat "$fitted/deterioration.csv")" "$(cat "$scratch/seed/deterioration.csv")"
check_not "another seed: another test" "$(cat "$fitted/fit_backtest.csv")" "$(cat "$scratch/seed/fit_backtest.csv")"

# ---- misreading ------------------------------------------------------------------------
misread() { # SHARE READ RIGHT
    echo "true_grade,read_1,read_2,read_3,read_4,read_5,source"
    for g in 1 2 3 4 5; do
        awk -v g="$g" -v p="$1" 'BEGIN { printf "%d", g
            for (k = 1; k <= 5; k++) {
                near = (k - g == 1 || g - k == 1)
                one = (g == 1 || g == 5)
                printf ",%s", k == g ? p : near ? (one ? 1 - p : (1 - p) / 2) : 0 }
            print ",invented" }'
    done
}
misread 0.8 >"$scratch/misread.csv"
expect_exit 0 "with a misreading table" "$haunch" fit --misread "$scratch/misread.csv" --output "$scratch/misread" "$plan"
check_not "misreading changes the rates" "$(cat "$fitted/deterioration.csv")" "$(cat "$scratch/misread/deterioration.csv")"
misread 1.0 >"$scratch/right.csv"
expect_exit 0 "with a table that misreads nothing" "$haunch" fit --misread "$scratch/right.csv" --output "$scratch/right" "$plan"
check "misreading nothing changes nothing" "near 31" "$(python3 - "$fitted/fit.csv" "$scratch/right/fit.csv" <<'PY'
import csv, sys
a, b = ([r for r in csv.DictReader(open(p, newline="")) if r["aic"]] for p in sys.argv[1:])
rates = [k for k in a[0] if k.startswith("rate_")] # a unit in the last of six decimals
near = all(abs(float(x[k]) - float(y[k])) < 3e-6 for x, y in zip(a, b) for k in rates)
print("near" if near else "far", len(a) if len(a) == len(b) else "differ")
PY
)"
sed 's/^3,0,/3,0.5,/' "$scratch/misread.csv" >"$scratch/sum.csv"
expect_exit 2 "shares that do not add up" "$haunch" fit --misread "$scratch/sum.csv" --output "$scratch/no" "$plan"
check_has "message" "add up to 1.5" "$err"
sed 3d "$scratch/misread.csv" >"$scratch/short.csv"
expect_exit 2 "a row too few" "$haunch" fit --misread "$scratch/short.csv" --output "$scratch/no" "$plan"
check_has "message" "not one for each grade" "$err"

# ---- refusals --------------------------------------------------------------------------
mkdir "$scratch/foreign"
echo mine >"$scratch/foreign/deterioration.csv"
expect_exit 4 "a foreign folder" "$haunch" fit --output "$scratch/foreign" "$plan"
check_has "message" "fit.json" "$err"
check "the foreign folder is untouched" mine "$(cat "$scratch/foreign/deterioration.csv")"
expect_exit 4 "a file in the way" "$haunch" fit --output "$scratch/misread.csv" "$plan"
sed '/^inspections:/,/^[a-z].*:/{/^inspections:/d;/^ /d;/^#/d}' "$plan" >"$scratch/copy/sample-gis/none.yaml"
expect_exit 3 "a plan without inspections" "$haunch" fit --output "$scratch/no" "$scratch/copy/sample-gis/none.yaml"
check_has "message" "no inspection" "$err"
check "a fit that fails leaves nothing" "" "$(find "$scratch" -maxdepth 1 -name '*no*' ! -name 'no*.yaml')"
for seed in 0 -1 x 1.5 1000001; do
    expect_exit 2 "--seed $seed" "$haunch" fit "--seed=$seed" "$plan"
done

finish

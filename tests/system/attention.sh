#!/bin/sh
# What a person must not miss: prices in another currency, depths that are not
# known, invented prices with their place, and a result of another plan that is
# replaced. Said by run and by check, and not said without a reason.
. "$(dirname "$0")/lib_system.sh"
need_tools sqlite3 ogr2ogr
. "$(dirname "$0")/lib_small_town.sh"
gpkg=$town/out/result.gpkg
both() { # LABEL: the attention lines of check, then of run
    expect_exit 0 "check: $1" "$haunch" check "$town/plan.yaml"
    sed -n '/^Attention/,$p' "$out" >"$scratch/of_check"
    expect_exit 0 "run: $1" run_town
    grep '^attention  ' "$out" >"$scratch/of_run"
}
told() { # LABEL TEXT
    check_has "check: $1" "$2" "$scratch/of_check"
    check_has "run: $1" "$2" "$scratch/of_run"
}
not_told() { # LABEL TEXT
    check_lacks "check: $1" "$2" "$scratch/of_check"
    check_lacks "run: $1" "$2" "$scratch/of_run"
}

# ---- nothing to say but the prices --------------------------------------------------------------
both "good plan"
told "invented prices: the file" "invented samples, from $(cd "$source/config" && pwd -P)/rates.csv"
told "invented prices: the way out" "config: folder"
not_told "good plan: currency" currency
not_told "good plan: depth" depth
not_told "good plan: other result" "result in the output folder"

# ---- currency -------------------------------------------------------------------------------------
plan_as 's/^currency: EUR/currency: CHF/'
both "other currency"
told "other currency" "prices are in EUR but the plan's currency is CHF: no sum is converted"
check_sql "other currency: an issue" "$gpkg" "warning|EUR" \
    "SELECT severity, value FROM data_issues WHERE rule = 'currency_differs'"
check_sql "other currency: an assumption" "$gpkg" EUR \
    "SELECT value FROM assumptions WHERE what = 'currency of the prices'"
plan_as 's/^currency: EUR/currency: eur/'
both "currency in small letters"
not_told "currency in small letters" currency

# ---- depth ----------------------------------------------------------------------------------------
plan_as '/^    depth_/d'
both "no depth"
told "no depth" "depth is not known for 6 of 6 segments: open cut cannot be told there"
check_sql "no depth: open cut cannot be told" "$gpkg" 0 \
    "SELECT count(*) FROM options WHERE method = 'open_cut' AND verdict LIKE 'fits%'"
plan_as '/^    depth_/d; s/^output:/defaults:\n  depth_up_m: {value: 2.5, source: local rule}\n  depth_down_m: {value: 2.5, source: local rule}\noutput:/'
both "depth by default"
not_told "depth by default" depth

# ---- a result of another plan -----------------------------------------------------------------------
plan_as 's/^title: .*/title: Quite "another" town/'
both "other title"
told "other title" 'made by plan.yaml, "Small town"'
both "the same plan again"
not_told "the same plan again" "result in the output folder"
cp "$town/plan.yaml" "$town/second.yaml"
expect_exit 0 "other plan file" "$haunch" run "$town/second.yaml"
check_has "other plan file" 'made by plan.yaml, "Quite "another" town"' "$out"
printf 'no json' >"$town/out/run.json"
expect_exit 0 "run.json that cannot be read" "$haunch" check "$town/second.yaml"
check_has "run.json that cannot be read" "Plan:" "$out"
finish

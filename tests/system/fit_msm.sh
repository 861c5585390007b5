#!/bin/sh
# The likelihood of readings against package msm of R, on msm's own data set: the same
# -2 ln L at msm's estimates, and our estimates no worse. The data are not copied:
# they come with the package.
. "$(dirname "$0")/lib_system.sh"

chainfit=$build/chainfit
if ! command -v Rscript >/dev/null 2>&1 || ! Rscript -e 'library(msm)' >/dev/null 2>&1; then
    skip "Rscript with package msm is not installed (Debian: r-cran-msm)"
    finish
    exit
fi
expect_exit 0 "msm's own fits" Rscript "$source/tests/system/fit_msm.R" "$scratch"

# 1 when two numbers agree within a share of the first
near() { # A B SHARE
    awk -v a="$1" -v b="$2" -v t="$3" 'BEGIN { d = a - b; if (d < 0) d = -d; if (a < 0) a = -a
        print (a > 0 && d <= t * a) ? "near" : "far: " a " and " b }'
}

"$chainfit" pairs "$scratch/all.txt" given - 0 0 0 0 >"$scratch/pairs.found"
while read -r from to count; do
    check "pairs from $from to $to" "$count" \
        "$(awk -v a="$from" -v b="$to" '$1 == a && $2 == b { print $3 }' "$scratch/pairs.found")"
done <"$scratch/all.table"
check "pairs of msm's table" 12 "$(wc -l <"$scratch/all.table" | tr -d ' ')"

# 1e-8: msm by itself gives 4335.3051933, or 4335.3051953 with analyticp = FALSE; R's and
# scipy's matrix exponential give 4335.30519946 at the same rates, as we do.
# 1e-3: our fifth grade, which the data do not have, is reached at 1e-6 a year.
same_as_msm() { # NAME given|aged MATRIX
    read -r r1 r2 r3 theirs <"$scratch/$1.rates"
    "$chainfit" at "$scratch/$1.txt" "$2" "$3" "$r1" "$r2" "$r3" 0 >"$scratch/at"
    ours=$(awk '{ print $2 }' "$scratch/at")
    check "$1: -2 ln L at msm's estimates" near "$(near "$theirs" "$ours" 1e-8)"
    "$chainfit" fit "$scratch/$1.txt" "$2" "$3" 0.2 0.2 0.2 0.001 >"$scratch/fit"
    best=$(awk '$1 == "minus2lnl" { print $2 }' "$scratch/fit")
    check "$1: our estimates are no worse than msm's" 1 \
        "$(awk -v a="$best" -v b="$theirs" 'BEGIN { print a <= b + 1e-3 }')"
    check "$1: rate 1 to 2" near "$(near "$r1" "$(awk '$2 == 1 { print $3 }' "$scratch/fit")" 5e-4)"
    check "$1: rate 2 to 3" near "$(near "$r2" "$(awk '$2 == 2 { print $3 }' "$scratch/fit")" 5e-4)"
    [ "$1" = misread ] ||
        check "$1: rate 3 to 4" near "$(near "$r3" "$(awk '$2 == 3 { print $3 }' "$scratch/fit")" 5e-4)"
}
same_as_msm pairs given -
same_as_msm sets given -
same_as_msm misread aged "$scratch/misread.matrix"

# the published values of the package's manual, from its own data, by the general chain
expect_exit 0 "published pairs, likelihoods and estimates" "$build/checkvalues" --quiet --complete \
    "$source/tests/system/cases/panel_checks.csv"
check "published rows" "total 25 rows: 25 pass, 0 known to differ, 0 fail, 0 cannot" \
    "$(tail -n 1 "$out")"

finish

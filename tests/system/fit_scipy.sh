#!/bin/sh
# Fits to published counts of sewers by age and class against scipy: estimates, -2 ln L
# and ends of the intervals.
. "$(dirname "$0")/lib_system.sh"

python=
for candidate in python3 /usr/bin/python3; do
    "$candidate" -c 'import scipy' 2>/dev/null && python=$candidate && break
done
if [ -z "$python" ]; then
    skip "scipy is not installed (Debian: python3-scipy)"
    finish
    exit
fi
export PYTHONDONTWRITEBYTECODE=1
tab=$(printf '\t')
expect_exit 0 "fits of scipy" "$python" "$source/tests/system/fit_scipy.py" "$build/chainfit" \
    "$source/tests/system/cases/age_class_counts.csv" "$scratch"
check "values compared" 39 "$(wc -l <"$out" | tr -d ' ')"
cp "$out" "$scratch/values"
while IFS=$tab read -r label expected found; do
    check "$label" "$expected" "$found"
done <"$scratch/values"

finish

#!/bin/sh
# Published cost tables and size limits through the whole program: a plan and a network
# for each, a run, and the result tables against what was printed, at the printed
# rounding. The cases and their sources are in cases/.
. "$(dirname "$0")/lib_system.sh"
need_tools python3

export PYTHONDONTWRITEBYTECODE=1
tab=$(printf '\t')
for case in cost_chain size_programme rising_bids lives limits grading points_table infiltration \
    segment_scores site_factors additive_score; do
    expect_exit 0 "published case $case" python3 "$source/tests/system/cases/$case.py" \
        "$haunch" "$source/config" "$scratch/$case"
    check_has "published case $case compares something" "$tab" "$out"
    while IFS=$tab read -r label expected found; do
        check "$label" "$expected" "$found"
    done <"$out"
done

finish

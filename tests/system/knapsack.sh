#!/bin/sh
# The optimiser on instance files: own small ones with optima worked by hand, broken ones, and,
# where HAUNCH_INSTANCES names a folder of published ones, all of them.
. "$(dirname "$0")/lib_system.sh"

knapsack=$build/knapsack
# Capital budgeting of M. A. Trick, A Tutorial on Integer Programming (1997): optimum 21.
printf '4 14\n8 5\n11 7\n6 4\n4 3\n' >"$scratch/trick"
expect_exit 0 "plain file" "$knapsack" "$scratch/trick"
check_has "capital budgeting is worth 21" "value 21 bound 21 gap 0.0000 %" "$out"

# Petersen (1967), problem 1 of the OR-Library's mknap1: 3800.
cat >"$scratch/petersen.txt" <<'F'
1
6 10 3800
100 600 1200 2400 500 2000
8 12 13 64 22 41
8 12 13 75 22 41
3 6 4 18 6 4
5 10 8 32 6 12
5 13 8 42 6 20
5 13 8 48 6 20
0 0 0 0 8 0
3 0 4 0 8 0
3 2 4 0 8 4
3 2 4 8 8 4
80 96 20 36 44 48 10 18 22 24
F
expect_exit 0 "several rows" "$knapsack" "$scratch/petersen.txt"
check_has "Petersen 1 is worth 3800" "value 3800 bound 3800" "$out"

printf '4 14\n8 5\n11 x\n' >"$scratch/broken"
expect_exit 2 "a word among numbers" "$knapsack" "$scratch/broken"
check_has "its place" "line 3, field 2" "$err"
printf '4 14\n8 5\n11 7\n' >"$scratch/short"
expect_exit 2 "too few numbers" "$knapsack" "$scratch/short"
check_has "the file is named" "short, line 3" "$err"
expect_exit 2 "no such file" "$knapsack" "$scratch/none"

if [ -d "${HAUNCH_INSTANCES:-}" ]; then
    "$knapsack" "$HAUNCH_INSTANCES"/*/* >"$scratch/all"
    check "all instances solved" 0 $?
    check_lacks "none is infeasible" "feasible no" "$scratch/all"
else
    skip "HAUNCH_INSTANCES names no folder"
fi

finish

#!/bin/sh
# Runs that are killed at several moments, and two runs at once: the folder holds the
# result of before or the new one, always a whole one, and the exit code says which.
. "$(dirname "$0")/lib_system.sh"
need_tools sha256sum

copy_sample "$scratch/copy"
home=$scratch/copy/sample-gis
# Two plans with results that differ: what stands in the folder tells which run won.
sed -i 's/options: all/options: deciding/' "$home/plan.yaml"
sed 's/discount_pct: 3.0/discount_pct: 3.5/' "$home/plan.yaml" >"$home/new.yaml"
result=$scratch/copy/out/sample
"$haunch" run -q "$home/new.yaml"
hashes_of "$result" >"$scratch/new"
begin=$(date +%s%N)
"$haunch" run -q "$home/plan.yaml"
duration_ms=$((($(date +%s%N) - begin) / 1000000))
hashes_of "$result" >"$scratch/old"
check_not "the two plans have results that differ" "$(cat "$scratch/old")" "$(cat "$scratch/new")"
seconds() { # THOUSANDTHS of the run's duration
    printf '%d.%03d' $((duration_ms * $1 / 1000000)) $((duration_ms * $1 / 1000 % 1000))
}
state_of_result() {
    hashes_of "$result" >"$scratch/after"
    if cmp -s "$scratch/old" "$scratch/after"; then
        echo old
    elif cmp -s "$scratch/new" "$scratch/after"; then
        echo new
    else
        echo broken
    fi
}
stop_at() { # SIGNAL THOUSANDTHS
    [ "$(state_of_result)" = old ] || "$haunch" run -q "$home/plan.yaml"
    "$haunch" run -q "$home/new.yaml" >"$out" 2>"$err" </dev/null &
    child=$!
    sleep "$(seconds "$2")"
    kill "-$1" $child 2>/dev/null
    code=0
    wait $child 2>/dev/null || code=$?
    state=$(state_of_result)
}
for share in 50 500 700 850 950; do
    stop_at KILL $share
    check_not "SIGKILL at $share thousandths: a whole result" broken "$state"
    [ $code -ne 0 ] || check "SIGKILL after the end: the new result" new "$state"
done
"$haunch" run -q "$home/plan.yaml"
check "a run after a kill sweeps what is left" sample "$(ls -A "$scratch/copy/out" | tr '\n' ' ' | sed 's/ $//')"
check "a run after a kill is whole" old "$(state_of_result)"
for share in 50 400 700 850 900 950; do
    stop_at TERM $share
    check_not "SIGTERM at $share thousandths: a whole result" broken "$state"
    case $code in
    143)
        # who is told that the run was stopped must find the result of before
        check "SIGTERM at $share thousandths, exit 143: the previous result" old "$state"
        ;;
    0) check "SIGTERM at $share thousandths, exit 0: the new result" new "$state" ;;
    *) fail "SIGTERM at $share thousandths: exit code" "143 or 0" "$code" ;;
    esac
    check "SIGTERM at $share thousandths: no leftovers" sample "$(ls -A "$scratch/copy/out" | tr '\n' ' ' | sed 's/ $//')"
done

# two runs into one folder at once: one of them wins, whole
"$haunch" run -q "$home/plan.yaml" >"$out" 2>&1 </dev/null &
first=$!
"$haunch" run -q "$home/new.yaml" >"$scratch/second" 2>&1 </dev/null
second=$?
wait $first
first=$?
check "two runs at once: both end well" "0 0" "$first $second"
check_not "two runs at once: a whole result" broken "$(state_of_result)"
check "two runs at once: no leftovers" sample "$(ls -A "$scratch/copy/out" | tr '\n' ' ' | sed 's/ $//')"
finish

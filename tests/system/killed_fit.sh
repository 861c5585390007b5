#!/bin/sh
# Fits that are stopped at several moments: the folder holds the fit of before or the new
# one, always a whole one, nothing is left beside it, and the exit code says which.
. "$(dirname "$0")/lib_system.sh"
need_tools sha256sum

copy_sample "$scratch/copy"
plan=$scratch/copy/sample-gis/plan.yaml
fitted=$scratch/fits/sample
mkdir "$scratch/fits"
# Two seeds hold out other segments: what stands in the folder tells which fit won.
begin=$(date +%s%N)
"$haunch" fit -q --seed 2 --output "$fitted" "$plan"
duration_ms=$((($(date +%s%N) - begin) / 1000000))
hashes_of "$fitted" >"$scratch/new"
"$haunch" fit -q --output "$fitted" "$plan"
hashes_of "$fitted" >"$scratch/old"
check_not "the two fits differ" "$(cat "$scratch/old")" "$(cat "$scratch/new")"
seconds() { # THOUSANDTHS of the duration
    printf '%d.%03d' $((duration_ms * $1 / 1000000)) $((duration_ms * $1 / 1000 % 1000))
}
state_of_fit() {
    hashes_of "$fitted" >"$scratch/after"
    if cmp -s "$scratch/old" "$scratch/after"; then
        echo old
    elif cmp -s "$scratch/new" "$scratch/after"; then
        echo new
    else
        echo broken
    fi
}
stopped=0
is_writing() {
    for folder in "$scratch"/fits/.sample.partial-*; do
        [ ! -d "$folder" ] || return 0
    done
    return 1
}
stop_at() { # SIGNAL THOUSANDTHS|writing CODE
    [ "$(state_of_fit)" = old ] || "$haunch" fit -q --output "$fitted" "$plan"
    "$haunch" fit -q --seed 2 --output "$fitted" "$plan" >"$out" 2>"$err" </dev/null &
    child=$!
    if [ "$2" = writing ]; then
        while ! is_writing && kill -0 $child 2>/dev/null; do :; done
    else
        sleep "$(seconds "$2")"
    fi
    kill "-$1" $child 2>/dev/null
    code=0
    wait $child 2>/dev/null || code=$?
    case $code in
    "$3")
        stopped=$((stopped + 1))
        check "SIG$1 at $2, stopped: the fit of before" old "$(state_of_fit)"
        check_has "SIG$1 at $2: says so" "the previous result is untouched" "$err"
        ;;
    0) check "SIG$1 at $2, exit 0: the new fit" new "$(state_of_fit)" ;;
    *) fail "SIG$1 at $2: exit code" "$3 or 0" "$code" ;;
    esac
    check "SIG$1 at $2: no leftovers" sample "$(ls -A "$scratch/fits" | tr '\n' ' ' | sed 's/ $//')"
}
stop_at TERM 500 143
stop_at INT 700 130
stop_at HUP writing 129
stop_at TERM writing 143
check "some fits were stopped" yes "$([ $stopped -ge 2 ] && echo yes)"

# a first fit that is stopped leaves no folder at all
"$haunch" fit -q --output "$scratch/fits/first" "$plan" >"$out" 2>"$err" </dev/null &
child=$!
sleep "$(seconds 400)"
kill -TERM $child 2>/dev/null
wait $child 2>/dev/null
case $? in
143) check "a first fit stopped: no folder" sample "$(ls -A "$scratch/fits" | tr '\n' ' ' | sed 's/ $//')" ;;
esac
finish

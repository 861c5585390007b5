#!/bin/sh
# Places where a result cannot be written: the run is refused before its work, and
# the previous result stays whole with nothing left beside it.
. "$(dirname "$0")/lib_system.sh"
need_tools ogr2ogr sha256sum
. "$(dirname "$0")/lib_small_town.sh"
cd "$town" || exit 2

into() { # FOLDER
    plan_as "s#folder: out#folder: $1#"
}
# refuses LABEL TEXT ...: exit 4, a message, a way out
refuses() {
    lib_what=$1
    shift
    expect_exit 4 "$lib_what" run_town
    check_empty "$lib_what: standard output" "$out"
    for lib_text in "$@"; do
        check_has "$lib_what: message" "$lib_text" "$err"
    done
    check_has "$lib_what: way out" "haunch: hint: " "$err"
}

# ---- folders -------------------------------------------------------------------------------------
mkdir other
echo mine >other/mine.txt
into other
refuses "folder with other files" "$town/other" run.json
check "folder with other files: they stay" "mine.txt mine" "$(ls -A other) $(cat other/mine.txt)"
echo mine >a_file
into a_file
refuses "file in the way" a_file
check "file in the way: it stays" mine "$(cat a_file)"
into a_file/out
refuses "folder below a file" a_file
into .
refuses "the folder of the plan" "$town"
into /
refuses "the root"
into /dev/null
refuses "a device" /dev/null
if [ -d /proc/self ]; then
    into /proc/haunch
    refuses "a place where nothing can be made" /proc
fi
into "$(head -c 300 /dev/zero | tr '\0' 'x')"
refuses "a name that is too long"
mkdir empty
into empty
runs_there() { # LABEL FOLDER
    expect_exit 0 "$1" run_town
    check_empty "$1: standard error" "$err"
    [ -f "$2/run.json" ] && pass || fail "$1: the result is there"
    check "$1: no leftovers" "" "$(cd "$(dirname "$2")" && ls -A | grep '^\.' | tr '\n' ' ')"
}
runs_there "empty folder" empty
into new/below/that
runs_there "folders that must be made" new/below/that
into "with space and 'quote'"
runs_there "name with spaces" "with space and 'quote'"
# a file that a person put beside the result
echo note >empty/note.txt
into empty
runs_there "result with a person's file in it" empty
check "result with a person's file in it: it stays" note "$(cat empty/note.txt 2>&1)"

# ---- links ---------------------------------------------------------------------------------------
mkdir real
ln -s real link
into link
for time in first second; do
    runs_there "link to a folder, $time run" link
    check "link to a folder, $time run: stays a link" real "$(readlink link 2>&1)"
    [ -f real/run.json ] && pass || fail "link to a folder, $time run: the result is behind it"
done
ln -s nowhere dead
into dead
refuses "link to nothing" dead
check "link to nothing: it stays" nowhere "$(readlink dead)"

# ---- permissions ------------------------------------------------------------------------------------
if [ "$(id -u)" -ne 0 ]; then
    as_nobody() {
        "$@"
    }
    can_be_nobody=yes
else
    as_nobody() {
        setpriv --reuid=65534 --regid=65534 --clear-groups env HAUNCH_CONFIG="$HAUNCH_CONFIG" "$@"
    }
    chmod 755 "$scratch" "$town"
    can_be_nobody=no
    as_nobody test -x "$haunch" -a -r "$HAUNCH_CONFIG/methods.csv" -a -r "$town/net.gpkg" 2>"$err" && can_be_nobody=yes
fi
if [ $can_be_nobody = yes ]; then
    mkdir locked
    cp -R "$scratch/out_before" locked/out
    into locked/out
    chmod -R a+rX locked
    chmod 555 locked
    expect_exit 4 "folder that may not be written" as_nobody "$haunch" run "$town/plan.yaml"
    check_has "folder that may not be written: message" locked "$err"
    check_has "folder that may not be written: cause" "ermission denied" "$err"
    check_has "folder that may not be written: way out" "haunch: hint: " "$err"
    check_empty "folder that may not be written: standard output" "$out"
    hashes_of locked/out >"$scratch/after"
    check "folder that may not be written: the previous result is whole" "" "$(diff "$scratch/before" "$scratch/after")"
    check "folder that may not be written: no leftovers" out "$(ls -A locked)"
    chmod 755 locked
    chmod 000 insp.csv
    mkdir free
    chmod 777 free
    into free/out
    expect_exit 3 "source that may not be read" as_nobody "$haunch" run "$town/plan.yaml"
    check_has "source that may not be read: message" insp.csv "$err"
    chmod 644 insp.csv
    chmod 000 plan.yaml
    expect_exit 3 "plan that may not be read" as_nobody "$haunch" run "$town/plan.yaml"
    check_has "plan that may not be read: message" plan.yaml "$err"
    chmod 644 plan.yaml
else
    skip "permissions: another user cannot reach the build and the source"
fi

# ---- full disk -----------------------------------------------------------------------------------------
copy_sample "$scratch/copy"
home=$scratch/copy/sample-gis
mkdir "$scratch/small"
if [ "$(id -u)" -eq 0 ] && mount -t tmpfs -o size=2m tmpfs "$scratch/small" 2>"$err"; then
    trap 'umount "$scratch/small"; clean_up' EXIT
    cp -R "$scratch/out_before" "$scratch/small/out"
    sed "s#folder: ../out/sample#folder: $scratch/small/out#" "$home/plan.yaml" >"$home/small.yaml"
    for threads in 1 2; do
        expect_exit 4 "full disk, $threads threads" "$haunch" run --threads $threads "$home/small.yaml"
        check_has "full disk: message" "full" "$err"
        check_has "full disk: where" "$scratch/small/out" "$err"
        check_has "full disk: way out" "haunch: hint: " "$err"
        check_empty "full disk: standard output" "$out"
        hashes_of "$scratch/small/out" >"$scratch/after"
        check "full disk: the previous result is whole" "" "$(diff "$scratch/before" "$scratch/after")"
        check "full disk: no leftovers" out "$(ls -A "$scratch/small")"
    done
    # and when there is room for some of it only
    for size in 6 14; do
        mount -o remount,size=${size}m "$scratch/small"
        expect_exit 4 "disk of $size MB" "$haunch" run "$home/small.yaml"
        check_has "disk of $size MB: message" "full" "$err"
        hashes_of "$scratch/small/out" >"$scratch/after"
        check "disk of $size MB: the previous result is whole" "" "$(diff "$scratch/before" "$scratch/after")"
        check "disk of $size MB: no leftovers" out "$(ls -A "$scratch/small")"
    done
    # the target itself is the mount point
    sed "s#folder: ../out/sample#folder: $scratch/small#" "$home/plan.yaml" >"$home/small.yaml"
    expect_exit 4 "mount point as the folder" "$haunch" run "$home/small.yaml"
    check_has "mount point as the folder: way out" "haunch: hint: " "$err"
    umount "$scratch/small"
    trap clean_up EXIT
else
    skip "full disk: only root can mount a small one"
fi
finish

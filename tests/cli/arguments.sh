#!/bin/sh
# The command line: help, versions, wrong use, exit codes, and what goes to which
# stream.
. "$(dirname "$0")/../system/lib_system.sh"
need_tools sqlite3

wrong_use() { # LABEL TEXT ARGUMENT ...
    label=$1 text=$2
    shift 2
    expect_exit 2 "$label" "$haunch" "$@"
    check_empty "$label: standard output" "$out"
    check_has "$label: message" "$text" "$err"
    check_has "$label: hint" "hint: " "$err"
}

# ---- help and version ----------------------------------------------------------------------
expect_exit 0 "--help" "$haunch" --help
cp "$out" "$scratch/help"
check_empty "--help: standard error" "$err"
for word in draft check run methods; do
    check "--help lists the command $word once" 1 "$(grep -c "^  $word  *[[A-Z]" "$scratch/help")"
    check_has "--help has an example of $word" "  haunch $word" "$scratch/help"
done
for option in threads strict layer output timings quiet help version; do
    check "--help lists --$option once" 1 "$(grep -c "^  -[a-zA-Z], --$option " "$scratch/help")"
done
check "--help: the explanations of the options stand below each other" 1 \
    "$(awk '/^  -[a-zA-Z], --/ { match($0, /^  -., --[a-z]+( [A-Z]+)? +/); print RLENGTH }' "$scratch/help" | sort -u | wc -l)"
# every option of the program is in the help: what getopt knows stands in one list
for option in $(sed -n 's/^ *{{"\([a-z-]*\)", [a-z]*_argument.*/\1/p' "$source/src/cli/cli.c"); do
    check_has "--help has --$option of cli.c" "--$option" "$scratch/help"
done
for code in 0 1 2 3 4 5; do
    check "--help explains exit code $code once" 1 "$(grep -c "^  $code  " "$scratch/help")"
done
check "--help says what a wrong plan ends with" 1 "$(grep -c '^  2 .*plan' "$scratch/help")"
check "no line of --help is longer than 100 characters" 0 "$(awk 'length > 100' "$scratch/help" | wc -l)"
expect_exit 0 "-h" "$haunch" -h
check "-h is --help" "$(cat "$scratch/help")" "$(cat "$out")"
expect_exit 0 "run --help" "$haunch" run --help
check_has "run --help helps" "usage: haunch run PLAN" "$out"
check_has "run --help: its option" "--timings" "$out"
check_lacks "run --help: no option of another command" "--layer" "$out"
expect_exit 0 "draft --help" "$haunch" draft --help
check_has "draft --help helps" "usage: haunch draft SOURCE" "$out"
check_has "draft --help: its option" "--layer NAME" "$out"
check_lacks "draft --help: no option of another command" "--strict" "$out"
check "no line of draft --help is longer than 100 characters" 0 "$(awk 'length > 100' "$out" | wc -l)"
wrong_help() {
    expect_exit 2 "--help of an unknown command" "$haunch" frob --help
    check_has "--help of an unknown command: message" frob "$err"
}
wrong_help

expect_exit 0 "--version" "$haunch" --version
check_empty "--version: standard error" "$err"
for library in haunch GDAL PROJ GEOS SQLite; do
    check "--version: $library and a number" 1 "$(grep -c "^$library [0-9][0-9]*\.[0-9]" "$out")"
done
check "--version: haunch first" haunch "$(head -n 1 "$out" | cut -d' ' -f1)"

# ---- wrong use --------------------------------------------------------------------------------
wrong_use "no command" "command is missing"
wrong_use "empty command" "no command" ""
wrong_use "unknown command" "frob" frob
wrong_use "unknown option" "--frob" --frob
wrong_use "unknown short option" "-x" -x run
wrong_use "unknown option after the command" "--frob" run --frob plan.yaml
wrong_use "run without a plan" "PLAN" run
wrong_use "check without a plan" "PLAN" check
wrong_use "draft without a source" "SOURCE" draft
wrong_use "run with two plans" "PLAN" run a.yaml b.yaml
wrong_use "methods with two plans" "methods takes" methods a.yaml b.yaml
wrong_use "run with ten plans" "PLAN" run 1 2 3 4 5 6 7 8 9 10
for threads in text "" 0 65 -1 1.5 1e1 0x2 99999999999999999999; do
    wrong_use "--threads '$threads'" "\"$threads\"" run "--threads=$threads" plan.yaml
    check_has "--threads '$threads': what would do" "1 to 64" "$err"
done
wrong_use "--threads without a value" "threads" run plan.yaml --threads
wrong_use "an option with a value it does not take" "--quiet" run --quiet=yes plan.yaml

# ---- codes of what cannot be read or written --------------------------------------------------
copy_sample "$scratch/copy"
plan=$scratch/copy/sample-gis/plan.yaml
for command in run check methods; do
    expect_exit 3 "$command of a missing plan" "$haunch" "$command" "$scratch/none.yaml"
    check_empty "$command of a missing plan: standard output" "$out"
    check_has "$command of a missing plan: file" "none.yaml" "$err"
    check_has "$command of a missing plan: hint" "hint: " "$err"
    expect_exit 3 "$command of a folder" "$haunch" "$command" "$scratch"
done
expect_exit 3 "draft of a missing file" "$haunch" draft "$scratch/none.gpkg"
check_empty "draft of a missing file: standard output" "$out"
check_has "draft of a missing file: file" "none.gpkg" "$err"
check_has "draft of a missing file: hint" "hint: " "$err"
expect_exit 3 "draft of a missing layer" "$haunch" draft "$scratch/copy/sample-gis/network.gpkg" --layer sowers
check_has "draft of a missing layer: those that are there" "sewers" "$err"
expect_exit 3 "draft of what is no dataset" "$haunch" draft "$plan"

sum=$(sha256sum <"$plan")
expect_exit 4 "draft into an existing file" "$haunch" draft "$scratch/copy/sample-gis/network.gpkg" --layer sewers --output "$plan"
check_has "draft into an existing file: file" "plan.yaml" "$err"
check_has "draft into an existing file: hint" "hint: " "$err"
check "draft leaves the existing file alone" "$sum" "$(sha256sum <"$plan")"
expect_exit 4 "draft into a folder that is not there" "$haunch" draft "$scratch/copy/sample-gis/network.gpkg" --output "$scratch/no/plan.yaml"

if [ -w /dev/full ]; then
    to_full() {
        "$@" >/dev/full
    }
    for arguments in "--help" "--version" "methods" "check $plan" "run $plan" \
        "draft $scratch/copy/sample-gis/network.gpkg --layer sewers"; do
        expect_exit 4 "$arguments to a full device" to_full "$haunch" $arguments
        check_has "$arguments to a full device: message" "standard output" "$err"
    done
else
    skip "no /dev/full here"
fi
closed() {
    "$@" >&-
}
expect_exit 4 "--help with standard output closed" closed "$haunch" --help

# ---- streams of a run that goes well ---------------------------------------------------------------
expect_exit 0 "run" "$haunch" run "$plan"
check_empty "run: standard error off a terminal" "$err"
check_has "run: summary" "funded" "$out"
expect_exit 0 "run --quiet" "$haunch" run --quiet "$plan"
check_empty "run --quiet: standard output" "$out"
check_empty "run --quiet: standard error" "$err"
expect_exit 0 "run -q -t 2" "$haunch" run -q -t 2 "$plan"
expect_exit 0 "options before the command" "$haunch" --quiet --threads 2 run "$plan"
check_empty "options before the command: standard output" "$out"
expect_exit 0 "a plan after --" "$haunch" run --quiet -- "$plan"
expect_exit 0 "run --timings" "$haunch" run --timings --quiet "$plan"
check "run --timings: a line for each stage, one for the layers and one for design and cost" 14 "$(grep -c ' s  processor .* s  table ' "$err")"
expect_exit 1 "run --strict with errors in the data" "$haunch" run --strict "$plan"
check_has "run --strict: says where" "data_issues" "$err"
[ -f "$scratch/copy/out/sample/run.json" ] && pass || fail "run --strict writes the result all the same"
expect_exit 0 "check" "$haunch" check "$plan"
check_empty "check: standard error" "$err"
check_has "check: what is known" "width_mm" "$out"
check_has "check: what is doubtful" "duplicate_id" "$out"
check_lacks "check: no placeholder is left" "{" "$out"
check "check: no bare colon or comma" 0 "$(grep -c '^ *[:,] ' "$out")"
check_has "check: merged rows" "rows merged into others)" "$out"
check_lacks "check: a before a vowel" " a egg" "$out"
expect_exit 1 "check --strict" "$haunch" check --strict "$plan"
rm -rf "$scratch/copy/out"
expect_exit 0 "check again" "$haunch" check "$plan"
[ -e "$scratch/copy/out" ] && fail "check writes nothing" "no out/" "out/ is there" || pass
# not cut by a pipe that closes early
"$haunch" check "$plan" 2>"$err" | head -n 1 >"$out"
check_has "check into head" "Plan:" "$out"

# ---- methods ------------------------------------------------------------------------------------------
expect_exit 0 "methods" "$haunch" methods
check_empty "methods: standard error" "$err"
cp "$out" "$scratch/methods"
expect_exit 0 "methods of a plan" "$haunch" methods "$plan"
tables() { # STATEMENT on methods (m) and method_rules (r)
    printf '.mode csv\n.import "%s" m\n.import "%s" r\n.mode list\n%s;\n' "$source/config/methods.csv" \
        "$source/config/method_rules.csv" "$1" | sqlite3 -batch
}
tables "SELECT id FROM m" >"$scratch/ids"
check_not "methods read by the test" 0 "$(wc -l <"$scratch/ids")"
for file in "$scratch/methods" "$out"; do
    while IFS= read -r id; do
        check_has "methods lists $id" "$id" "$file"
    done <"$scratch/ids"
    tables "SELECT title FROM m" | while IFS= read -r title; do
        grep -qF -- "$title" "$file" || echo "$title"
    done >"$scratch/lacking"
    check_empty "methods gives every title" "$scratch/lacking"
    # sources may be wrapped: compared without spaces
    tr -d ' \n' <"$file" >"$scratch/solid"
    for table in m r; do
        tables "SELECT DISTINCT source FROM $table" | tr -d ' ' | while IFS= read -r text; do
            grep -qF -- "$text" "$scratch/solid" || echo "$text"
        done >"$scratch/lacking"
        check_empty "methods gives every source ($table)" "$scratch/lacking"
    done
done

# ---- draft ---------------------------------------------------------------------------------------------
expect_exit 0 "draft to standard output" "$haunch" draft "$source/sample-gis/network.gpkg" --layer sewers
check_empty "draft: standard error" "$err"
check_has "draft: names the source" "network.gpkg" "$out"
check_has "draft: names the layer" "sewers" "$out"
check_has "draft: maps the id" "segment_id: ASSET_ID" "$out"
expect_exit 0 "draft to a file" "$haunch" draft "$source/sample-gis/network.gpkg" --layer sewers -o "$scratch/copy/draft.yaml"
check_empty "draft to a file: standard error" "$err"
check_has "draft to a file: says what next" "haunch check" "$out"
[ -s "$scratch/copy/draft.yaml" ] && pass || fail "the draft is there"
check_lacks "draft to a file: nothing of layers when one is of lines" "took layer" "$out"
expect_exit 0 "draft beside its source" "$haunch" draft "$scratch/copy/sample-gis/network.gpkg" -o "$scratch/copy/sample-gis/draft.yaml"
check_has "draft beside its source: relative path" "  from: network.gpkg" "$scratch/copy/sample-gis/draft.yaml"
check_lacks "draft beside its source: no absolute path" "$scratch" "$scratch/copy/sample-gis/draft.yaml"
expect_exit 2 "a draft is refused until it is filled" "$haunch" check "$scratch/copy/sample-gis/draft.yaml"
check_has "a draft is refused until it is filled: what" "currency is empty" "$err"
sed -i 's/^currency: /currency: EUR/' "$scratch/copy/sample-gis/draft.yaml"
expect_exit 0 "a draft that is filled" "$haunch" check "$scratch/copy/sample-gis/draft.yaml"
expect_exit 0 "draft of several layers" "$haunch" draft "$scratch/copy/sample-gis/context.gpkg" -o "$scratch/copy/several.yaml"
check_has "draft of several layers: which was taken" "took layer " "$out"
check_has "draft of several layers: the way to another" "--layer NAME" "$out"
expect_exit 0 "draft --quiet" "$haunch" draft -q "$source/sample-gis/network.gpkg" --layer sewers -o "$scratch/copy/quiet.yaml"
check_empty "draft --quiet: standard error" "$err"
check_empty "draft --quiet: standard output" "$out"

# ---- the shipped tables ----------------------------------------------------------------------------------
expect_exit 2 "HAUNCH_CONFIG that is no folder" env HAUNCH_CONFIG="$scratch/none" "$haunch" methods
check_has "HAUNCH_CONFIG that is no folder: message" HAUNCH_CONFIG "$err"
check_has "HAUNCH_CONFIG that is no folder: hint" "hint: " "$err"
finish

#!/bin/sh
# Fails when docs/columns.md, outputs.md, fit.md or compare.md says something else than the
# lists of columns in the sources. What is compared stands in these files
# between the marks "<!-- NAME: begin -->" and "<!-- NAME: end -->".
#   sh columns_doc.sh BUILD_DIR SOURCE_DIR           checks
#   sh columns_doc.sh BUILD_DIR SOURCE_DIR --write   rewrites what is marked
write=no
if [ "${3:-}" = --write ] && [ $# -eq 3 ]; then
    write=yes
    set -- "$1" "$2"
fi
. "$(dirname "$0")/lib_check.sh"

# Each maker prints "@ NAME", then the lines that belong between NAME's marks.

# The columns of the segment table, group by group. A text in the source holds
# no quotation mark, so quotation marks cut a line into its texts.
make_columns() {
    awk '
    FILENAME ~ /field_roles/ {
        if (/define /) is_network = /define HN_FIELD_ROLE_LIST/
        if (is_network && /X\([A-Z_]+, "/) {
            split($0, part, "\"")
            sub(/^, */, "", part[3])
            sub(/,.*/, "", part[3])
            role[part[3]] = part[2]
        }
        next
    }
    /---- .* ----/ {
        sub(/^[^-]*---- /, "")
        sub(/ ----.*$/, "")
        print (groups++ ? "" : "@ columns") "\n### " toupper(substr($0, 1, 1)) substr($0, 2) "\n"
        print "| column | unit | kind | written by | in a plan | meaning |\n|---|---|---|---|---|---|"
        next
    }
    /^ *X\([A-Z0-9_]+, "/ {
        split($0, part, "\"")
        id = part[1]
        gsub(/^ *X\(|, *$/, "", id)
        kind = part[3]
        gsub(/[ ,]/, "", kind)
        printf "| `%s` | %s | %s | %s | %s | %s |\n", part[2], part[4], word[kind], part[6], \
            (id in role) ? "`" role[id] "`" : "", part[10]
    }
    BEGIN {
        word["STR"] = "text"; word["F64"] = word["F32"] = "number"; word["I32"] = "whole number"
        word["DATE"] = "date"; word["CODE"] = "code"; word["BOOL"] = "yes or no"
    }' src/table/field_roles.h src/table/column_list.h
}

# The values of the coded columns: lists of texts in codes.c, by their names.
make_codes() {
    awk '
    BEGIN {
        print "@ codes\n\n| column | values |\n|---|---|"
        column["shape"] = "shape"; column["length_basis"] = "length_basis"
        column["condition_basis"] = "condition_basis"; column["verdict"] = "method_verdict"
        column["programme"] = "programme"
    }
    /hn_[a-z_]*_names\[\] = / {
        name = $0
        gsub(/^.*hn_|_names\[\].*$/, "", name)
        text = ""
        reading = 1
    }
    reading { text = text $0 }
    reading && /;/ {
        n = split(text, part, "\"")
        values = ""
        for (i = 2; i < n; i += 2) values = values (i > 2 ? " / " : "") part[i]
        printf "| `%s` | %s |\n", (name in column) ? column[name] : "?" name, values
        reading = 0
    }' src/table/codes.c
}

# The columns of one result table: VIEW FILE ARRAY. A column is MACRO("name",
# "title", "meaning") or {"name", "title", "meaning", "unit", HN_VIEW_KIND ...}.
make_view() {
    awk -v view="$1" -v array="$3" '
    index($0, "hn_view_column " array "[] = {") { reading = 1; next }
    reading && /^};/ { exit }
    reading && /HN_TAKEOFF_LIST/ {
        while ((getline line < "src/plan/takeoff_list.h") > 0)
            if (sub(/^ *X\([A-Z0-9_]+, "/, "{\"", line)) text = text line
        next
    }
    reading { text = text $0 }
    END {
        print "@ " view "\n\n| column | unit | meaning |\n|---|---|---|"
        gsub(/" +"/, "", text)
        n = split(text, part, "\"")
        for (i = 1; i + 6 <= n; ) {
            unit = ""
            if (part[i] ~ /MONEY\($/) unit = "money"
            if (part[i] ~ /METRES\($/) unit = "m"
            if (part[i] ~ /SHARE\($/) unit = "0-1"
            braced = part[i] ~ /\{$/
            if (braced) unit = part[i + 7]
            if (braced && part[i + 8] ~ /VIEW_BOOL/) unit = "yes or no"
            if (braced && part[i + 8] ~ /VIEW_DATE/) unit = "date"
            printf "| `%s` | %s | %s |\n", part[i + 1], unit, part[i + 5]
            i += braced ? 8 : 6
        }
    }' "$2"
}

# The tables of haunch fit.
make_fit_views() {
    while read -r view array; do
        make_view "$view" src/run/fit_tables.c "$array"
    done <<VIEWS
fit fit_columns
fit_by_age by_age_columns
fit_backtest test_columns
fit_warnings warning_columns
implied_rates implied_columns
VIEWS
}

make_views() {
    while read -r view file array; do
        make_view "$view" "src/$file" "$array"
    done <<VIEWS
projects programme/programme_views.c project_columns
act_now report/segment_views.c act_now_columns
data_issues report/segment_views.c issue_columns
observations report/observation_views.c layer_columns
observation_grades report/observation_views.c grade_columns
observation_report run/tables_observations.c report_columns
options options/options_view.c columns
quantities options/quantities_view.c columns
score_parts consequence/score_view.c columns
scheme_parts consequence/scheme_view.c columns
matrix run/tables_matrix.c matrix_columns
unfunded programme/programme_views.c unfunded_columns
programme_year run/tables_programme.c year_columns
programme_period run/tables_programme.c period_columns
scenario run/tables_scenarios.c scenario_columns
risk_by_year run/tables_scenarios.c path_columns
method_totals run/tables_totals.c method_columns
district_totals run/tables_totals.c district_columns
coverage run/tables_coverage.c coverage_columns
inspection_matches report/match_view.c columns
match_report run/tables_coverage.c match_columns
reconciliation run/tables_reconciliation.c columns
assumptions run/tables_log.c assumption_columns
overrides run/tables_log.c override_columns
infiltration run/tables_infiltration.c columns
overlap run/tables_overlap.c columns
loss_avoided_by_year run/tables_waiting.c columns
run_log run/tables_log.c log_columns
sensitivity run/tables_sensitivity.c sensitivity_columns
rank_sensitivity run/tables_sensitivity.c rank_columns
VIEWS
}

# splice LISTS FILE: prints FILE with what the makers printed into LISTS between
# the marks; a list without its mark, and the reverse, is said.
splice() {
    awk '
    FNR == NR {
        if (/^@ /) name = substr($0, 3)
        else text[name] = text[name] $0 "\n"
        next
    }
    /^<!-- [a-z_]+: end -->$/ { skipping = 0 }
    !skipping
    /^<!-- [a-z_]+: begin -->$/ {
        name = $2
        sub(/:$/, "", name)
        if (name in text) {
            skipping = 1
            printf "%s\n", text[name]
            delete text[name]
        } else
            print "no list is called " name
    }
    END { for (name in text) print "no mark for " name }' "$1" "$2"
}

# The tables of haunch compare.
make_compare_views() {
    while read -r view file array; do
        make_view "$view" "src/run/compare_$file.c" "$array"
    done <<EOF
steps totals step_columns
totals totals total_columns
totals_by_cause totals cause_columns
inputs inputs columns
counts changes count_columns
changes changes change_columns
checks totals check_columns
EOF
}

scratch=$(mktemp -d "${TMPDIR:-/tmp}/haunch-columns.XXXXXX")
trap 'rm -rf "$scratch"' EXIT
{ make_columns && make_codes; } >"$scratch/columns"
make_views >"$scratch/outputs"
make_fit_views >"$scratch/fit"
make_compare_views >"$scratch/compare"
for name in columns outputs fit compare; do
    splice "$scratch/$name" "docs/$name.md" >"$scratch/$name.md"
done
if [ "$write" = yes ]; then
    cp "$scratch/columns.md" "$scratch/outputs.md" "$scratch/fit.md" "$scratch/compare.md" docs/
    exit 0
fi
{
    for name in columns.md outputs.md fit.md compare.md; do
        diff "docs/$name" "$scratch/$name" | sed -n "s|^[<>]|docs/$name &|p"
    done
    # a table that the list above does not know
    listed=$(cat "$scratch/outputs" "$scratch/fit" "$scratch/compare" | grep -c '^@')
    # tables of a sheet (report/sheet_*.c) are no tables of the result
    found=$(find src -name '*.c' ! -path 'src/report/sheet_*' -exec cat {} + | grep -c 'hn_view_column [a-z_]*\[\] = {')
    [ "$listed" = "$found" ] || echo "$found tables in src, $listed known to this check"
} | report_faults "The lists of columns differ (< is written, > is true; mend with --write):"

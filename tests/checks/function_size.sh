#!/bin/sh
# Fails when a function has more than 80 lines, or a file more than 500. Needs
# Universal Ctags (Debian package universal-ctags).
. "$(dirname "$0")/lib_check.sh"

function_lines=80
file_lines=500

# A listing that fails must not pass for a listing without faults.
# shellcheck disable=SC2046
tags=$(ctags --languages=C --langmap=C:.c.h --kinds-C=f --fields=+ne -f - $(sources_outside)) || {
    echo "ctags failed"
    exit 2
}
{
    printf '%s\n' "$tags" | awk -F '\t' -v most="$function_lines" '
        /^!/ || NF < 4 { next }
        {
            start = end = 0
            for (i = 4; i <= NF; i++) {
                if ($i ~ /^line:/) start = substr($i, 6)
                if ($i ~ /^end:/) end = substr($i, 5)
            }
            if (end == 0)
                printf "%s: no end found for %s\n", $2, $1
            else if (end - start + 1 > most)
                printf "%s:%d: %s has %d lines\n", $2, start, $1, end - start + 1
        }'
    # shellcheck disable=SC2046
    awk -v most="$file_lines" '
        FNR == most + 1 { print FILENAME ": more than " most " lines" }' $(sources_outside)
} | report_faults "Too long to read (functions $function_lines lines, files $file_lines):"

#!/bin/sh
# Fails when two files define a public function of the same name (a static
# library does not complain, it takes whichever comes first), or when a public
# name lacks the prefix hn_. Needs Universal Ctags.
. "$(dirname "$0")/lib_check.sh"

# shellcheck disable=SC2046
tags=$(ctags --languages=C --langmap=C:.c --kinds-C=f --fields=+ne -f - \
    $(sources_outside | grep '\.c$')) || {
    echo "ctags failed"
    exit 2
}
printf '%s\n' "$tags" | awk -F '\t' '
    /^!/ || NF < 4 { next }
    {
        for (i = 4; i <= NF; i++) {
            if ($i ~ /^file:/) next # static
            if ($i ~ /^line:/) line = substr($i, 6)
        }
        # two bodies in one file stand in two branches of an #if, or the
        # compiler would have said so
        if (($1 in place) && index(place[$1], $2 ":") != 1)
            print $2 ":" line ": " $1 " is also defined at " place[$1]
        place[$1] = $2 ":" line
        if ($1 !~ /^hn_/ && $1 != "main")
            print $2 ":" line ": " $1 " is public but has no hn_ in front"
    }' | report_faults "Public functions that clash:"

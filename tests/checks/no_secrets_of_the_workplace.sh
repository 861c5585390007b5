#!/bin/sh
# Fails when a project file names a path of the machine it was made on or a
# host of a package registry. Binary files are searched as well: a GeoPackage
# can carry the path of what it was made from. A letter in brackets keeps a
# pattern from finding itself.
. "$(dirname "$0")/lib_check.sh"

paths='(^|[^A-Za-z0-9_.)])/(wor[k]|roo[t]|hom[e]/[a-z]+)/|/tmp/(bash_job[s]|buil[d]|helpe[r])|bash_job[s]'
hosts='deb\.debia[n]\.org|snapshot\.debia[n]\.org|(registry|www)\.npmj[s]\.|npmj[s]\.org|pyp[i]\.org|files\.pythonhoste[d]|crate[s]\.io|proxy\.golan[g]\.org|rubygem[s]\.org|mave[n]\.org|registr[y]\.[a-z]|artifactor[y]|https?://(10|127|172|192)\.[0-9]+\.|https?://localhos[t]'
find . \( -name .git -o -name __pycache__ -o -path './build*' -o -path ./out \) -prune -o \
    -type f -exec grep -HnaoE ".{0,30}($paths|$hosts).{0,30}" {} + |
    LC_ALL=C tr -cd '\11\12\40-\176' |
    report_faults "Names of the workplace in project files:"

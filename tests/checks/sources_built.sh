#!/bin/sh
# Fails when a C file of src/ is not compiled: a folder that CMake does not
# list would otherwise be dead code that every other check admires.
. "$(dirname "$0")/lib_check.sh"

list=$build/compile_commands.json
[ -f "$list" ] || {
    echo "no $list"
    exit 2
}
for file in $(sources_outside | grep '\.c$'); do
    grep -qF "/$file\"" "$list" || echo "$file"
done | report_faults "Not compiled by the build:"

#!/bin/sh
# A check that cannot fail is worth nothing: plants one fault at a time in a
# copy of src/ and fails unless the check for it goes red and names the file.
# What the true sources have wrong is the other checks' business: only findings
# that name the planted file count. Quotes break up what must not stand here.
. "$(dirname "$0")/lib_check.sh"

scratch=$(mktemp -d "${TMPDIR:-/tmp}/haunch-planted.XXXXXX")
trap 'rm -rf "$scratch"' EXIT
trap 'exit 130' INT TERM
bad=0 tried=0
cp -R src "$scratch/src"
printf '[{"file": "%s"}]\n' "$scratch/src/base/status.c" >"$scratch/compile_commands.json"

# expect COLOUR CHECK FILE: red when CHECK names src/FILE and ends with 1,
# green when it does not name it.
expect() {
    said=$(sh "$checks/$2.sh" "$scratch" "$scratch" 2>&1) && status=0 || status=$?
    seen=green
    case $said in *"src/$3"*) seen=red ;; esac
    [ "$seen" = red ] && [ "$status" -ne 1 ] && seen="red, but ends with $status"
    [ "$status" -gt 1 ] && seen="broken: $said"
    tried=$((tried + 1))
    [ "$seen" = "$1" ] && return
    echo "$2 is $seen, should be $1, for src/$3"
    bad=1
}

# plant CHECK FILE CODE: src/FILE with this code must be found.
plant() {
    mkdir -p "$scratch/src/$(dirname "$2")"
    printf '%s\n' "$3" >"$scratch/src/$2"
    expect red "$1" "$2"
    rm "$scratch/src/$2"
}

# The same for code that only looks like a fault.
plant_harmless() {
    mkdir -p "$scratch/src/$(dirname "$2")"
    printf '%s\n' "$3" >"$scratch/src/$2"
    expect green "$1" "$2"
    rm "$scratch/src/$2"
}

lines() { # number text
    awk -v n="$1" -v text="$2" 'BEGIN { for (i = 0; i < n; i++) print text }'
}
function_of() { # lines
    printf 'int planted(int a);\nint planted(int a)\n{\n%s\n    return a;\n}\n' \
        "$(lines $(($1 - 4)) '    a++;')"
}

check=include_direction
plant $check risk/planted.c '#include "run/stages.h"'
plant $check risk/planted.h '#include "condition/grades.h"'
plant $check engineering/planted.c '#include "table/view.h"'
plant $check base/planted.c '#include "alloc.h"'
plant $check network/planted.c '#include <gdal.h>'
plant $check read/planted.c '#include <geos_c.h>'
plant $check table/planted.c '  #  include <yaml.h> /* why */'
plant $check report/planted.c '#include <sqlite3.h>'
plant $check cli/planted.c '#include <curl/curl.h>'
plant $check extra/planted.c '#include "base/status.h"'
rmdir "$scratch/src/extra"
plant_harmless $check risk/planted.c '/*
#include "run/stages.h"
*/
#include "base/status.h"
#include <math.h>'

check=only_cli_prints
plant $check options/planted.c 'void f(void) { printf("%d", 1); }'
plant $check base/planted.c 'void f(void) { fprintf(stderr, "x"); }'
plant $check run/planted.c 'void f(void) { if (1) exit (1); }'
plant $check write/planted.c 'void f(void) { /* no way out */ abort(); }'
plant_harmless $check write/planted.c \
    'void f(char *s) { snprintf(s, 9, "printf(stdout) \" "); g->exit(1); } /* abort() */'
plant_harmless $check cli/planted.c 'void f(void) { printf("%d", 1); exit(1); }'

check=one_door_to_the_heap
plant $check condition/planted.c 'void *f(void) { return malloc(4); }'
plant $check cli/planted.c 'void f(void *p) { free(p); }'
plant $check table/planted.h "void f(char *s) { char c = '\"'; strdup(s); }"
plant_harmless $check table/planted.c 'void f(void *p) { hn_free(p); sqlite3_free(p); } // free(p)'
plant_harmless $check base/planted.c 'void *f(void) { return calloc(4, 1); }'

check=function_size
plant $check network/planted.c "$(function_of 81)"
plant_harmless $check network/planted.c "$(function_of 80)"
plant $check network/planted.h "$(lines 501 '/* long */')"
plant_harmless $check network/planted.h "$(lines 500 '/* long */')"

check=names_defined_once
plant $check risk/planted.c 'int hn_status_exit_code(int a) { return a; }'
plant $check risk/planted.c 'int planted(int a) { return a; }'
plant_harmless $check risk/planted.c 'static int planted(int a) { return a; }'

plant sources_built programme/planted.c 'int planted;'

check=no_secrets_of_the_workplace
plant $check base/planted.c "/* see /wo""rk/notes */"
plant $check base/planted.bin "$(printf '\001/tmp/bash_jo''bs.0/x')"
plant $check base/planted.c "/* from https://regis""try.npm""js.org/x */"
plant_harmless $check base/planted.c '/* roads/work/ and home/a/ */'

[ "$bad" -eq 0 ] || exit 1
echo "$tried planted cases, all as expected"

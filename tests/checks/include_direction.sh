#!/bin/sh
# Fails when a folder of src/ includes one that it must not know, or a library
# that belongs elsewhere. Stages meet in columns of the table, never in calls.
. "$(dirname "$0")/lib_check.sh"

# Folder -> the folders it may include, besides itself.
may_include() {
    case $1 in
    base) echo "" ;;
    engineering | table | optimise) echo "base" ;;
    read | write) echo "base table" ;;
    plan) echo "base table read" ;;
    network | consequence | risk) echo "base table plan" ;;
    condition | options | programme) echo "base table plan engineering" ;;
    report) # prints what options/ and condition/ filled
        echo "base table plan engineering options condition write"
        ;;
    run)
        echo "base engineering table read plan network condition consequence options risk" \
            "programme write report"
        ;;
    cli) echo "base run" ;;
    *) echo "unknown" ;;
    esac
}

# Header in <> -> the folders that may use it; "all" is the C library and POSIX.
may_use() {
    case $1 in
    gdal*.h | ogr_*.h | cpl_*.h) echo "read write" ;;
    proj.h | geodesic.h) echo "read" ;;
    cpuid.h | immintrin.h) echo "base" ;;
    getopt.h) echo "cli" ;;
    malloc.h) echo "base cli" ;;
    geos_c.h) echo "network consequence" ;;
    yaml.h) echo "plan" ;;
    nlopt.h) echo "engineering" ;;
    sqlite3.h) echo "table read write" ;;
    assert.h | ctype.h | dirent.h | errno.h | fcntl.h | float.h | ftw.h | inttypes.h | iso646.h | \
        libgen.h | limits.h | locale.h | math.h | pthread.h | regex.h | sched.h | setjmp.h | \
        signal.h | stdalign.h | stdarg.h | stdatomic.h | stdbool.h | stddef.h | stdint.h | \
        stdio.h | stdlib.h | stdnoreturn.h | string.h | strings.h | sys/*.h | termios.h | \
        time.h | unistd.h | wchar.h) echo "all" ;;
    *) echo "unknown" ;;
    esac
}

# Reads "file:line:#include ..." lines.
judge() {
    while IFS= read -r found; do
        place=${found%%:#*}
        file=${place%%:*}
        folder=${file#src/}
        folder=${folder%%/*}
        case $found in
        *'<'*'>'*)
            header=${found#*<}
            header=${header%%>*}
            users=$(may_use "$header")
            case " $users " in
            " all " | *" $folder "*) ;;
            " unknown ") echo "$place: <$header> is not a known header" ;;
            *) echo "$place: <$header> belongs in $users" ;;
            esac
            ;;
        *'"'*'"'*)
            header=${found#*\"}
            header=${header%%\"*}
            case $header in
            */*) ;;
            *) echo "$place: \"$header\" must name its folder" && continue ;;
            esac
            case " $folder $(may_include "$folder") " in
            *" ${header%%/*} "*) ;;
            *) echo "$place: $folder/ must not include $header" ;;
            esac
            ;;
        *) echo "$place: an include must name its header" ;;
        esac
    done
}

{
    for folder in src/*/; do
        name=$(basename "$folder")
        [ "$(may_include "$name")" != unknown ] || echo "src/$name: not a known folder"
    done
    # shellcheck disable=SC2046 # no file of ours has a space in its name
    code_of $(sources_outside) |
        sed -n 's/^\([^:]*:[0-9]*\):[[:space:]]*#[[:space:]]*include/\1:#include/p' | judge
} | report_faults "Includes against the direction of the folders:"

# Shared by the checks: each is called as `sh CHECK BUILD_DIR SOURCE_DIR`,
# prints one line a fault and ends with 1 when there is any.
set -eu
[ $# -eq 2 ] || {
    echo "usage: sh $0 BUILD_DIR SOURCE_DIR" >&2
    exit 2
}
checks=$(cd "$(dirname "$0")" && pwd)
build=$1
cd "$2"
[ -d src ] || {
    echo "no src/ in $2" >&2
    exit 2
}

# All C files of the folders of src/ whose names are not given.
sources_outside() {
    for folder in src/*/; do
        folder=${folder%/}
        case " $* " in *" ${folder#src/} "*) continue ;; esac
        for file in "$folder"/*.[ch]; do
            [ -f "$file" ] && echo "$file"
        done
    done
}

# The code of these files without comments and texts: file:line:code.
code_of() {
    [ $# -eq 0 ] || awk -f "$checks/lib_code.awk" "$@"
}

# Prints what comes in as the faults found, under the sentence $1; ends with 1
# when there are any.
report_faults() {
    found=$(cat)
    [ -z "$found" ] && exit 0
    echo "$1"
    echo "$found"
    exit 1
}

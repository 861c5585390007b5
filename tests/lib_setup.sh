# Shared by sample-gis/run.sh, tests/run.sh and tests/bench: packages, build.
# Sourced, POSIX sh.

BUILD_PACKAGES="gcc libc6-dev cmake ninja-build pkg-config libgdal-dev libproj-dev libgeos-dev
 libsqlite3-dev libyaml-dev libnlopt-dev"
TEST_PACKAGES="clang libcmocka-dev universal-ctags gdal-bin python3-gdal sqlite3 valgrind
 libxml2-utils time unzip libclang-rt-14-dev
 python3-scipy r-cran-msm"

as_root() {
    if [ "$(id -u)" = 0 ]; then
        "$@"
    elif command -v sudo >/dev/null 2>&1; then
        sudo "$@"
    else
        echo "These packages must be installed first, as root:" >&2
        echo "  apt-get install $missing" >&2
        exit 1
    fi
}

# Installs what dpkg does not know as installed; quick when nothing is missing.
need_packages() {
    missing=
    if ! command -v dpkg-query >/dev/null 2>&1; then
        echo "This script installs Debian packages, and this system has no dpkg." >&2
        echo "Install the like of these, then build with cmake: $*" >&2
        exit 1
    fi
    for package in "$@"; do
        case $(dpkg-query -W -f='${db:Status-Status}' "$package" 2>/dev/null) in
        installed) ;;
        *) missing="$missing $package" ;;
        esac
    done
    [ -n "$missing" ] || return 0
    echo "Installing:$missing"
    as_root env DEBIAN_FRONTEND=noninteractive apt-get update -qq
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends \
        $missing >/dev/null
}

# build_haunch SOURCE BUILD TYPE [cmake options]
build_haunch() {
    source=$1 build=$2 type=$3
    shift 3
    cmake -S "$source" -B "$build" -G Ninja -DCMAKE_BUILD_TYPE="$type" "$@" >"$build.log" 2>&1 ||
        { cat "$build.log" >&2; exit 1; }
    cmake --build "$build" >"$build.log" 2>&1 || { grep -E 'error|warning|FAILED' "$build.log" >&2; exit 1; }
    rm -f "$build.log"
}

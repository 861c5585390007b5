#!/bin/sh
# The bench: a whole `haunch run` beside a plain `ogr2ogr` copy of the same
# layer. The copy is the yardstick, because both must read and write every
# sewer on the same machine in the same minute; the ratio of the two can be
# compared between machines, the seconds cannot.
#
# usage: run.sh BUILD_DIR [--threads N] [--rounds N] [--seed N] [COUNT ...]
#   COUNT   sewers, default 100000 1000000; from 5 million on one round is run
# environment:
#   HN_BENCH_DIR  scratch folder, default ${TMPDIR:-/tmp}/haunch-bench; needs
#                 about 1.5 GB for a million sewers. Inputs are kept in it.
#   HN_HAUNCH     another program in the place of BUILD_DIR/haunch
# Needs /usr/bin/time (Debian package time), ogr2ogr, and sqlite3 or ogrinfo.
set -eu

usage() {
    sed -n '2,14s/^# \{0,1\}//p' "$0" >&2
    exit 2
}

die() {
    echo "bench: $*" >&2
    exit 1
}

threads=2 rounds=3 seed=1 counts=
[ $# -ge 1 ] || usage
case $1 in -*) usage ;; esac
build=$(cd "$1" && pwd) || die "no build folder $1"
shift
while [ $# -gt 0 ]; do
    case $1 in
    --threads | --rounds | --seed)
        [ $# -ge 2 ] || usage
        case $2 in '' | *[!0-9]*) usage ;; esac
        eval "${1#--}=\$2"
        shift 2
        ;;
    '' | *[!0-9]*) usage ;;
    *)
        counts="$counts $1"
        shift
        ;;
    esac
done
[ "$rounds" -ge 1 ] || die "--rounds must be at least 1"
counts=$(printf '%s\n' ${counts:-100000 1000000} | sort -n)

generator=$build/tests/bench/make_network
haunch=${HN_HAUNCH:-$build/haunch}
# The tables of this source tree, wherever the build folder is.
HAUNCH_CONFIG=${HAUNCH_CONFIG:-$(cd "$(dirname "$0")/../../config" && pwd)}
export HAUNCH_CONFIG
scratch=${HN_BENCH_DIR:-${TMPDIR:-/tmp}/haunch-bench}
for program in "$generator" "$haunch" /usr/bin/time; do
    [ -x "$program" ] || die "$program is not there"
done
command -v ogr2ogr >/dev/null || die "ogr2ogr is not there"
mkdir -p "$scratch"
figures=$scratch/figures.$$
judging=$scratch/judging.$$ nearby=$scratch/nearby.$$
trap 'rm -f "$figures" "$judging" "$nearby" "$scratch"/time.$$ "$scratch"/log.$$' EXIT
trap 'exit 130' INT TERM
: >"$figures"
: >"$judging"
: >"$nearby"

machine() {
    cpu=$(sed -n 's/^model name[^:]*: *//p' /proc/cpuinfo 2>/dev/null | head -n 1)
    memory=$(awk '/^MemTotal/ { printf "%.0f GiB", $2 / 1048576 }' /proc/meminfo 2>/dev/null)
    system=$(sed -n 's/^PRETTY_NAME="\(.*\)"/\1/p' /etc/os-release 2>/dev/null)
    echo "Machine: ${cpu:-unknown processor}, $(getconf _NPROCESSORS_ONLN) cores," \
        "${memory:-unknown memory}, ${system:-unknown system};" \
        "$(ogr2ogr --version | sed 's/,.*//')," \
        "$("$haunch" --version 2>/dev/null | head -n 1); $(date -u +%Y-%m-%d)," \
        "load $(cut -d ' ' -f 1 /proc/loadavg 2>/dev/null || echo unknown)"
}

# Makes the inputs of $1 sewers in folder $2, unless they are there already
# from the same generator and seed.
make_inputs() {
    stamp="$(cksum <"$generator") $1 $seed"
    [ "$(cat "$2/stamp" 2>/dev/null)" = "$stamp" ] && return
    rm -rf "$2"
    mkdir -p "$2"
    "$generator" "$1" "$2" "$seed" || die "no inputs for $1 sewers"
    echo "$stamp" >"$2/stamp"
}

rows_of() { # file layer
    if command -v sqlite3 >/dev/null; then
        sqlite3 "$1" "SELECT count(*) FROM \"$2\""
    else
        ogrinfo -ro -so "$1" "$2" | sed -n 's/^Feature Count: //p'
    fi
}

# measure COUNT ROUND NAME FILE LAYER COMMAND...: one line of figures, and a
# check that FILE holds a row for every sewer.
measure() {
    count=$1 round=$2 name=$3 file=$4 layer=$5
    shift 5
    sync # what others left to write is not our time
    status=0
    /usr/bin/time -v -o "$scratch/time.$$" "$@" >"$scratch/log.$$" 2>&1 || status=$?
    if [ "$status" -ne 0 ]; then
        tail -n 5 "$scratch/log.$$" >&2
        die "$name ended with $status at $count sewers"
    fi
    have=$(rows_of "$file" "$layer") || die "$name left no layer $layer in $file"
    [ "$have" = "$count" ] || die "$name wrote ${have:-no} rows of $count"
    awk -v count="$count" -v round="$round" -v name="$name" '
        /Elapsed \(wall clock\)/ { n = split($NF, part, ":"); wall = 0
                                   for (i = 1; i <= n; i++) wall = wall * 60 + part[i] }
        /User time/ { cpu += $NF }
        /System time/ { cpu += $NF }
        /Maximum resident/ { memory = $NF }
        END { print count, round, name, wall, cpu, memory }' "$scratch/time.$$" >>"$figures"
}

copy() { # count round folder
    rm -f "$3/copy.gpkg"
    measure "$1" "$2" copy "$3/copy.gpkg" sewers \
        ogr2ogr -f GPKG "$3/copy.gpkg" "$3/network.gpkg" sewers
    rm -f "$3/copy.gpkg"
}

whole_job() { # count round folder
    rm -rf "$3/out"
    measure "$1" "$2" haunch "$3/out/result.gpkg" segments \
        "$haunch" run "$3/plan.yaml" --threads "$threads" --timings
    sed -n 's/^ *of it design and cost .* processor *\([0-9.]*\) s.*/\1/p' "$scratch/log.$$" |
        awk -v count="$1" '{ printf "%d %.3f\n", count, 1e6 * $1 / count }' >>"$judging"
    sed -n 's/^nearness .* processor *\([0-9.]*\) s.*/\1/p' "$scratch/log.$$" |
        awk -v count="$1" -v things="$(rows_of "$3/context.gpkg" road) roads, \
$(rows_of "$3/context.gpkg" water) rivers, $(rows_of "$3/context.gpkg" hospital) hospitals" \
            '{ printf "%d %.3f %s\n", count, $1, things }' >>"$nearby"
}

one_count() {
    folder=$scratch/$1 last=$rounds
    if [ "$1" -ge 5000000 ]; then last=1; fi
    make_inputs "$1" "$folder"
    cat "$folder"/*.gpkg >/dev/null # both start with warm inputs
    round=1
    while [ "$round" -le "$last" ]; do
        echo "bench: $1 sewers, round $round of $last" >&2
        # Who is first alternates, so that neither always has the warmer machine.
        if [ $((round % 2)) -eq 1 ]; then
            copy "$1" "$round" "$folder"
            whole_job "$1" "$round" "$folder"
        else
            whole_job "$1" "$round" "$folder"
            copy "$1" "$round" "$folder"
        fi
        round=$((round + 1))
    done
}

# The ratio is the median of the ratios within a round.
table() {
    awk -v threads="$threads" '
        function median(list, n,    i, j, t) {
            for (i = 2; i <= n; i++)
                for (j = i; j > 1 && list[j] < list[j - 1]; j--) {
                    t = list[j]; list[j] = list[j - 1]; list[j - 1] = t
                }
            return n % 2 ? list[(n + 1) / 2] : (list[n / 2] + list[n / 2 + 1]) / 2
        }
        function middle(what, count, name,    i, list) {
            for (i = 1; i <= rounds[count]; i++) list[i] = figure[what, count, name, i]
            return median(list, rounds[count])
        }
        function ratio(count,    i, list) {
            for (i = 1; i <= rounds[count]; i++)
                list[i] = figure["wall", count, "haunch", i] / figure["wall", count, "copy", i]
            return median(list, rounds[count])
        }
        {
            if (!($1 in rounds)) order[++counts] = $1
            if ($2 > rounds[$1]) rounds[$1] = $2
            figure["wall", $1, $3, $2] = $4 > 0 ? $4 : 0.005 # the clock ticks in 0.01 s
            figure["cpu", $1, $3, $2] = $5
            figure["memory", $1, $3, $2] = $6
        }
        END {
            print "| sewers | rounds | copy s | haunch s | ratio | copy cpu s | haunch cpu s | haunch peak MiB | bytes/segment |"
            print "|---:|---:|---:|---:|---:|---:|---:|---:|---:|"
            for (i = 1; i <= counts; i++) {
                c = order[i]
                printf "| %d | %d | %.2f | %.2f | %.2f | %.2f | %.2f | %.0f | %.0f |\n", c, rounds[c],
                    middle("wall", c, "copy"), middle("wall", c, "haunch"), ratio(c),
                    middle("cpu", c, "copy"), middle("cpu", c, "haunch"),
                    middle("memory", c, "haunch") / 1024, middle("memory", c, "haunch") * 1024 / c
            }
            print ""
            print "haunch with --threads " threads "; medians; ratio is the median of haunch / copy within a round."
            for (i = 2; i <= counts; i++) {
                a = order[i - 1]; b = order[i]
                printf "Growth from %d to %d sewers: time per segment x %.2f, %.0f bytes for each segment more.\n", a, b,
                    (middle("wall", b, "haunch") / b) / (middle("wall", a, "haunch") / a),
                    (middle("memory", b, "haunch") - middle("memory", a, "haunch")) * 1024 / (b - a)
            }
        }' "$figures"
}

for count in $counts; do
    one_count "$count"
done
machine
echo
table
# All threads together: processor time over the sewers, without the SQL of the rules.
sort -n -k1,1 -k2,2 "$judging" | awk '
    $1 != count { if (count) print_it(); count = $1; n = 0 }
    { figure[++n] = $2 }
    END { if (count) print_it() }
    function print_it() {
        printf "Design and cost of all methods, %d sewers: %.2f microseconds of one thread a sewer (median).\n",
            count, figure[int((n + 1) / 2)]
    }'
# Processor time of the whole stage, reading of the layers included.
sort -n -k1,1 -k2,2 "$nearby" | awk '
    $1 != count { if (count) print_it(); count = $1; n = 0 }
    { figure[++n] = $2; $1 = $2 = ""; things = $0 }
    END { if (count) print_it() }
    function print_it() {
        printf "Nearness, %d sewers to%s: %.2f s of one thread (median).\n", count, substr(things, 2),
            figure[int((n + 1) / 2)]
    }'

#!/bin/sh
# The bench: a whole `haunch run` beside a plain `ogr2ogr` copy of the same
# layer. The copy is the yardstick, because both must read and write every
# sewer on the same machine in the same minute; the ratio of the two can be
# compared between machines, the seconds cannot.
#
# usage: run.sh BUILD_DIR [--threads N] [--rounds N] [--seed N] [--only job|survey] [COUNT ...]
#   COUNT   sewers, default 100000 1000000; from 5 million on one round is run, no survey
#   --only  the whole job, or inspections with observations and the fit; default both
# environment:
#   HN_BENCH_DIR  scratch folder, default ${TMPDIR:-/tmp}/haunch-bench; needs
#                 about 1.5 GB for a million sewers. Inputs are kept in it.
#   HN_HAUNCH     another program in the place of BUILD_DIR/haunch
# Needs /usr/bin/time (Debian package time), ogr2ogr, and sqlite3 or ogrinfo.
set -eu

usage() {
    sed -n '2,15s/^# \{0,1\}//p' "$0" >&2
    exit 2
}

die() {
    echo "bench: $*" >&2
    exit 1
}

threads=2 rounds=3 seed=1 only=both counts=
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
    --only)
        case ${2-} in job | survey) only=$2 ;; *) usage ;; esac
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
surveyor=$build/tests/bench/make_survey
fit_pass=$build/tests/bench/fit_pass
survey_part=$(cd "$(dirname "$0")" && pwd)/survey.yaml
haunch=${HN_HAUNCH:-$build/haunch}
# The tables of this source tree, wherever the build folder is.
HAUNCH_CONFIG=${HAUNCH_CONFIG:-$(cd "$(dirname "$0")/../../config" && pwd)}
export HAUNCH_CONFIG
scratch=${HN_BENCH_DIR:-${TMPDIR:-/tmp}/haunch-bench}
for program in "$generator" "$surveyor" "$fit_pass" "$haunch" /usr/bin/time; do
    [ -x "$program" ] || die "$program is not there"
done
command -v ogr2ogr >/dev/null || die "ogr2ogr is not there"
mkdir -p "$scratch"
figures=$scratch/figures.$$
judging=$scratch/judging.$$ nearby=$scratch/nearby.$$ surveys=$scratch/surveys.$$
trap 'rm -f "$figures" "$judging" "$nearby" "$surveys" "$scratch"/time.$$ "$scratch"/log.$$' EXIT
trap 'exit 130' INT TERM
: >"$figures"
: >"$judging"
: >"$nearby"
: >"$surveys"

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

# Tables of inspections and observations beside the network, and a plan that reads them.
make_survey_inputs() {
    stamp="$(cksum <"$surveyor") $(cksum <"$survey_part") $(cat "$2/stamp")"
    [ "$(cat "$2/survey.stamp" 2>/dev/null)" = "$stamp" ] && return
    "$surveyor" "$1" "$2" "$seed" || die "no survey for $1 sewers"
    awk -v part="$survey_part" '
        /^inspections:/ { skip = 1; while ((getline line < part) > 0) print line }
        /^context:/ { skip = 0 }
        !skip { sub(/folder: out$/, "folder: survey-out"); print }' "$2/plan.yaml" >"$2/survey.yaml"
    echo "$stamp" >"$2/survey.stamp"
}

# timed COMMAND...: wall seconds, processor seconds and KiB on one line.
timed() {
    sync
    /usr/bin/time -f '%e %U %S %M' -o "$scratch/time.$$" "$@" >"$scratch/log.$$" 2>&1 || {
        tail -n 5 "$scratch/log.$$" >&2
        die "$1 failed"
    }
    tail -n 1 "$scratch/time.$$"
}

copy_survey() { # count folder
    rm -f "$2/copy.gpkg"
    a=$(timed ogr2ogr -f GPKG "$2/copy.gpkg" "$2/network.gpkg" sewers)
    b=$(timed ogr2ogr -f GPKG -update "$2/copy.gpkg" "$2/survey.gpkg" inspections observations)
    rm -f "$2/copy.gpkg"
    echo "$a $b" | awk -v c="$1" '{ print c, "copy", $1 + $5, $2 + $3 + $6 + $7, 0 }' >>"$surveys"
}

# Counted: the stages from reading the network to the grades moved forward.
survey_job() { # count folder
    rm -rf "$2/survey-out"
    timed "$haunch" run "$2/survey.yaml" --threads "$threads" --timings >/dev/null
    awk -v c="$1" '
        /^(reading the network|building the network|joining inspections|checking the data|condition) / {
            sub(/^[a-z ]*[a-z] +/, ""); wall += $1; cpu += $4; memory = $(NF - 1); n++ }
        END { if (n != 5) exit 1; print c, "haunch", wall, cpu, memory }' "$scratch/log.$$" \
        >>"$surveys" || die "no times of the stages"
    rm -rf "$2/survey-out"
}

one_fit() { # count folder
    rm -rf "$2/fitted"
    whole=$(timed "$haunch" fit "$2/survey.yaml" --output "$2/fitted" --threads "$threads")
    readings=$(awk -F, 'NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i }
        $1 == "all cohorts" { n += $at["readings"] } END { print n }' "$2/fitted/fit.csv")
    rm -rf "$2/fitted"
    "$fit_pass" "$readings" >"$scratch/log.$$" || die "the plain pass and the fit differ"
    echo "$1 fit $whole $readings $(cat "$scratch/log.$$")" >>"$surveys"
}

one_survey() { # count
    folder=$scratch/$1 round=1
    make_inputs "$1" "$folder"
    make_survey_inputs "$1" "$folder"
    cat "$folder/network.gpkg" "$folder/survey.gpkg" >/dev/null
    while [ "$round" -le "$rounds" ]; do
        echo "bench: $1 sewers with observations, round $round of $rounds" >&2
        if [ $((round % 2)) -eq 1 ]; then
            copy_survey "$1" "$folder"
            survey_job "$1" "$folder"
        else
            survey_job "$1" "$folder"
            copy_survey "$1" "$folder"
        fi
        one_fit "$1" "$folder"
        round=$((round + 1))
    done
}

survey_table() {
    awk -v threads="$threads" '
        function median(what, c,    i, j, t, n, list) {
            n = count[what, c]
            for (i = 1; i <= n; i++) list[i] = figure[what, c, i]
            for (i = 2; i <= n; i++)
                for (j = i; j > 1 && list[j] < list[j - 1]; j--) {
                    t = list[j]; list[j] = list[j - 1]; list[j - 1] = t
                }
            return n % 2 ? list[(n + 1) / 2] : (list[n / 2] + list[n / 2 + 1]) / 2
        }
        function put(what, value) { figure[what, $1, ++count[what, $1]] = value }
        !($1 in seen) { seen[$1] = 1; order[++counts] = $1 }
        $2 == "fit" {
            put("fit", $3); put("fit cpu", $4 + $5); put("fit memory", $6 / 1024); put("readings", $7)
            put("pass", $8); put("one", $9); put("all ratio", $3 / $8); put("one ratio", $9 / $8)
            next
        }
        { put($2, $3); put($2 " cpu", $4); put($2 " memory", $5) }
        END {
            for (i = 1; i <= counts; i++) {
                c = order[i]
                for (r = 1; r <= count["copy", c]; r++)
                    figure["ratio", c, ++count["ratio", c]] = figure["haunch", c, r] / figure["copy", c, r]
            }
            print "| sewers | rounds | copy of 3 tables s | read, graded, joined, moved s | ratio | copy cpu s | haunch cpu s | peak MiB |"
            print "|---:|---:|---:|---:|---:|---:|---:|---:|"
            for (i = 1; i <= counts; i++) {
                c = order[i]
                printf "| %d | %d | %.2f | %.2f | %.2f | %.2f | %.2f | %.0f |\n", c, count["copy", c],
                    median("copy", c), median("haunch", c), median("ratio", c), median("copy cpu", c),
                    median("haunch cpu", c), median("haunch memory", c)
            }
            print "\n| sewers | readings | plain pass s | one fit of them s | ratio | whole haunch fit s | ratio | cpu s | peak MiB |"
            print "|---:|---:|---:|---:|---:|---:|---:|---:|---:|"
            for (i = 1; i <= counts; i++) {
                c = order[i]
                printf "| %d | %d | %.2f | %.2f | %.1f | %.2f | %.1f | %.2f | %.0f |\n", c, median("readings", c),
                    median("pass", c), median("one", c), median("one ratio", c), median("fit", c),
                    median("all ratio", c), median("fit cpu", c), median("fit memory", c)
            }
            print "\nhaunch with --threads " threads "; medians, ratios within a round; 1.3 inspections and 10 observations a sewer."
        }' "$surveys"
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
    if [ "$only" != survey ]; then one_count "$count"; fi
    if [ "$only" != job ] && [ "$count" -lt 5000000 ]; then one_survey "$count"; fi
done
machine
if [ -s "$figures" ]; then
    echo
    table
fi
if [ -s "$surveys" ]; then
    echo
    survey_table
fi
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

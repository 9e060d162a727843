#!/usr/bin/env bash
# Every command of the logbook as a whole process, on a workshop of 5 000 prints with
# 20 000 readings, for docs/performance.md: the median of the runs by the clock, and
# of the processor's time. Prints a table. usage: logbook.sh [RUNS]; default 9
set -euo pipefail
cd "$(dirname "$0")/../.."
runs=${1:-9}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
feint=$work/feint
CGO_ENABLED=0 go build -o "$feint" ./cmd/feint
mkdir "$work/shop" "$work/empty"
LOGBOOK_TEST_ROLE=large LOGBOOK_TEST_DIR=$work/shop go test -count=1 ./internal/logbook >/dev/null
cat >"$work/shop/tower.star" <<'STAR'
gap = param("gap", 0.2, min = 0.05, max = 0.6, unit = "mm")
frame = part("frame", frame = True, solid = block((-12, 12), (-12, 12), (0, 60)) - block((-8, 8), (-8, 8), (-1, 61)))
gallery = part("gallery", solid = block((-8 + gap, 8 - gap), (-8 + gap, 8 - gap), (0, 60)), travels = [slide(z, 0, 90)])
start({})
goal("gallery out", {gallery.slide: (85, None)})
STAR
cd "$work/shop"
export XDG_CONFIG_HOME=$work/config
"$feint" log tower.star "95 min, 41 g, on Kestrel" >/dev/null # makes the logbook the user's
"$feint" log add fault revision=1 place="ring 3" what="binds at gallery" >/dev/null

printf '[[setting]]\nname = "red"\nprinter = "Kestrel"\nspool = "red"\n' >printers.toml

TIMEFORMAT='%R %U %S'
before=: # what is done before every run, untimed
# timed WHAT COMMAND...
timed() {
	local what=$1 i
	shift
	$before
	"$@" >/dev/null 2>"$work/err" || { cat "$work/err"; exit 1; }
	for ((i = 0; i < runs; i++)); do
		$before
		{ time "$@" >/dev/null 2>&1; } 2>>"$work/times"
	done
	awk '{ print $1, $2 + $3 }' "$work/times" | sort -n | awk -v what="$what" '
		{ wall[NR] = $1; cpu[NR] = $2 }
		END { n = asort_cpu(cpu, NR); printf "| %s | %d | %d |\n", what, 1000 * wall[int((NR + 1) / 2)], 1000 * cpu[int((NR + 1) / 2)] }
		function asort_cpu(a, n, i, j, t) { for (i = 2; i <= n; i++) for (j = i; j > 1 && a[j] < a[j-1]; j--) { t = a[j]; a[j] = a[j-1]; a[j-1] = t } return n }'
	rm "$work/times"
}

echo "| command | ms by the clock | ms of processors |"
echo "|---|---|---|"
timed "feint version (nothing but the start)" "$feint" version
timed "feint log" "$feint" log
timed "feint log tower.star 95 min, bore 12 = 11.86" "$feint" log tower.star "95 min, 41 g, binds at gallery, bore 12 = 11.86 +-0.02"
timed "feint log tower.star 0.15 tight" "$feint" log tower.star "0.15 tight"
timed "feint log undo" "$feint" log undo
timed "feint log add spool" sh -c "exec $feint log add spool \"s\$\$\""
timed "feint log edit trial" sh -c "exec $feint log edit trial 7 minutes=\$\$"
timed "feint log drop reading" sh -c "$feint log drop reading \$(( \$\$ % 19000 + 1 )) || true"
timed "feint log stand" "$feint" log stand 5 bind by 0.03
timed "feint log show trial" "$feint" log show trial 2500
timed "feint log list trials" "$feint" log list trials
timed "feint log list trials --last 0" "$feint" log list trials --last 0
timed "feint log list readings --last 0" "$feint" log list readings --last 0
timed "feint log list readings --csv" "$feint" log list readings --csv
timed "feint log list history --csv" "$feint" log list history --csv
timed "feint log history" "$feint" log history
timed "feint log history --last 0" "$feint" log history --last 0
timed "feint log readings" "$feint" log readings - --printer Kestrel
timed "feint log pace" "$feint" log pace --printer Kestrel
timed "feint log examine" "$feint" log examine
timed "feint log export" "$feint" log export "$work/out.jsonl"
timed "feint log import" sh -c "d=\$(mktemp -d $work/empty/XXXXXX); exec $feint log import $work/out.jsonl \$d"
# into a logbook with records of its own, and back again: always the newest deed that stands
mkdir "$work/other"
cp tower.star "$work/other/house.star"
(cd "$work/other" && "$feint" log start . && "$feint" log house.star "12 min") >/dev/null
cp "$work/other/logbook.sqlite" "$work/before.sqlite"
before="cp $work/before.sqlite $work/other/logbook.sqlite"
timed "feint log import into one with records" "$feint" log import "$work/out.jsonl" "$work/other"
before=:
timed "feint log import of what is there" "$feint" log import "$work/out.jsonl" "$work/other"
cp "$work/other/logbook.sqlite" "$work/after.sqlite"
before="cp $work/after.sqlite $work/other/logbook.sqlite"
timed "feint log undo of that import" "$feint" log --logbook "$work/other" undo
before=:
timed "feint revisions tower" "$feint" revisions tower
timed "feint revisions tower 3 30" "$feint" revisions tower 3 30
timed "feint printer" "$feint" printer
runs=3
timed "feint printer learn (1 700 prints, 6 800 readings)" "$feint" printer learn red

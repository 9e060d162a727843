#!/usr/bin/env bash
# Cost against the number of rings, for docs/performance.md: a rod through 2 to 10
# turning rings, given as tables, by feint, by listing configurations (2 to 5) and
# by OMPL's RRTConnect, one after the other in one run. Prints the table, times as
# ratios to feint's. Needs Debian's g++, libompl-dev, libeigen3-dev, pkg-config.
# usage: rings.sh [SECONDS [RUNS]]   for every run of the planner; default 30 and 3
set -euo pipefail
cd "$(dirname "$0")/../.."
seconds=${1:-30}
runs=${2:-3}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

read -r -a flags <<<"$(pkg-config --cflags ompl eigen3)"
g++ -std=c++17 -O2 testdata/reference/ompl/planner.cpp -o "$work/planner" "${flags[@]}" -lompl
FEINT_MAPS=$work go test -count=1 -run '^TestWriteColumns$' ./internal/motion >/dev/null
go test -count=1 -run '^$' -bench '^BenchmarkTurningRings$' -benchtime 2x ./internal/motion >"$work/bench.txt"

echo "| rings | configurations | moves | nodes made | feint | listing, times that | RRTConnect, times that (runs that found a way) |"
echo "|---|---|---|---|---|---|---|"
for n in 2 3 4 5 6 7 8 9 10; do
	"$work/planner" "$work/$n.txt" "$seconds" "$runs" >"$work/planned.txt"
	LC_ALL=C awk -v n="$n" -v seconds="$seconds" '
		function value(unit, i) { for (i = 3; i < NF; i++) if ($(i + 1) == unit) return $i }
		/^Benchmark/ { split($1, name, /[\/-]/) }
		/^Benchmark/ && name[3] == n && name[2] == "diagrams" { own = value("ns/op") / 1e9; moves = value("moves"); nodes = value("nodes"); cells = value("cells") }
		/^Benchmark/ && name[3] == n && name[2] == "listed" { listed = value("ns/op") / 1e9 }
		/^run.*a way of/ { found++; took += $(NF - 1) }
		/^run/ { tried++ }
		END {
			list = listed ? sprintf("%.3g", listed / own) : "not tried"
			plan = found ? sprintf("%.3g", took / found / own) : sprintf("over %.3g", seconds / own)
			printf "| %d | %.3g | %d | %d | %.3g s | %s | %s (%d of %d) |\n", n, cells, moves, nodes, own, list, plan, found, tried
		}' "$work/bench.txt" "$work/planned.txt"
done

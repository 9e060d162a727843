#!/usr/bin/env bash
# The map of the conforming pair by libfcl and by feint, in one run, for
# docs/performance.md. Needs Debian's g++ and libfcl-dev. libfcl is asked for every
# 301st exact distance and every 7th yes or no, one thread; feint for all that a
# fit window asks, certified, on all processors.
set -euo pipefail
cd "$(dirname "$0")/../.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

ROD_SLEEVE_DIR="$work" go test -count=1 -run '^TestRodSleeveFiles$' ./internal/clearance >/dev/null
read -r -a flags <<<"$(pkg-config --cflags --libs fcl eigen3)"
g++ -std=c++14 -O2 testdata/reference/fcl/chart.cpp -o "$work/chart" "${flags[@]}" -lccd
"$work/chart" "$work/rod.stl" "$work/sleeve.stl" -20 40 "${1:-301}" "${2:-7}"
go test -count=1 -run '^$' -bench '^BenchmarkRodSleeve$' -benchtime 1x ./internal/clearance | grep '^Benchmark'

#!/usr/bin/env bash
# Runs OMPL's RRTConnect on yes/no tables, for docs/performance.md; the format
# is in testdata/reference/ompl/SOURCE.md. Needs Debian's g++, libompl-dev,
# libeigen3-dev, pkg-config.
# usage: ompl.sh MAPS SECONDS RUNS [STEP]
set -euo pipefail
source=$(cd "$(dirname "$0")/../.." && pwd)/testdata/reference/ompl/planner.cpp
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
read -r -a flags <<<"$(pkg-config --cflags ompl eigen3)"
g++ -std=c++17 -O2 "$source" -o "$work/planner" "${flags[@]}" -lompl
"$work/planner" "$@"

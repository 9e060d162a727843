#!/usr/bin/env bash
# Times libfcl on a pair of STL files, for docs/performance.md. Without arguments
# it takes two parts of testdata/parts/latch-rod.
# usage: fcl-speed.sh [MOVING.stl RESTING.stl [X Y Z]]
set -euo pipefail
cd "$(dirname "$0")/../.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

read -r -a flags <<<"$(pkg-config --cflags --libs fcl eigen3)"
g++ -std=c++14 -O2 testdata/reference/fcl/speed.cpp -o "$work/speed" "${flags[@]}" -lccd
if [ $# -eq 0 ]; then
	set -- testdata/parts/latch-rod/slider.stl testdata/parts/latch-rod/gate.stl
fi
"$work/speed" "$@"

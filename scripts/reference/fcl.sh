#!/usr/bin/env bash
# Compares testdata/reference/fcl/distances.json with what libfcl says today;
# with --update the file is written anew. Needs Debian's g++, libfcl-dev,
# libccd-dev, libeigen3-dev, pkg-config.
set -euo pipefail
cd "$(dirname "$0")/../.."
here=testdata/reference/fcl
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

read -r -a flags <<<"$(pkg-config --cflags --libs fcl eigen3)"
g++ -std=c++14 -O2 $here/distances.cpp -o "$work/distances" "${flags[@]}" -lccd
"$work/distances" testdata/parts/latch-rod >"$work/distances.json"
if [ "${1-}" = --update ]; then
	cp "$work/distances.json" $here/distances.json
fi
cmp $here/distances.json "$work/distances.json"
echo "distances: libfcl gives $here/distances.json bit for bit"

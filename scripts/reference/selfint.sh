#!/bin/bash
# Has CGAL look for open edges, flat triangles and self-intersections in meshes
# that the exact arrangement made, and compares with
# testdata/reference/selfint/expected.txt. Needs Go and, from Debian, g++ and
# libcgal-dev. With --update the expected file is written anew.
set -euo pipefail
cd "$(dirname "$0")/../.."
here=testdata/reference/selfint
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

FEINT_OFF="$work" go test -count=1 -run '^TestWriteReference$' ./internal/mesh
g++ -std=c++17 -O2 -DNDEBUG $here/check.cpp -lgmp -lmpfr -o "$work/check"
(cd "$work" && find . -name '*.off' -print0 | LC_ALL=C sort -z | xargs -0 ./check) >"$work/result.txt"
if [ "${1-}" = --update ]; then
	cp "$work/result.txt" $here/expected.txt
fi
diff -u $here/expected.txt "$work/result.txt"
if grep -v '^wrong' "$work/result.txt" | grep -vE 'bad edges 0, flat 0, closed yes, crossing 0, touching [0-9]+, outward yes'; then
	echo "CGAL finds fault with these" >&2
	exit 1
fi
echo "self-intersection: CGAL agrees with $here/expected.txt"

#!/usr/bin/env bash
# Tilts loose bars again in the rigid-body simulation of Bullet and compares with
# testdata/reference/tilt/tilt.txt; with --update the file is written anew. Needs
# Debian's libbullet-dev and g++.
set -euo pipefail
cd "$(dirname "$0")/../.."
here=testdata/reference/tilt
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
g++ -O2 -I/usr/include/bullet $here/tilt.cpp -o "$work/tilt" -lBulletDynamics -lBulletCollision -lLinearMath
"$work/tilt" >"$work/tilt.txt"
if [ "${1-}" = --update ]; then
	cp "$work/tilt.txt" $here/tilt.txt
fi
# another processor may round otherwise: two steps of a quarter degree
paste -d ' ' $here/tilt.txt "$work/tilt.txt" | awk '
	{ d = $3 - $6; if (d < 0) d = -d; if (d > 0.5 || NF != 6) { print "differs: " $0; bad = 1 } n++ }
	END { if (n != 4) bad = 1; exit bad }'
echo "tilt: Bullet gives $here/tilt.txt"

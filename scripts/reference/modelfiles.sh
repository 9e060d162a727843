#!/bin/bash
# Has other programs read the model files that feint writes, and compares what
# they say with testdata/reference/modelfiles/expected.txt. Needs Go and, from
# Debian, g++ lib3mf-dev admesh assimp-utils; from npm, gltf-validator (pinned).
# With --update the expected file is written anew.
set -euo pipefail
cd "$(dirname "$0")/../.."
here=testdata/reference/modelfiles
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

go run $here/make.go testdata/parts/latch-rod "$work/out"
g++ -std=c++14 -O1 -I/usr/include/lib3mf $here/lib3mf.cpp -l3MF -o "$work/lib3mf"
cp $here/package.json $here/package-lock.json $here/gltf.js "$work/"
(cd "$work" && npm ci --silent --no-audit --no-fund)

{
	echo "# lib3mf"
	find "$work/out" -name '*.3mf' | LC_ALL=C sort | xargs "$work/lib3mf" read
	echo "# admesh"
	find "$work/out" -name '*.stl' | LC_ALL=C sort | while read -r f; do
		# the volume is summed in single precision: four digits are sure
		admesh "$f" | LC_ALL=C awk -v f="${f#"$work/out/"}" '
			/Number of facets/ { n = $5 } /Total disconnected facets/ { d = $4 } /Degenerate facets/ { g = $4 }
			/Edges fixed/ { e = $4 } /Facets added/ { a = $4 } /Facets reversed/ { r = $4 }
			/Number of parts/ { p = $5; v = $8 }
			END { printf "%s: %d facets, %d disconnected, %d degenerate, %d edges fixed, %d added, %d reversed, %d parts, volume %.4g\n", f, n, d, g, e, a, r, p, v }'
	done
	echo "# gltf-validator"
	(cd "$work" && node gltf.js out/*.glb)
	echo "# assimp"
	for f in "$work"/out/*.glb "$work"/out/*.3mf; do
		echo "$(basename "$f"):"
		assimp info "$f" | grep -E '^(Meshes: +[0-9]|Materials|Faces|Minimum point|Maximum point)' | sed 's/^/  /'
	done
} >"$work/result.txt"

if [ "${1-}" = --update ]; then
	cp "$work/result.txt" $here/expected.txt
fi
diff -u $here/expected.txt "$work/result.txt"
echo "model files: lib3mf, admesh, gltf-validator and assimp agree with $here/expected.txt"

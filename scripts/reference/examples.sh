#!/bin/bash
# Exports every example, cut open as well, and has other programs read what came
# out: lib3mf (strictly) every 3MF, admesh every STL, gltf-validator and assimp
# every GLB, CGAL every STL for open edges, flat triangles and triangles that
# cross. Of a part, lib3mf and admesh must count as many triangles and, to four
# digits, the same volume. Needs Go and, from Debian, g++ lib3mf-dev admesh
# assimp-utils libcgal-dev; from npm, gltf-validator (pinned).
set -euo pipefail
cd "$(dirname "$0")/../.."
models=testdata/reference/modelfiles
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

go build -o "$work/feint" ./cmd/feint
g++ -std=c++14 -O1 -I/usr/include/lib3mf $models/lib3mf.cpp -l3MF -o "$work/lib3mf"
g++ -std=c++17 -O2 -DNDEBUG testdata/reference/selfint/check.cpp -lgmp -lmpfr -o "$work/check"
cp $models/package.json $models/package-lock.json $models/gltf.js "$work/"
(cd "$work" && npm ci --silent --no-audit --no-fund)

# through the middle of the frame
plane() {
	case $1 in
	latch-rod*) echo y=14 ;;
	ferry*) echo z=12 ;;
	*) echo y=0 ;;
	esac
}

faults=0
# none PATTERN TEXT WHAT: a line of TEXT that is not as PATTERN wants is a fault
none() {
	local bad
	if bad=$(grep -vE "$1" <<<"$2"); then
		echo "$3:" >&2
		echo "$bad" >&2
		faults=$((faults + 1))
	fi
}

for design in examples/*/*.star; do
	name=$(basename "$design" .star)
	if grep -q "load(\"$name.star\"" "$(dirname "$design")"/*.star; then
		continue # a piece of others
	fi
	out=$work/out/$name
	echo "-- $name"
	"$work/feint" export "$design" --to "$out" --cut "$(plane "$name")" >"$work/export.txt" || {
		cat "$work/export.txt" >&2
		exit 1
	}

	find "$out" -name '*.3mf' -print0 | LC_ALL=C sort -z | xargs -0 "$work/lib3mf" read >"$work/3mf.txt"
	none 'strict reading, 0 warnings, unit millimeter' "$(grep 'strict reading' "$work/3mf.txt")" "lib3mf warns"
	none 'closed and oriented' "$(grep ' triangles, ' "$work/3mf.txt")" "lib3mf finds open meshes"

	(cd "$work" && node gltf.js "$out"/*.glb >"$work/glb.txt") || {
		cat "$work/glb.txt" >&2
		faults=$((faults + 1))
	}
	for f in "$out"/*.glb "$out"/*.3mf; do
		assimp info "$f" >"$work/assimp.txt" 2>&1 || {
			echo "assimp cannot read $f" >&2
			faults=$((faults + 1))
		}
	done

	find "$out" -name '*.stl' -print0 | LC_ALL=C sort -z | xargs -0 "$work/check" >"$work/cgal.txt"
	none 'bad edges 0, flat 0, closed yes, crossing 0, touching [0-9]+, outward yes' "$(cat "$work/cgal.txt")" "CGAL finds fault"

	for stl in "$out"/parts/*.stl; do
		part=$(basename "$stl" .stl)
		admesh "$stl" | LC_ALL=C awk '
			/Number of facets/ { n = $5 } /Total disconnected facets/ { d = $4 } /Degenerate facets/ { g = $4 }
			/Edges fixed/ { e = $4 } /Facets added/ { a = $4 } /Facets reversed/ { r = $4 } /Volume/ { v = $NF }
			END { printf "%d %.9g %d\n", n, v, d + g + e + a + r }' >"$work/stl.txt"
		LC_ALL=C "$work/lib3mf" read "${stl%.stl}.3mf" | LC_ALL=C awk '
			/ triangles, / { match($0, /[0-9]+ triangles/); n += substr($0, RSTART) + 0; match($0, /volume [-0-9.]+/); v += substr($0, RSTART + 7) + 0 }
			END { printf "%d %.9g\n", n, v }' >"$work/twin.txt"
		# admesh sums the volume in single precision: four digits are sure
		if ! paste -d' ' "$work/stl.txt" "$work/twin.txt" | awk '{ d = $2 - $5; exit !($1 == $4 && $3 == 0 && d * d <= (1e-4 * $5) ^ 2) }'; then
			echo "$part: admesh says $(<"$work/stl.txt") (triangles, volume, faults), lib3mf $(<"$work/twin.txt")" >&2
			faults=$((faults + 1))
		fi
	done
	echo "   $(grep -c 'strict reading' "$work/3mf.txt") 3MF, $(grep -c . "$work/cgal.txt") STL, $(grep -c meshes "$work/glb.txt") GLB read"
done
if [ $faults -gt 0 ]; then
	echo "$faults faults" >&2
	exit 1
fi

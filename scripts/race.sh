#!/usr/bin/env bash
# Runs the tests of the packages that use goroutines or locks with the race
# detector. It needs a C compiler; without one it says so and passes.
set -euo pipefail
cd "$(dirname "$0")/.."

cc=$(go env CC)
if ! command -v "${cc%% *}" >/dev/null; then
	echo "race detector: left out, there is no C compiler ($cc)"
	exit 0
fi

# what a package or its tests import tells whether there is anything to find
imports=$(go list -f '{{range .Imports}}{{$.ImportPath}} {{.}}{{"\n"}}{{end}}{{range .TestImports}}{{$.ImportPath}} {{.}}{{"\n"}}{{end}}{{range .XTestImports}}{{$.ImportPath}} {{.}}{{"\n"}}{{end}}' ./...)
mapfile -t packages < <(awk '$2 == "sync" || $2 == "sync/atomic" || $2 ~ /x\/sync\// { print $1 }' <<<"$imports" | sort -u)
if [ ${#packages[@]} -eq 0 ]; then
	echo "race detector: no package that uses goroutines was found, and there should be some" >&2
	exit 1
fi
echo "race detector: ${packages[*]}"
CGO_ENABLED=1 go test -timeout 40m -race -short "${packages[@]}"

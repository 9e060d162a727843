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
mapfile -t packages < <(go list -f '{{range .Imports}}{{$.ImportPath}} {{.}}{{"\n"}}{{end}}' ./... |
	awk '$2 == "sync" || $2 == "sync/atomic" || $2 ~ /x\/sync\// { print $1 }' | sort -u)
if [ ${#packages[@]} -eq 0 ]; then
	echo "race detector: no package uses goroutines"
	exit 0
fi
CGO_ENABLED=1 go test -timeout 40m -race -short "${packages[@]}"

#!/usr/bin/env bash
# Runs every fuzz target of the module on FUZZTIME inputs (default 8000x; 60s
# would be a minute). A failure leaves its input below testdata/fuzz: keep it,
# it is the next test. A number of inputs and not a time, because up to Go 1.26
# a run whose time is up can end as failed with "context deadline exceeded" and
# no input (https://go.dev/issue/75804).
set -euo pipefail
cd "$(dirname "$0")/.."

found=0
list=$(go list -f '{{if or .TestGoFiles .XTestGoFiles}}{{.ImportPath}}{{"\t"}}{{.Dir}}{{end}}' ./...)
while IFS=$'\t' read -r package dir; do
	# reading is quicker than building every test to ask it
	grep -qsE '^func Fuzz[A-Z0-9]' "$dir"/*_test.go || continue
	targets=$(go test -list "^Fuzz" "$package" </dev/null)
	for target in $(grep '^Fuzz' <<<"$targets"); do
		echo "fuzz $package $target"
		go test -run '^$' -fuzz "^$target\$" -fuzztime "${FUZZTIME:-8000x}" -fuzzminimizetime 100x "$package" </dev/null
		found=$((found + 1))
	done
done <<<"$list"
if [ $found -eq 0 ]; then
	echo "fuzz: no target was found, and there should be some" >&2
	exit 1
fi
echo "fuzz: $found targets"

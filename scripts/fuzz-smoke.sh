#!/usr/bin/env bash
# Runs every fuzz target of the module for FUZZTIME (default 3s). A failure
# leaves its input below testdata/fuzz: keep it, it is the next test.
set -euo pipefail
cd "$(dirname "$0")/.."

found=0
for package in $(go list -f '{{if or .TestGoFiles .XTestGoFiles}}{{.ImportPath}}{{"\t"}}{{.Dir}}{{end}}' ./... |
	while IFS=$'\t' read -r package dir; do
		if grep -qE '^func Fuzz[A-Z0-9]' "$dir"/*_test.go; then echo "$package"; fi
	done); do
	for target in $(go test -list '^Fuzz' "$package" | grep '^Fuzz'); do
		echo "fuzz $package $target"
		go test -run '^$' -fuzz "^$target\$" -fuzztime "${FUZZTIME:-3s}" "$package"
		found=$((found + 1))
	done
done
echo "fuzz: $found targets"

#!/usr/bin/env bash
# The page in a real Chromium: types checked, bundled, and the browser tests of
# internal/server. Where the tools cannot be had it says so and ends well: all that
# does not need a browser has been tested before.
set -euo pipefail
cd "$(dirname "$0")/.."
if ! scripts/web-tools.sh; then
	echo "== the page was NOT tested in a browser: see above" >&2
	exit 0
fi
(cd web && node_modules/.bin/tsc --noEmit)
go run ./internal/server/bundle
tests=$(grep -ho '^func Test[A-Za-z0-9]*' internal/server/browser_*test.go | sed 's/^func //')
go test -c -o bin/server.test ./internal/server
for t in $tests; do
	# a browser without a screen now and then loses its start on a busy machine: what
	# fails three times fails
	for try in 1 2 3; do
		if (cd internal/server && FEINT_BROWSER=1 timeout 540 ../../bin/server.test -test.run "^$t\$" -test.timeout 500s) >bin/browser.log 2>&1; then
			echo "$t: passed"
			break
		fi
		echo "$t: failed, attempt $try"
		if [ "$try" = 3 ]; then
			tail -60 bin/browser.log
			exit 1
		fi
	done
done

#!/usr/bin/env bash
# The page of feint bench for docs/performance.md, measured on the lighthouse in Chromium
# that draws by software: first picture and verdict after the program is started and its
# page opened, of a design proved before and of one never proved; a param's slider moved,
# until the new verdict is on the page; frames while a part is drawn and while the eye is
# turned; and the size of the bundle. Prints medians, with the least and the greatest, and
# the load of the machine. Where it may it gives program and browser alike the processors
# before other work. usage: page-speed.sh [RUNS]; default 9
set -euo pipefail
cd "$(dirname "$0")/.."
scripts/web-tools.sh
go run ./internal/server/bundle
go test -c -o bin/server.test ./internal/server
cd internal/server
first=()
if nice -n -19 true 2>/dev/null; then first=(nice -n -19); fi
FEINT_BROWSER=1 FEINT_MEASURE=${1:-9} "${first[@]}" ../../bin/server.test -test.v -test.timeout 30m -test.run '^TestMeasurePage$' | grep -v '^ok\|^PASS\|^===\|^---'

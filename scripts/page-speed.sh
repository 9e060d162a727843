#!/usr/bin/env bash
# The page of feint bench for docs/performance.md: the first picture of the lighthouse,
# proved before, after its page is opened; frames while a part is drawn and while the eye
# is turned, drawn by software in Chromium; and the size of the bundle. Prints medians,
# with the least and the greatest, and the load of the machine. Where it may it gives the
# browser's threads the processors before other work. usage: page-speed.sh [RUNS]; default 9
set -euo pipefail
cd "$(dirname "$0")/.."
scripts/web-tools.sh
go run ./internal/server/bundle
go test -c -o bin/server.test ./internal/server
cd internal/server
first=()
if chrt -r 50 true 2>/dev/null; then first=(chrt -r 50); fi
FEINT_BROWSER=1 FEINT_MEASURE=${1:-9} "${first[@]}" ../../bin/server.test -test.v -test.timeout 30m -test.run '^TestMeasurePage$' | grep -v '^ok\|^PASS\|^===\|^---'

#!/usr/bin/env bash
# The page of feint bench for docs/performance.md: the first picture of the lighthouse,
# proved before, after its page is opened; frames while a part is drawn and while the eye
# is turned, drawn by software in Chromium; and the size of the bundle. Prints medians,
# with the least and the greatest, and the load of the machine. usage: page-speed.sh [RUNS]; default 9
set -euo pipefail
cd "$(dirname "$0")/.."
scripts/web-tools.sh
go run ./internal/server/bundle
cd internal/server
FEINT_BROWSER=1 FEINT_MEASURE=${1:-9} go test -v -count=1 -timeout 30m -run '^TestMeasurePage$' . | grep -v '^ok\|^PASS\|^===\|^---'

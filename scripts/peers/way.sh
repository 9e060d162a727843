#!/usr/bin/env bash
# Finding a way over a design's own maps, cut to yes and no: by feint and by OMPL's
# RRTConnect, one after the other in one run, for docs/performance.md. Needs
# Debian's g++, libompl-dev, libeigen3-dev, pkg-config.
# usage: way.sh [DESIGN [SECONDS [RUNS]]]   default: the lighthouse, 60, 3
set -euo pipefail
cd "$(dirname "$0")/../.."
design=$(realpath "${1:-examples/lighthouse/lighthouse.star}")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

FEINT_DESIGN=$design FEINT_MAPS=$work/maps.txt go test -count=1 -timeout 60m -v -run '^TestWriteYesNo$' ./internal/pipeline | grep '^feint:'
scripts/peers/ompl.sh "$work/maps.txt" "${2:-60}" "${3:-3}"

#!/usr/bin/env bash
# Builds the sampling planner and has it solve the small maze drawn by hand.
set -euo pipefail
cd "$(dirname "$0")/../.."
result=$(scripts/peers/ompl.sh testdata/reference/ompl/maze.txt 10 3)
echo "$result"
grep -q '^3 of 3 runs' <<<"$result"

#!/usr/bin/env bash
# Builds the program for every system that it is for, without a C compiler.
set -euo pipefail
cd "$(dirname "$0")/.."

for target in linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64; do
	export GOOS=${target%/*} GOARCH=${target#*/} CGO_ENABLED=0
	suffix=
	[ "$GOOS" = windows ] && suffix=.exe
	go build -trimpath -o "dist/feint-$GOOS-$GOARCH$suffix" ./cmd/feint
	echo "built dist/feint-$GOOS-$GOARCH$suffix"
done

#!/usr/bin/env bash
# Puts the pinned linters into bin/: links those of the right version that are
# already installed, and otherwise builds them through the Go module proxy.
set -euo pipefail
cd "$(dirname "$0")/.."
mkdir -p bin

# tool NAME VERSION PACKAGE
tool() {
	local name=$1 version=$2 package=$3 at
	for at in "bin/$name" "$(go env GOPATH)/bin/$name" "$(command -v "$name" || true)"; do
		if [ -x "$at" ] && "$at" --version 2>/dev/null | grep -qwF "$version"; then
			[ "$at" = "bin/$name" ] || ln -sf "$at" "bin/$name"
			return
		fi
	done
	echo "installing $name $version"
	rm -f "bin/$name"
	GOBIN=$PWD/bin GOFLAGS= go install "$package@v${version#v}"
}

tool golangci-lint 2.15.0 github.com/golangci/golangci-lint/v2/cmd/golangci-lint
tool gofumpt v0.12.0 mvdan.cc/gofumpt

#!/usr/bin/env bash
# What the page and its tests need besides Go: Node.js with npm, Chromium, and the
# packages of web/package-lock.json. Installs Debian's where they are missing and this
# user may. Ends with 1 and says why where something cannot be had.
set -euo pipefail
cd "$(dirname "$0")/.."

missing=()
command -v npm >/dev/null || missing+=(nodejs npm)
command -v chromium >/dev/null || command -v chromium-browser >/dev/null || command -v google-chrome >/dev/null || missing+=(chromium)
if ((${#missing[@]})); then
	as=()
	if [ "$(id -u)" -ne 0 ]; then
		as=(sudo -n)
		if ! sudo -n true 2>/dev/null; then
			echo "web-tools: missing: ${missing[*]}; install them as root: apt-get install ${missing[*]}" >&2
			exit 1
		fi
	fi
	if ! command -v apt-get >/dev/null; then
		echo "web-tools: missing: ${missing[*]}; install them with this system's package manager" >&2
		exit 1
	fi
	if ! { "${as[@]}" apt-get update -q && "${as[@]}" env DEBIAN_FRONTEND=noninteractive timeout 600 apt-get install -q -y --no-install-recommends "${missing[@]}"; } >&2; then
		echo "web-tools: could not install ${missing[*]}" >&2
		exit 1
	fi
fi

# npm ci only where the lock file is newer than what was installed from it
stamp=web/node_modules/.from-lock
if ! cmp -s web/package-lock.json "$stamp"; then
	if ! (cd web && timeout 300 npm ci --no-audit --no-fund >&2); then
		echo "web-tools: npm ci failed in web/" >&2
		exit 1
	fi
	cp web/package-lock.json "$stamp"
fi

#!/usr/bin/env bash
# Runs every script of scripts/reference: each compares feint, or values kept
# under testdata/reference, with a program that is not ours. With --install the
# Debian packages that they need are installed first; with --update the values
# kept are written anew.
set -euo pipefail
cd "$(dirname "$0")/.."

packages=(g++ pkg-config libeigen3-dev libfcl-dev libompl-dev libccd-dev
	lib3mf-dev admesh assimp-utils libcgal-dev npm freefem++)
update=
for arg in "$@"; do
	case $arg in
	--install) apt-get install -y --no-install-recommends "${packages[@]}" ;;
	--update) update=--update ;;
	*)
		echo "usage: $0 [--install] [--update]" >&2
		exit 2
		;;
	esac
done
if ! command -v dpkg >/dev/null; then
	echo "the reference programs come from Debian; run this on Debian 12 or in a container of it" >&2
	exit 1
fi
missing=()
for package in "${packages[@]}"; do
	dpkg -s "$package" >/dev/null 2>&1 || missing+=("$package")
done
if [ ${#missing[@]} -gt 0 ]; then
	echo "missing: ${missing[*]}; run scripts/reference.sh --install as root" >&2
	exit 1
fi
for script in scripts/reference/*.sh; do
	echo "== $script"
	bash "$script" $update
done

#!/usr/bin/env bash
# Runs every script of scripts/reference: each compares feint, or values kept
# under testdata/reference, with a program that is not ours. With --install the
# Debian packages that are missing are installed first; with --update the values
# kept are written anew. Names of scripts ("fcl selfint") run only those. All are
# run even if one fails; the last line tells which did.
set -euo pipefail
cd "$(dirname "$0")/.."

packages=(g++ pkg-config libeigen3-dev libfcl-dev libompl-dev libccd-dev
	lib3mf-dev admesh assimp-utils libcgal-dev npm freefem++ libbullet-dev)
install=
update=
scripts=()
for arg in "$@"; do
	case $arg in
	--install) install=yes ;;
	--update) update=--update ;;
	*)
		if [ ! -f "scripts/reference/$arg.sh" ]; then
			echo "usage: $0 [--install] [--update] [NAME...]" >&2
			exit 2
		fi
		scripts+=("scripts/reference/$arg.sh")
		;;
	esac
done
if ! command -v dpkg >/dev/null; then
	echo "the reference programs come from Debian; run this on Debian 12 or in a container of it" >&2
	exit 1
fi

# npm and the compiler may well have come another way than by a package
there() {
	case $1 in
	npm) command -v npm >/dev/null && command -v node >/dev/null ;;
	g++ | pkg-config) command -v "$1" >/dev/null ;;
	*) dpkg-query -W -f '${db:Status-Status}\n' "$1" 2>/dev/null | grep -qx installed ;;
	esac
}
missing=()
for package in "${packages[@]}"; do
	there "$package" || missing+=("$package")
done
if [ ${#missing[@]} -gt 0 ] && [ -n "$install" ]; then
	apt-get install -y --no-install-recommends "${missing[@]}"
	missing=()
fi
if [ ${#missing[@]} -gt 0 ]; then
	echo "missing: ${missing[*]}; run scripts/reference.sh --install as root" >&2
	exit 1
fi

[ ${#scripts[@]} -gt 0 ] || scripts=(scripts/reference/*.sh)
failed=()
for script in "${scripts[@]}"; do
	echo "== $script"
	bash "$script" $update || failed+=("$script")
done
if [ ${#failed[@]} -gt 0 ]; then
	echo "failed: ${failed[*]}" >&2
	exit 1
fi

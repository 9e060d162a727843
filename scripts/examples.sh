#!/usr/bin/env bash
# Proves every example: the design that has the name of its folder must work.
# Earlier revisions beside it are told, whatever their verdict.
set -euo pipefail
cd "$(dirname "$0")/.."

failed=0
for folder in examples/*/; do
	name=$(basename "$folder")
	echo "== $name"
	bin/feint prove "$folder$name.star" || failed=1
	for revision in "$folder$name"-[0-9]*.star; do
		[ -e "$revision" ] || continue
		echo "== $(basename "$revision" .star)"
		status=0
		bin/feint prove "$revision" || status=$?
		if [ $status -gt 1 ]; then failed=1; fi
	done
done
exit $failed

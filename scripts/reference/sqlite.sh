#!/usr/bin/env bash
# A logbook, read and changed by a program that is not ours: Debian's sqlite3
# (SQLite 3.40.1 in Debian 12, built from C by the authors of SQLite; the logbook
# is written by a translation of it to Go). Checks that
#   - SQLite's own checks of the file and of its references pass, before and after
#     a writer is killed in the middle of its work;
#   - what feint exports is what sqlite3 reads: every number to the last bit;
#   - a change made with sqlite3 is kept in the history like any other.
set -euo pipefail
cd "$(dirname "$0")/../.."
command -v sqlite3 >/dev/null || { echo "sqlite3 is missing" >&2; exit 1; }
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
go build -o "$work/feint" ./cmd/feint
export XDG_CONFIG_HOME=$work/config
cd "$work"
db=logbook.sqlite
fail() {
	echo "sqlite: $1" >&2
	exit 1
}
sound() {
	[ "$(sqlite3 "$db" 'pragma integrity_check')" = ok ] || fail "$1: the file is damaged"
	[ -z "$(sqlite3 "$db" 'pragma foreign_key_check')" ] || fail "$1: a row names another that is not there"
}

./feint new hut >/dev/null
./feint log start >/dev/null
./feint log add printer Kestrel >/dev/null
./feint log hut on Kestrel, 95 min, 41.3 g, 0.15 tight, bore 12 = 11.86 +-0.02 >/dev/null
sound "after a print"
[ "$(sqlite3 "$db" 'pragma journal_mode')" = wal ] || fail "the journal is no write-ahead log"

# every real number of the table, as sqlite3 prints it with 17 digits, against the export
./feint log edit trial 1 grams=0.30000000000000004 >/dev/null
./feint log export out.jsonl
[ "$(sqlite3 "$db" "select printf('%!.17g', grams) from trials")" = 0.30000000000000004 ] || fail "a number lost digits in the file"
grep -q '"grams":0.30000000000000004' out.jsonl || fail "a number lost digits in the export"
[ "$(sqlite3 "$db" "select json_extract(before, '\$.grams') from history where act = 'changed'")" = 41.3 ] || fail "the history does not tell the weight before"

# the line counts of the export against counts by sqlite3
for table in trials readings deeds history printers revisions; do
	[ "$(grep -c "^{\"table\":\"$table\"" out.jsonl)" = "$(sqlite3 "$db" "select count(*) from $table")" ] || fail "$table: the export has another number of rows"
done

# a change by sqlite3, which knows nothing of feint, is in the history and can be seen
sqlite3 "$db" "update trials set grams = 40.5"
./feint log show trial 1 | grep -q 'changed by another program' || fail "a change from outside left no trace"
sound "after a change from outside"

# a writer killed at some instant, again and again
for i in $(seq 1 20); do
	./feint log hut $((60 + i)) min, 40 g >/dev/null 2>&1 &
	pid=$!
	sleep "0.$(printf %03d $((i * 20)))"
	kill -9 $pid 2>/dev/null || true
	wait $pid 2>/dev/null || true
	sound "after kill $i"
done
echo "sqlite: $(sqlite3 --version | cut -d' ' -f1) finds nothing amiss; $(sqlite3 "$db" 'select count(*) from trials') trials"

// Package logbook remembers a workshop: its printers, nozzles, spools and
// profiles, the revisions of its designs and what was proved of them, every
// trial with its readings, photos and faults, who solved a box, and the standing
// checks that came of faults.
//
// A logbook is one SQLite file, FileName, in the workshop folder, with the photos
// in a folder beside it. It promises:
//
//   - One call of Book.Do is one transaction and one Deed: a process killed at any
//     instant leaves all of it or nothing of it (write-ahead log, synchronous FULL),
//     and a photo is there whole before the row that names it.
//   - Nothing is lost by changing or removing: what a row was before is kept in the
//     history, by the database itself, and a deed can be undone.
//   - Two processes may write at once; one waits for the other.
//   - A file of an older feint is copied before it is brought up to date, and one of
//     a newer feint is refused.
//   - Dump and Load are exact: what comes out again is the same, byte for byte.
//
// How to use it:
//
//	dir, ok := logbook.Find(folder)              // the folder itself or one above it
//	b, err := logbook.Open(ctx, dir, logbook.Options{Now: time.Now})
//	defer b.Close()
//	deed, err := b.Do(ctx, "log tower.star 95 min", func(tx *logbook.Tx) error {
//		return logbook.Add(tx, &logbook.Trial{Revision: r.ID, Minutes: &m})
//	})
//	trial, err := logbook.Get[logbook.Trial](ctx, b, id)
//	trials, err := logbook.All[logbook.Trial](ctx, b, "revision = ? ORDER BY id", r.ID)
//
// Get, All and the other queries take a Book or a Tx. Every record is a plain
// struct; 0 in an ID and nil in a pointer say "not given". Times keep the maker's
// offset from UTC. Lengths are millimetres, angles degrees.
//
// The package never runs a proof, never reads a design and never looks at the
// clock; the time is Options.Now. It is the only one that speaks to a database.
package logbook

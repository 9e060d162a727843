package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"

	"feint/internal/logbook"
)

// A logbook that came with a stranger's folder must not be written into by reading
// their design. So feint notes, in the user's own settings, every logbook that the
// user has begun or written into by a command of feint log; only into those does
// feint prove write by itself.

// ownMark is where that is noted for the logbook of the given name, "" if nowhere.
func ownMark(name string) string {
	base, err := os.UserConfigDir()
	if err != nil || name == "" || strings.Trim(name, "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567") != "" {
		return ""
	}
	return filepath.Join(base, "feint", "logbooks", name)
}

// markOwn notes that a logbook is the user's. Where it cannot be noted only the
// keeping of proofs is lost, which the user can still ask for.
func markOwn(ctx context.Context, b *logbook.Book) error {
	name, err := b.Name(ctx)
	if err != nil {
		return err
	}
	path := ownMark(name)
	if path == "" || exists(path) {
		return nil
	}
	if os.MkdirAll(filepath.Dir(path), 0o755) == nil { //nolint:gosec // a folder of the user's like any other
		_ = os.WriteFile(path, []byte(b.Dir()+"\n"), 0o600)
	}
	return nil
}

// isOwn tells whether a logbook was noted as the user's.
func isOwn(ctx context.Context, b *logbook.Book) bool {
	name, err := b.Name(ctx)
	path := ownMark(name)
	return err == nil && path != "" && exists(path)
}

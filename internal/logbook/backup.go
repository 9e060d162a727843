package logbook

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// backup copies the file as it is committed to BackupDir under a name that tells
// what it is; one that is there already is kept and the new one numbered.
func (b *Book) backup(ctx context.Context, what string) error {
	dir := filepath.Join(b.dir, BackupDir)
	if err := os.MkdirAll(dir, 0o755); err != nil { //nolint:gosec // a folder of the maker's like any other
		return err
	}
	tmp, err := os.MkdirTemp(dir, ".copy-*")
	if err != nil {
		return err
	}
	defer func() { _ = os.RemoveAll(tmp) }()
	copied := filepath.Join(tmp, FileName)
	if _, err := b.db.ExecContext(ctx, "VACUUM INTO ?", copied); err != nil {
		return err
	}
	if err := syncFile(copied); err != nil {
		return err
	}
	stamp := b.now().UTC().Format("20060102T150405Z")
	for i := 1; ; i++ {
		name := fmt.Sprintf("logbook-%s-%s.sqlite", what, stamp)
		if i > 1 {
			name = fmt.Sprintf("logbook-%s-%s-%d.sqlite", what, stamp, i)
		}
		target := filepath.Join(dir, name)
		if _, err := os.Lstat(target); errors.Is(err, fs.ErrNotExist) {
			if err := os.Rename(copied, target); err != nil {
				return err
			}
			return syncDir(dir)
		}
	}
}

// syncFile waits until a file is on the disk.
func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// syncDir waits until the names of a folder are on the disk, where the system can.
func syncDir(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	_ = d.Sync() // not every system or file system can; the rename itself is whole
	return d.Close()
}

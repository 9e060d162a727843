package cache

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"time"
)

// DefaultMax is the size to which a store is pruned, bytes.
const DefaultMax = 512 << 20

// Store is a folder of entries. A nil *Store finds nothing and keeps nothing.
type Store struct {
	dir string
	max int64
}

// Open makes or opens the store in dir, pruned to max bytes (0: DefaultMax).
func Open(dir string, max int64) (*Store, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("cache folder: %w", err)
	}
	if max <= 0 {
		max = DefaultMax
	}
	return &Store{dir: dir, max: max}, nil
}

// Key is the name under which the parts of an input are kept: the hash of all
// of them with their lengths, so that no two lists of parts share a key.
func Key(parts ...string) string {
	h := sha256.New()
	for _, p := range parts {
		fmt.Fprintf(h, "%d:", len(p))
		h.Write([]byte(p))
	}
	return hex.EncodeToString(h.Sum(nil))
}

func (s *Store) path(key string) string { return filepath.Join(s.dir, key[:2], key) }

// Get returns what was put under key, and whether it is there and whole.
func (s *Store) Get(key string) ([]byte, bool) {
	if s == nil || len(key) < 2 {
		return nil, false
	}
	b, err := os.ReadFile(s.path(key))
	if err != nil || len(b) < sha256.Size {
		return nil, false
	}
	body, sum := b[:len(b)-sha256.Size], b[len(b)-sha256.Size:]
	if got := sha256.Sum256(body); !bytes.Equal(got[:], sum) {
		return nil, false
	}
	// the time of last use is what Prune goes by; failing to note it is harmless.
	now := time.Now()
	_ = os.Chtimes(s.path(key), now, now)
	return body, true
}

// Put stores body under key. It writes beside the place and renames, so a
// reader sees the whole entry or none.
func (s *Store) Put(key string, body []byte) error {
	if s == nil {
		return nil
	}
	if len(key) < 2 {
		return fmt.Errorf("cache: key %q is too short", key)
	}
	dir := filepath.Dir(s.path(key))
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("cache: %w", err)
	}
	f, err := os.CreateTemp(dir, ".new-*")
	if err != nil {
		return fmt.Errorf("cache: %w", err)
	}
	sum := sha256.Sum256(body)
	_, err = f.Write(append(bytes.Clone(body), sum[:]...))
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Rename(f.Name(), s.path(key))
	}
	if err != nil {
		_ = os.Remove(f.Name())
		return fmt.Errorf("cache: %w", err)
	}
	return nil
}

// Prune removes the entries that were not used for longest until the store is
// within its size.
func (s *Store) Prune() error {
	if s == nil {
		return nil
	}
	type entry struct {
		path string
		size int64
		used time.Time
	}
	var all []entry
	total := int64(0)
	err := filepath.WalkDir(s.dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasPrefix(d.Name(), ".new-") {
			return nil //nolint:nilerr // a vanished entry is nothing to prune
		}
		if i, err := d.Info(); err == nil {
			all = append(all, entry{p, i.Size(), i.ModTime()})
			total += i.Size()
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("cache: %w", err)
	}
	sort.Slice(all, func(i, j int) bool { return all[i].used.Before(all[j].used) })
	for _, e := range all {
		if total <= s.max {
			break
		}
		if os.Remove(e.path) == nil {
			total -= e.size
		}
	}
	return nil
}

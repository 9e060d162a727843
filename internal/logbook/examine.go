package logbook

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// Examine looks for damage: in the database by SQLite's own checks, and in every
// photo by its content hash. It lists what it finds, worded, and changes nothing.
func (b *Book) Examine(ctx context.Context) (found []string, err error) {
	rows, err := b.query(ctx, "PRAGMA integrity_check")
	if err != nil {
		return nil, err
	}
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			return nil, errors.Join(err, rows.Close())
		}
		if s != "ok" {
			found = append(found, "the database: "+s)
		}
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return nil, err
	}
	var astray int
	if err := b.db.QueryRowContext(ctx, "SELECT count(*) FROM pragma_foreign_key_check").Scan(&astray); err != nil {
		return nil, err
	}
	if astray > 0 {
		found = append(found, fmt.Sprintf("%d rows name others that are not there", astray))
	}
	photos, err := All[Photo](ctx, b, "")
	for i := range photos {
		if s := b.examinePhoto(&photos[i]); s != "" {
			found = append(found, s)
		}
	}
	return found, err
}

func (b *Book) examinePhoto(p *Photo) string {
	raw, err := os.ReadFile(b.PhotoFile(p))
	switch sum := sha256.Sum256(raw); {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Sprintf("photo %d (%s): its file %s is missing; put it back from a copy", p.ID, p.Name, b.PhotoFile(p))
	case err != nil:
		return fmt.Sprintf("photo %d: %v", p.ID, err)
	case hex.EncodeToString(sum[:]) != p.SHA256:
		return fmt.Sprintf("photo %d (%s): its file %s is damaged; put it back from a copy", p.ID, p.Name, b.PhotoFile(p))
	default:
		return ""
	}
}

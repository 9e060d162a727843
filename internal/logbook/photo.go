package logbook

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"image"
	_ "image/gif"  // kinds of picture that are taken
	_ "image/jpeg" // as above
	_ "image/png"  // as above
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// The largest photo that is taken: what a phone makes, with a reserve, and little
// enough that a picture made to fill the memory cannot.
const (
	maxPhotoBytes  = 64 << 20
	maxPhotoPixels = 120_000_000
)

// ErrNoPicture is a file that is not a picture the logbook can keep.
var ErrNoPicture = errors.New("it is not a picture that the logbook keeps; those are JPEG, PNG and GIF")

// extensions by the names that the image package gives.
func extension(media string) string {
	switch media {
	case "image/jpeg":
		return ".jpg"
	case "image/png":
		return ".png"
	default:
		return ".gif"
	}
}

// KeepPhoto copies a picture into the photo folder under its content hash, makes a
// thumbnail, and adds p with what was found; p names the trial, fault or revision.
// The files are whole before the row is: a deed that fails leaves at most a
// picture that no row names.
func KeepPhoto(t *Tx, r io.Reader, p *Photo) error {
	raw, err := io.ReadAll(io.LimitReader(r, maxPhotoBytes+1))
	if err != nil {
		return fmt.Errorf("photo %s: %w", p.Name, err)
	}
	if len(raw) > maxPhotoBytes {
		return fmt.Errorf("photo %s: it is larger than %d MB", p.Name, maxPhotoBytes>>20)
	}
	if err := t.book.keepPhoto(raw, p); err != nil {
		return fmt.Errorf("photo %s: %w", p.Name, err)
	}
	return Add(t, p)
}

// keepPhoto writes the files and fills in what the picture tells of itself.
func (b *Book) keepPhoto(raw []byte, p *Photo) error {
	cfg, kind, err := image.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return ErrNoPicture
	}
	if cfg.Width < 1 || cfg.Height < 1 || cfg.Width > maxPhotoPixels/cfg.Height {
		return fmt.Errorf("%d by %d pixels are too many", cfg.Width, cfg.Height)
	}
	img, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		return fmt.Errorf("the picture is damaged: %w", err)
	}
	sum := sha256.Sum256(raw)
	turn := orientation(raw)
	p.SHA256, p.Media, p.Bytes = hex.EncodeToString(sum[:]), "image/"+kind, len(raw)
	p.Width, p.Height = cfg.Width, cfg.Height
	if turn >= 5 {
		p.Width, p.Height = p.Height, p.Width
	}
	thumb, err := thumbnail(img, turn)
	if err != nil {
		return err
	}
	if err := keepFile(b.PhotoFile(p), raw); err != nil {
		return err
	}
	return keepFile(b.ThumbFile(p), thumb)
}

// PhotoFile is where the bytes of a photo lie.
func (b *Book) PhotoFile(p *Photo) string {
	return filepath.Join(b.dir, PhotoDir, safeHash(p.SHA256)+extension(p.Media))
}

// ThumbFile is where its thumbnail lies, a JPEG.
func (b *Book) ThumbFile(p *Photo) string {
	return filepath.Join(b.dir, PhotoDir, safeHash(p.SHA256)+".thumb.jpg")
}

// safeHash keeps a row that another program wrote from naming a file elsewhere.
func safeHash(s string) string {
	if raw, err := hex.DecodeString(s); err != nil || len(raw) != sha256.Size {
		return "none"
	}
	return s
}

// keepFile writes a file named by its content, unless it is there: beside its
// place, onto the disk, and then under its name.
func keepFile(path string, body []byte) error {
	if old, err := os.ReadFile(path); err == nil && bytes.Equal(old, body) {
		return nil
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	dir := filepath.Dir(path)
	if err := os.MkdirAll(dir, 0o755); err != nil { //nolint:gosec // a folder of the maker's like any other
		return err
	}
	f, err := os.CreateTemp(dir, ".new-*")
	if err != nil {
		return err
	}
	_, err = f.Write(body)
	err = errors.Join(err, f.Chmod(0o644), f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return syncDir(dir)
}

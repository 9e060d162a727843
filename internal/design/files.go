package design

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// A design or a file that it loads is some hundred lines; a mesh of a printed
// part some tens of megabytes. Beyond these sizes a file is refused.
const (
	maxSourceBytes = 1 << 18
	maxMeshBytes   = 1 << 29
)

// folder is the folder of a design. Nothing outside it can be read: os.Root
// follows no "..", no absolute path and no symbolic link that leads out.
type folder struct {
	fsys  fs.FS
	abs   string // absolute path of the folder
	shown string // the folder as the maker wrote it, for messages
	read  map[string]string
	close func() error
}

// openFolder opens the folder of the design at name. The maker's own path may
// be a symbolic link; the folder is then the one it leads to.
func openFolder(name string, given fs.FS) (*folder, string, error) {
	shown, base := filepath.Dir(name), filepath.Base(name)
	if given != nil {
		return &folder{fsys: given, abs: "/", shown: shown, read: map[string]string{}, close: func() error { return nil }}, base, nil
	}
	real, err := filepath.EvalSymlinks(name)
	if err != nil {
		return nil, "", err
	}
	abs, err := filepath.Abs(real)
	if err != nil {
		return nil, "", err
	}
	root, err := os.OpenRoot(filepath.Dir(abs))
	if err != nil {
		return nil, "", err
	}
	f := &folder{fsys: root.FS(), abs: filepath.Dir(abs), shown: shown, read: map[string]string{}, close: root.Close}
	return f, filepath.Base(abs), nil
}

// errOutside is a name that does not stay within the folder of the design.
var errOutside = errors.New("only files in the folder of the design can be read")

// clean checks that name is a relative path that stays in the folder.
func (f *folder) clean(name string) (string, error) {
	n := path.Clean(name)
	if name == "" || strings.ContainsAny(name, "\\:\x00") || path.IsAbs(name) || !fs.ValidPath(n) || n == "." {
		return "", errOutside
	}
	return n, nil
}

// open opens a plain file of at most limit bytes.
func (f *folder) open(name string, limit int64) (fs.File, error) {
	n, err := f.clean(name)
	if err != nil {
		return nil, err
	}
	// A pipe or a device would block or never end, so look before opening.
	info, err := fs.Stat(f.fsys, n)
	switch {
	case err != nil && strings.Contains(err.Error(), "escapes"):
		return nil, errOutside
	case errors.Is(err, fs.ErrNotExist):
		return nil, errors.New("there is no such file")
	case err != nil:
		return nil, fmt.Errorf("it cannot be read: %w", err)
	case !info.Mode().IsRegular():
		return nil, errors.New("it is no plain file")
	case info.Size() > limit:
		return nil, fmt.Errorf("it has %d bytes, more than the %d that are read", info.Size(), limit)
	}
	return f.fsys.Open(n)
}

// source reads a design file.
func (f *folder) source(name string) ([]byte, error) {
	file, err := f.open(name, maxSourceBytes)
	if err != nil {
		return nil, err
	}
	defer func() { _ = file.Close() }() // only read
	data, err := io.ReadAll(io.LimitReader(file, maxSourceBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxSourceBytes {
		return nil, fmt.Errorf("it has more than the %d bytes that are read", maxSourceBytes)
	}
	sum := sha256.Sum256(data)
	f.read[path.Clean(name)] = hex.EncodeToString(sum[:])
	return data, nil
}

// digest is the SHA-256 of a file in hexadecimal, read once.
func (f *folder) digest(name string) (string, error) {
	if n, err := f.clean(name); err == nil && f.read[n] != "" {
		return f.read[n], nil
	}
	file, err := f.open(name, maxMeshBytes)
	if err != nil {
		return "", err
	}
	defer func() { _ = file.Close() }() // only read
	h := sha256.New()
	if _, err := io.Copy(h, io.LimitReader(file, maxMeshBytes)); err != nil {
		return "", err
	}
	sum := hex.EncodeToString(h.Sum(nil))
	f.read[path.Clean(name)] = sum
	return sum, nil
}

// path is the absolute path of a file of the folder.
func (f *folder) path(name string) string {
	return filepath.Join(f.abs, filepath.FromSlash(path.Clean(name)))
}

// show is the file as it is called in messages.
func (f *folder) show(name string) string {
	return filepath.Join(f.shown, filepath.FromSlash(path.Clean(name)))
}

// names are the files read so far, sorted.
func (f *folder) names() []string {
	ns := make([]string, 0, len(f.read))
	for n := range f.read {
		ns = append(ns, n)
	}
	slices.Sort(ns)
	return ns
}

// sources are the absolute paths of the files read so far, sorted.
func (f *folder) sources() []string {
	var s []string
	for _, n := range f.names() {
		s = append(s, f.path(n))
	}
	return s
}

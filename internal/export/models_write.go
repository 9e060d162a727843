package export

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"sort"
	"strings"

	"feint/internal/meshfile"
)

// Written tells what WriteModels did.
type Written struct {
	Files []string // paths below the folder, with forward slashes, in order of name
	Stale []string // files of an earlier export that this one did not write again
	Notes []string // what the cut-away left out
}

// WriteModels makes all model files and writes them below dir, all or none.
func WriteModels(dir string, models []Model, o ModelOptions) (*Written, error) {
	files, notes, err := ModelFiles(models, o)
	if err != nil {
		return nil, err
	}
	if err := WriteFiles(dir, files); err != nil {
		return nil, err
	}
	w := &Written{Notes: notes}
	for _, f := range files {
		w.Files = append(w.Files, f.Name)
	}
	sort.Strings(w.Files)
	w.Stale = stale(dir, w.Files)
	return w, nil
}

// WriteFiles writes model files below dir. Every file is written whole under
// another name before the first takes its own, so that a full disk or a stop
// leaves the old files as they were. A file in the way that was not written by
// an earlier export is an error, and then nothing is written.
func WriteFiles(dir string, files []Output) error {
	if err := checkNames(files); err != nil {
		return err
	}
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return fmt.Errorf("%s is a file, not a folder; export to another name", dir)
	}
	for _, f := range files {
		if err := replaceable(filepath.Join(dir, filepath.FromSlash(f.Name))); err != nil {
			return err
		}
	}
	temps := make([]string, 0, len(files))
	defer func() {
		for _, t := range temps {
			_ = os.Remove(t) // gone already where it was renamed
		}
	}()
	for _, f := range files {
		t, err := writeTemp(filepath.Join(dir, filepath.FromSlash(f.Name)), f.Data)
		if t != "" {
			temps = append(temps, t)
		}
		if err != nil {
			return err
		}
	}
	for i, f := range files {
		if err := os.Rename(temps[i], filepath.Join(dir, filepath.FromSlash(f.Name))); err != nil {
			return err
		}
	}
	return nil
}

func checkNames(files []Output) error {
	seen := map[string]bool{}
	for _, f := range files {
		if !filepath.IsLocal(filepath.FromSlash(f.Name)) {
			return fmt.Errorf("output name %q leads out of its folder", f.Name)
		}
		k := strings.ToLower(f.Name)
		if seen[k] {
			return fmt.Errorf("two outputs are named %q", f.Name)
		}
		seen[k] = true
	}
	return nil
}

// writeTemp writes data beside name and gives the path, also when it failed midway.
func writeTemp(name string, data []byte) (string, error) {
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return "", err
	}
	f, err := os.CreateTemp(filepath.Dir(name), ".feint-*.part")
	if err != nil {
		return "", err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Chmod(f.Name(), 0o644) // CreateTemp makes files that only their owner may read
	}
	return f.Name(), err
}

// replaceable tells whether nothing, or an earlier output, is at name.
func replaceable(name string) error {
	info, err := os.Lstat(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() || !isOurs(name) {
		return fmt.Errorf("%s is in the way and was not written by feint; move it, or export to another folder", name)
	}
	return nil
}

// isOurs looks for the mark that every model file of ours bears.
func isOurs(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".stl":
		return bytes.HasPrefix(headOf(name), []byte(ours+" "))
	case ".glb":
		head := headOf(name) // the generator stands in the first field
		return bytes.HasPrefix(head, []byte("glTF")) && bytes.Contains(head, []byte(`"generator":"`+ours))
	case ".3mf":
		data, err := os.ReadFile(name)
		if err != nil {
			return false
		}
		f, err := meshfile.Read(name, data, meshfile.Limits{})
		return err == nil && strings.HasPrefix(f.Metadata["Application"], ours)
	}
	return false
}

// headOf gives the first bytes of a file, nothing if it cannot be read.
func headOf(name string) []byte {
	f, err := os.Open(name)
	if err != nil {
		return nil
	}
	defer func() { _ = f.Close() }() // reading only
	head := make([]byte, 256)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil
	}
	return head[:n]
}

// stale lists model files of ours in the folders written to that are not among
// written: plates or parts that the mechanism no longer has.
func stale(dir string, written []string) []string {
	keep, dirs := map[string]bool{}, map[string]bool{"parts": true, "cutaway": true, ".": true}
	for _, n := range written {
		keep[n] = true
	}
	var old []string
	for d := range dirs {
		entries, err := os.ReadDir(filepath.Join(dir, d))
		if err != nil {
			continue // no such folder, so nothing stale in it
		}
		for _, e := range entries {
			n := path.Join(d, e.Name())
			if e.Type().IsRegular() && !keep[n] && isOurs(filepath.Join(dir, filepath.FromSlash(n))) {
				old = append(old, n)
			}
		}
	}
	sort.Strings(old)
	return old
}

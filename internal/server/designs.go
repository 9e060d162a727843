package server

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing/fstest"

	"feint/internal/design"
	"feint/internal/pipeline"
)

// writeNew opens a file that must not be there yet.
const writeNew = os.O_WRONLY | os.O_CREATE | os.O_EXCL

// suffix is how the name of a design ends.
const suffix = ".star"

// maxDesign is the largest design that is read or written, bytes: what a design
// may have (package design).
const maxDesign = 1 << 18

// designName checks the name of a design file: one in the workshop folder itself.
func designName(name string) error {
	if !strings.HasSuffix(name, suffix) || strings.ContainsAny(name, "/\\:\x00") || strings.HasPrefix(name, ".") || len(name) > 200 || !fs.ValidPath(name) {
		return bad("%q names no design; a design is a file in the workshop folder whose name ends in %s.", name, suffix)
	}
	return nil
}

// designs lists the design files of the workshop.
func (s *Server) designs() ([]string, error) {
	d, err := s.root.Open(".")
	if err != nil {
		return nil, err
	}
	defer func() { _ = d.Close() }() // only read
	es, err := d.ReadDir(-1)
	if err != nil {
		return nil, err
	}
	out := []string{}
	for _, e := range es {
		if !e.IsDir() && designName(e.Name()) == nil {
			out = append(out, e.Name())
		}
	}
	slices.Sort(out)
	return out, nil
}

// path is where a design lies, for the stages, which open its folder themselves.
func (s *Server) path(name string) string { return filepath.Join(s.cfg.Folder, name) }

func digest(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// read reads a file of the workshop.
func (s *Server) read(name string) ([]byte, error) {
	info, err := s.root.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, gone(fmt.Sprintf("There is no file %q in the workshop.", name))
	case err != nil:
		return nil, bad("%q cannot be read; it must lie in the workshop folder.", name)
	case !info.Mode().IsRegular():
		return nil, bad("%q is no plain file.", name)
	case info.Size() > maxDesign:
		return nil, bad("%q has more than the %d bytes that are read.", name, maxDesign)
	}
	f, err := s.root.Open(name)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }() // only read
	return io.ReadAll(io.LimitReader(f, maxDesign+1))
}

func (s *Server) readDesign(_ http.ResponseWriter, r *http.Request) (any, error) {
	name := r.PathValue("design")
	if err := designName(name); err != nil {
		return nil, err
	}
	b, err := s.read(name)
	if err != nil {
		return nil, err
	}
	return Text{Design: name, Text: string(b), SHA256: digest(b)}, nil
}

// saveDesign writes a design beside its place and renames it into place, so that
// it is there whole or not at all; a text that the one who saves has not seen is
// not overwritten.
func (s *Server) saveDesign(_ http.ResponseWriter, r *http.Request) (any, error) {
	name := r.PathValue("design")
	if err := designName(name); err != nil {
		return nil, err
	}
	var a Save
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	if len(a.Text) > maxDesign {
		return nil, &failure{http.StatusRequestEntityTooLarge, Trouble{Code: "large", Message: fmt.Sprintf("A design has at most %d bytes.", maxDesign)}}
	}
	s.saving.Lock()
	defer s.saving.Unlock()
	old, err := s.unchanged(name, a.SHA256)
	if err != nil {
		return nil, err
	}
	text := likeBefore(a.Text, old)
	if err := s.replace(name, text, a.SHA256); err != nil {
		return nil, err
	}
	return Text{Design: name, Text: string(text), SHA256: digest(text)}, nil
}

// unchanged reads a file and refuses if it is not the one with the hash.
func (s *Server) unchanged(name, sha string) ([]byte, error) {
	old, err := s.read(name)
	if err != nil {
		return nil, err
	}
	if digest(old) != sha {
		return nil, &failure{http.StatusConflict, Trouble{
			Code: "newer", Message: "The file was changed elsewhere since it was read here; nothing was written.",
			Text: string(old), SHA256: digest(old),
		}}
	}
	return old, nil
}

// likeBefore keeps the line ends of the file: an editor in a browser has only one kind.
func likeBefore(text string, old []byte) []byte {
	if bytes.Contains(old, []byte("\r\n")) && !strings.Contains(text, "\r\n") {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	return []byte(text)
}

// replace writes a file whole, with the mode of the one it replaces.
func (s *Server) replace(name string, text []byte, sha string) error {
	info, err := s.root.Stat(name)
	if err != nil {
		return err
	}
	tmp := "." + name + "." + random(6)
	f, err := s.root.OpenFile(tmp, writeNew, info.Mode().Perm())
	if err != nil {
		return fmt.Errorf("the design cannot be written: %w", err)
	}
	_, err = f.Write(text)
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		_, err = s.unchanged(name, sha) // once more, as late as can be
	}
	if err == nil {
		err = s.root.Rename(tmp, s.target(name))
	}
	if err != nil {
		return errors.Join(err, s.root.Remove(tmp))
	}
	return nil
}

// target is the file itself where the name is a link within the workshop.
func (s *Server) target(name string) string {
	if to, err := s.root.Readlink(name); err == nil && fs.ValidPath(to) {
		return to
	}
	return name
}

// checkDesign reads a text as the design file would be, without writing it.
func (s *Server) checkDesign(_ http.ResponseWriter, r *http.Request) (any, error) {
	name := r.PathValue("design")
	if err := designName(name); err != nil {
		return nil, err
	}
	var a TextOnly
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	_, err := design.Load(name, design.Options{FS: overlay{s.root.FS(), fstest.MapFS{name: {Data: []byte(a.Text), Mode: 0o444}}}})
	if err == nil {
		return Checked{Problems: []Problem{}}, nil
	}
	ps, ok := problems(err)
	if !ok {
		return nil, err
	}
	return Checked{Problems: s.shown(ps)}, nil
}

// overlay is a folder in which some files are replaced.
type overlay struct {
	under fs.FS
	over  fs.FS
}

// Open opens the file that replaces, or the one below.
func (o overlay) Open(name string) (fs.File, error) {
	if f, err := o.over.Open(name); err == nil {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			return f, nil
		}
		_ = f.Close()
	}
	return o.under.Open(name)
}

// shown strips the folder from the names of files: the page knows them as they
// are called in the workshop.
func (s *Server) shown(ps []Problem) []Problem {
	for i := range ps {
		if rel, err := filepath.Rel(s.cfg.Folder, ps[i].File); err == nil && !strings.HasPrefix(rel, "..") {
			ps[i].File = filepath.ToSlash(rel)
		}
	}
	return ps
}

// checkAsked refuses what cannot be proved and notes which text is meant.
func (s *Server) checkAsked(a *ProofAsked) error {
	if err := designName(a.Design); err != nil {
		return err
	}
	g := a.Growth
	if !(g.Lo <= 0 && g.Hi >= 0 && g.Lo >= -maxGrowth && g.Hi <= maxGrowth) {
		return bad("A growth range from %g to %g mm cannot be asked; 0 must lie within, and neither end beyond %g mm.", g.Lo, g.Hi, maxGrowth)
	}
	if len(a.Set) > 200 {
		return bad("%d params are more than can be set.", len(a.Set))
	}
	for _, k := range a.Set {
		if math.IsNaN(k.Value) || math.IsInf(k.Value, 0) || len(k.Name) > 200 {
			return bad("A param cannot be set to %g.", k.Value)
		}
	}
	b, err := s.read(a.Design)
	if err != nil {
		return err
	}
	a.sha = fmt.Sprint(digest(b), s.seen.Load())
	if len(a.On) > 200 {
		return bad("There is no printer of that name.")
	}
	if a.model, err = pipeline.NamedPrinter(s.cfg.Folder, a.On); err != nil {
		return bad("%v", err)
	}
	return nil
}

// printer tells all that a verdict for the printer asked about depends on.
func (a *ProofAsked) printer() string {
	raw, _ := json.Marshal(a.model) // plain values always marshal
	return string(raw)
}

// on is the name of the printer asked about, "" for none.
func (a *ProofAsked) on() string {
	if a.model == nil {
		return ""
	}
	return a.model.Name
}

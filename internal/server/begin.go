package server

import (
	"errors"
	"fmt"
	"io/fs"
	"net/http"

	"feint/internal/design"
)

// newDesign begins a design in the workshop: what feint new makes, in the folder itself,
// where the page looks for designs. What is there stays as it is.
func (s *Server) newDesign(_ http.ResponseWriter, r *http.Request) (any, error) {
	var a NewDesign
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	if err := design.CheckName(a.Name); err != nil {
		return nil, bad("%v.", err)
	}
	s.saving.Lock()
	defer s.saving.Unlock()
	files := design.Template(a.Name)
	for name := range files {
		if _, err := s.root.Lstat(name); !errors.Is(err, fs.ErrNotExist) {
			return nil, there(name)
		}
	}
	for name, text := range files {
		if err := s.create(name, []byte(text)); err != nil {
			return nil, err
		}
	}
	name := a.Name + suffix
	return Text{Design: name, Text: files[name], SHA256: digest([]byte(files[name]))}, nil
}

func there(name string) error {
	return &failure{http.StatusConflict, Trouble{Code: "there", Message: fmt.Sprintf("%s is in the folder already; nothing was written. Choose another name.", name)}}
}

// create writes a file that must not be there yet.
func (s *Server) create(name string, text []byte) error {
	f, err := s.root.OpenFile(name, writeNew, 0o644)
	switch {
	case errors.Is(err, fs.ErrExist):
		return there(name)
	case err != nil:
		return fmt.Errorf("the design cannot be written into the workshop folder: %w", err)
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(err, s.root.Remove(name))
	}
	return nil
}

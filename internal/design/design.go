package design

import (
	"errors"
	"io/fs"
	"path/filepath"
	"strings"

	"feint/internal/mechanism"
)

// The bounds on the work of one design, unless Options says otherwise. A design
// of a dozen parts takes some ten thousand steps; ten million end after about a
// second and can hold some hundred megabytes.
const (
	defaultMaxSteps = 10_000_000
	defaultMaxSize  = 1_000_000
)

// Options are the settings of Load; the zero value is ready for use.
type Options struct {
	Set      []Setting                             // values given to params from outside
	FS       fs.FS                                 // reads the folder of the design; nil reads the disk
	MaxSteps uint64                                // steps of the whole file; 0 means the default
	MaxSize  int                                   // letters or members of one value; 0 means the default
	Print    func(pos mechanism.Pos, words string) // what the design prints; nil drops it
}

// Load reads the design at path. The error, if any, is a *Problems, and then
// there is no mechanism.
func Load(path string, o Options) (*mechanism.Mechanism, error) {
	l := newLoader(path, o)
	dir, base, err := openFolder(path, o.FS)
	if err != nil {
		l.folder = &folder{}
		l.reportf(mechanism.Pos{File: path}, "check the path", "the design cannot be read: %s", plainError(err))
		return nil, l.failure()
	}
	defer func() { _ = dir.close() }() // only read
	l.folder = dir
	l.file = dir.show(base)
	l.runDesign(base)
	var m *mechanism.Mechanism
	if !l.hard {
		l.checkSettings()
		m = l.finish()
	}
	if err := l.failure(); err != nil {
		return nil, err
	}
	m.Name = strings.TrimSuffix(filepath.Base(base), ".star")
	m.Sources = dir.sources()
	m.SHA256 = l.digest(base)
	return m, nil
}

// ParamsOf lists the params of the design at path, and does so as far as it can
// for a design that has mistakes; the error is then that of Load.
func ParamsOf(path string, o Options) ([]mechanism.Param, error) {
	m, err := Load(path, o)
	if err == nil {
		return m.Params, nil
	}
	var ps *Problems
	if errors.As(err, &ps) {
		return ps.Params, err
	}
	return nil, err
}

// plainError strips the call and the path from a file error.
func plainError(err error) string {
	var pe *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.As(err, &pe):
		return pe.Err.Error()
	default:
		return err.Error()
	}
}

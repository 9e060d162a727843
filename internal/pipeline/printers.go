package pipeline

import (
	"errors"
	"math"
	"os"
	"path/filepath"

	"feint/internal/export"
	"feint/internal/printed"
)

// FindPrinters reads the settings of the workshop: printers.toml in dir or the nearest
// folder above it. Without one there are none, and file is empty.
func FindPrinters(dir string) (ms []*printed.Model, file string, err error) {
	at, err := filepath.Abs(dir)
	if err != nil {
		return nil, "", err
	}
	for {
		file = filepath.Join(at, printed.FileName)
		data, err := os.ReadFile(file)
		if err == nil {
			ms, err = printed.ReadSettings(file, data)
			return ms, file, err
		}
		if !errors.Is(err, os.ErrNotExist) {
			return nil, file, err
		}
		up := filepath.Dir(at)
		if up == at {
			return nil, "", nil
		}
		at = up
	}
}

// OnScale are the settings as the fit window shows them: the growth in plane with both
// its spreads, which are independent and so add by their squares.
func OnScale(ms []*printed.Model) []export.Printer {
	var out []export.Printer
	for _, m := range ms {
		a := m.Amounts[printed.InPlane]
		mean := a.Mean
		out = append(out, export.Printer{Name: m.Name, From: m.Source, Mean: &mean, Sigma: math.Hypot(a.Prints, a.Features)})
	}
	return out
}

package server

import (
	"archive/zip"
	"fmt"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"strings"

	"feint/internal/export"
	"feint/internal/pipeline"
)

// plate is the printer's plate unless another is known, mm.
func plate() export.Plate { return export.Plate{Width: 220, Depth: 220, Height: 250} }

// attachment names a download; what a header cannot carry is left out.
func attachment(name string) string {
	name = strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' || strings.ContainsRune(`"\/`, r) {
			return '_'
		}
		return r
	}, name)
	return fmt.Sprintf("attachment; filename=%q", name)
}

// files sends everything to print, built as `feint export` does.
func (s *Server) files(w http.ResponseWriter, r *http.Request) (any, error) {
	st, err := s.stage(r.PathValue("stage"))
	if err != nil {
		return nil, err
	}
	done, err := slot(r.Context(), s.deep)
	if err != nil {
		return nil, err
	}
	defer done()
	dir, err := os.MkdirTemp("", "feint-files-*")
	if err != nil {
		return nil, err
	}
	defer func() { _ = os.RemoveAll(dir) }()
	o := s.cfg.Options
	o.Version = s.cfg.Version
	for _, p := range st.view.Params {
		if p.Value != p.Default {
			o.Set = append(o.Set, settings([]ParamValue{{p.Name, p.Value}})...)
		}
	}
	to := filepath.Join(dir, "parts")
	out, err := pipeline.Export(r.Context(), s.path(st.view.Design), to, o, pipeline.ExportOptions{Plate: plate()})
	if err != nil {
		return nil, bad("%v", err)
	}
	base := strings.TrimSuffix(st.view.Design, suffix) + "-parts"
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", attachment(base+".zip"))
	z := zip.NewWriter(w)
	for _, name := range out.Files {
		raw, err := os.ReadFile(filepath.Join(to, filepath.FromSlash(name)))
		if err != nil {
			return nil, nil //nolint:nilerr // the answer has begun; an unfinished ZIP file is refused by what opens it
		}
		f, err := z.Create(path.Join(base, name))
		if err == nil {
			_, err = f.Write(raw)
		}
		if err != nil {
			return nil, nil //nolint:nilerr // as above
		}
	}
	_ = z.Close()
	return nil, nil
}

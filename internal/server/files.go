package server

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"mime"
	"net/http"
	"path"
	"sort"
	"strings"

	"feint/internal/export"
	"feint/internal/pipeline"
)

// ExportAsked says which files to print are made: what `feint export` is asked.
type ExportAsked struct {
	Plate string   `json:"plate"` // of the printer, mm: 220x220x250
	Cut   string   `json:"cut"`   // plane of the cut-away: y=0, or a,b,c,d; "" for none
	Parts []string `json:"parts"` // that the cut goes through beside the frame
}

// Exported are files made from a design, to be fetched one by one or as a ZIP file.
type Exported struct {
	ID     string         `json:"id"`
	Name   string         `json:"name"` // of the ZIP file, without its ending
	Files  []ExportedFile `json:"files"`
	Notes  []string       `json:"notes"`
	Gauges []GaugeRow     `json:"gauges"` // of gauges: what was cut, and what to do with it
}

// ExportedFile is one of them.
type ExportedFile struct {
	Name  string `json:"name"` // with its folder
	Bytes int    `json:"bytes"`
	What  string `json:"what"` // in words
}

// exported is what was made.
type exported struct {
	view  Exported
	files []export.Output
}

// The most that is kept of what was made, and how large one may be, bytes: what a
// large design takes, and little enough that a design made to fill the memory cannot.
const (
	keepExports = 4
	maxExport   = 256 << 20
)

// plate is the printer's plate unless another is said, mm.
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

// stageOptions are those by which the design of a stage is built again.
func (s *Server) stageOptions(st *staged) pipeline.Options {
	o := s.cfg.Options
	o.Version = s.cfg.Version
	o.Set = nil
	for _, p := range st.view.Params {
		if p.Value != p.Default {
			o.Set = append(o.Set, settings([]ParamValue{{p.Name, p.Value}})...)
		}
	}
	return o
}

// changedSince refuses what would be made of another text than the page shows.
func changedSince(sha string, st *staged) error {
	if sha != st.view.SHA256 {
		return bad("The design file has changed since; wait until the page shows it as it is now, and ask again.")
	}
	return nil
}

// exports makes the files to print, as `feint export` does.
func (s *Server) exports(_ http.ResponseWriter, r *http.Request) (any, error) {
	st, err := s.stage(r.PathValue("stage"))
	if err != nil {
		return nil, err
	}
	var a ExportAsked
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	e, err := readExport(&a)
	if err != nil {
		return nil, err
	}
	out, err := s.export(r.Context(), st, e)
	if err != nil {
		return nil, err
	}
	return out.view, nil
}

func readExport(a *ExportAsked) (e pipeline.ExportOptions, err error) {
	if e.Plate, err = export.ReadPlate(a.Plate); err != nil {
		return e, bad("The plate %v.", err)
	}
	if a.Cut != "" {
		if e.Cut, err = export.ReadPlane(a.Cut); err != nil {
			return e, bad("The cut %v.", err)
		}
	}
	e.Parts = a.Parts
	return e, nil
}

func (s *Server) export(ctx context.Context, st *staged, e pipeline.ExportOptions) (*exported, error) {
	done, err := slot(ctx, s.deep)
	if err != nil {
		return nil, err
	}
	defer done()
	m, files, notes, err := pipeline.ExportFiles(ctx, s.path(st.view.Design), s.stageOptions(st), e)
	if err != nil {
		return nil, bad("%v", err)
	}
	if err := changedSince(m.SHA256, st); err != nil {
		return nil, err
	}
	return s.keepExport(st, "parts", files, notes, nil)
}

// keepExport puts made files at hand.
func (s *Server) keepExport(st *staged, kind string, files []export.Output, notes []string, gauges []GaugeRow) (*exported, error) {
	sort.SliceStable(files, func(i, k int) bool { return files[i].Name < files[k].Name })
	out := &exported{files: files, view: Exported{
		ID: random(12), Name: strings.TrimSuffix(st.view.Design, suffix) + "-" + kind, Files: []ExportedFile{},
		Notes: append([]string{}, notes...), Gauges: append([]GaugeRow{}, gauges...),
	}}
	total := 0
	for _, f := range files {
		total += len(f.Data)
		out.view.Files = append(out.view.Files, ExportedFile{f.Name, len(f.Data), fileWords(f.Name)})
	}
	if total > maxExport {
		return nil, &failure{http.StatusRequestEntityTooLarge, Trouble{Code: "large", Message: fmt.Sprintf("The files have %d MB together, more than the page hands out; feint export writes them into a folder.", total>>20)}}
	}
	s.runs.exports.Put(out.view.ID, out)
	return out, nil
}

// fileWords tells what a file is for.
func fileWords(name string) string {
	kind := map[string]string{".stl": "STL", ".3mf": "3MF", ".glb": "GLB"}[path.Ext(name)]
	base := strings.TrimSuffix(path.Base(name), path.Ext(name))
	switch {
	case strings.HasPrefix(name, "parts/"):
		return "one part, " + kind
	case strings.HasPrefix(name, "cutaway/"):
		return "one part cut open, " + kind
	case strings.HasPrefix(base, "cutaway-plate"):
		return "plate of the cut-away, " + kind
	case strings.HasPrefix(base, "plate"):
		return "plate to print, " + kind
	case base == "assembled":
		return "assembled view, " + kind
	case base == "cutaway":
		return "the box cut open, to be seen, " + kind
	case kind != "" && path.Ext(name) == ".3mf":
		return "gauge, all its pieces, 3MF"
	case kind != "":
		return "one piece of a gauge, " + kind
	}
	switch name {
	case "readings.csv":
		return "table for what you find"
	case "places.json":
		return "by which the table is read again; keep it beside"
	default:
		return "what to do with every place"
	}
}

// made gives what was made before.
func (s *Server) made(r *http.Request) (*exported, error) {
	e, ok := s.runs.exports.Get(r.PathValue("export"))
	if !ok {
		return nil, gone("Those files are not at hand any more; make them again.")
	}
	return e, nil
}

// exportedFile sends one made file. It is asked for by its number in the list, so
// that no name goes over the wire.
func (s *Server) exportedFile(w http.ResponseWriter, r *http.Request) (any, error) {
	e, err := s.made(r)
	if err != nil {
		return nil, err
	}
	n, err := number(r.PathValue("file"))
	if err != nil {
		return nil, err
	}
	if n > int64(len(e.files)) {
		return nil, gone(fmt.Sprintf("There are %d files.", len(e.files)))
	}
	f := &e.files[n-1]
	w.Header().Set("Content-Type", mediaOf(f.Name))
	w.Header().Set("Content-Disposition", attachment(path.Base(f.Name)))
	_, _ = w.Write(f.Data)
	return nil, nil
}

// mediaOf is the registered media type of a file (IANA; 3MF: 3MF Consortium, core
// specification 1.3, annex C.2).
func mediaOf(name string) string {
	switch path.Ext(name) {
	case ".stl":
		return "model/stl"
	case ".3mf":
		return "model/3mf"
	case ".glb":
		return "model/gltf-binary"
	}
	if t := mime.TypeByExtension(path.Ext(name)); t != "" {
		return t
	}
	return "application/octet-stream"
}

// exportedZip sends all made files.
func (s *Server) exportedZip(w http.ResponseWriter, r *http.Request) (any, error) {
	e, err := s.made(r)
	if err != nil {
		return nil, err
	}
	return nil, e.zip(w)
}

// zip writes all files into one, below a folder of its own.
func (e *exported) zip(w http.ResponseWriter) error {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := range e.files {
		f, err := z.Create(path.Join(e.view.Name, e.files[i].Name))
		if err != nil {
			return err
		}
		if _, err := f.Write(e.files[i].Data); err != nil {
			return err
		}
	}
	if err := z.Close(); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", attachment(e.view.Name+".zip"))
	_, _ = w.Write(b.Bytes())
	return nil
}

// files sends everything to print at once, on the usual plate and without a cut.
func (s *Server) files(w http.ResponseWriter, r *http.Request) (any, error) {
	st, err := s.stage(r.PathValue("stage"))
	if err != nil {
		return nil, err
	}
	out, err := s.export(r.Context(), st, pipeline.ExportOptions{Plate: plate()})
	if err != nil {
		return nil, err
	}
	return nil, out.zip(w)
}

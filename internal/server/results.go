package server

import (
	"bytes"
	"context"
	"encoding/gob"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strconv"

	"feint/internal/cache"
	"feint/internal/design"
	"feint/internal/export"
	"feint/internal/pipeline"
)

// proofID names a question by all that it asks but for the text of the design.
func proofID(a *ProofAsked) string {
	set := slices.Clone(a.Set)
	slices.SortStableFunc(set, func(x, y ParamValue) int {
		if x.Name < y.Name {
			return -1
		}
		return 1
	})
	return cache.Key("proof", a.Design, fmt.Sprint(set), fmt.Sprint(a.Growth), a.printer(), a.sha)[:24]
}

func stageID(sha, name string) string { return cache.Key("stage", sha, name)[:24] }

// keptKey names a result by its whole input and by what computed it.
func keptKey(version string, st *Stage, a *ProofAsked, printers []export.Printer) string {
	raw, _ := json.Marshal(printers) // they stand in the report; plain values always marshal
	return cache.Key("bench result 8", version, st.SHA256, st.ID, fmt.Sprint(a.Growth), a.printer(), string(raw))
}

func settings(set []ParamValue) []design.Setting {
	var out []design.Setting
	for _, k := range set {
		out = append(out, design.Setting{Name: k.Name, Value: strconv.FormatFloat(k.Value, 'g', -1, 64)})
	}
	return out
}

// newProof puts a result together for the page.
func newProof(id string, st *staged, out *pipeline.Outcome) *Proof {
	d, r := out.Document, out.Result
	p := &Proof{ID: id, Stage: st.view.ID, Document: *d, Grams: st.view.Grams, Steps: export.StepsFigure(st.live.Mechanism, r, d)}
	p.From, p.Way = Pose{Config: st.view.Start, Tools: []int{}}, []Shown{}
	if r == nil || r.Way == nil {
		return p
	}
	p.Way = st.plainWay(st.live.Mechanism.Start, r.Way, 0)
	p.words()
	return p
}

func (p *Proof) words() {
	for i := range p.Way {
		if i < len(p.Document.Solution) {
			p.Way[i].Words = p.Document.Solution[i].Words
		}
	}
}

// played plays the way of a box with parts that fall and are pushed, if it is one;
// where that does not come to the goal, the way stays as it was told.
func (p *Proof) played(ctx context.Context, st *staged, out *pipeline.Outcome) {
	if out.Hands == nil || out.Hands.Way == nil || len(p.Way) == 0 {
		return
	}
	t, err := st.live.Hands(ctx)
	if err != nil {
		return
	}
	way, err := st.handWay(ctx, t.Start(), out.Hands.Way)
	if err != nil || len(way) == 0 {
		return
	}
	p.From, p.Way = st.pose(t.Start(), ""), way
	p.words()
}

// draw makes the pictures and the report.
func (s *Server) draw(ctx context.Context, p *proved, out *pipeline.Outcome) error {
	var b bytes.Buffer
	v, err := out.DrawReport(ctx, &b, s.printers())
	if err != nil {
		return err
	}
	p.Views, p.Report = v, b.Bytes()
	return nil
}

// keptProved is how a result is kept.
type keptProved struct {
	Proof, Views, Report []byte
}

func encodeProved(p *proved) ([]byte, error) {
	var k keptProved
	var err error
	if k.Proof, err = json.Marshal(p.Proof); err != nil {
		return nil, err
	}
	if k.Views, err = json.Marshal(p.Views); err != nil {
		return nil, err
	}
	k.Report = p.Report
	var b bytes.Buffer
	err = gob.NewEncoder(&b).Encode(&k)
	return b.Bytes(), err
}

func decodeProved(raw []byte) (*proved, error) {
	var k keptProved
	if err := gob.NewDecoder(bytes.NewReader(raw)).Decode(&k); err != nil {
		return nil, err
	}
	p := &proved{Report: k.Report}
	if err := json.Unmarshal(k.Proof, &p.Proof); err != nil {
		return nil, err
	}
	return p, json.Unmarshal(k.Views, &p.Views)
}

// proof gives a finished proof, of this start or of an earlier one.
func (s *Server) proof(id string) (*proved, error) {
	if p, ok := s.runs.proofs.Get(id); ok {
		return p, nil
	}
	if key, ok := s.cfg.Options.Cache.Get(aliasKey(id)); ok {
		if p := s.runs.kept(string(key), s.cfg.Options.Cache); p != nil {
			p.Proof.ID = id
			s.runs.proofs.Put(id, p)
			return p, nil
		}
	}
	return nil, gone("That proof is not at hand any more; prove again.")
}

// aliasKey is where the key of a kept result stands by the proof's name.
func aliasKey(id string) string { return cache.Key("bench proof", id) }

func (s *Server) pictures(_ http.ResponseWriter, r *http.Request) (any, error) {
	p, err := s.proof(r.PathValue("proof"))
	if err != nil {
		return nil, err
	}
	v := export.Views{Partial: true, Frames: []export.Frame{}, Sheets: []export.SheetPaper{}, Charts: []*export.Figure{}}
	if p.Views != nil {
		v = *p.Views
	}
	if !p.Proof.Asked {
		v.Scale = export.ScaleFigure(&p.Proof.Document, s.printers()) // the printers as they are now
	}
	return v, nil
}

func (s *Server) report(w http.ResponseWriter, r *http.Request) (any, error) {
	p, err := s.proof(r.PathValue("proof"))
	if err != nil {
		return nil, err
	}
	if p.Report == nil {
		return nil, gone("The report is still being drawn.")
	}
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Content-Disposition", attachment(p.Proof.Document.Design.Name+"-proof.html"))
	h.Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox")
	_, _ = w.Write(p.Report)
	return nil, nil
}

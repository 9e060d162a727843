package server

import (
	"context"
	"fmt"
	"net/http"
	"sync"
	"time"

	"feint/internal/cache"
	"feint/internal/export"
	"feint/internal/pipeline"
	"feint/internal/printed"
)

// yieldName names what is foretold of a proof on a printer.
func yieldName(proof, on string) string { return proof + "/" + on }

// yield foretells how many prints of a proved design will work. One is worked at a
// time; it ends when the browser goes.
func (s *Server) yield(_ http.ResponseWriter, r *http.Request) (any, error) {
	var a YieldAsked
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	if _, err := tabName(a.Tab); err != nil {
		return nil, err
	}
	p, err := s.proof(a.Proof)
	if err != nil {
		return nil, err
	}
	if y, ok := s.runs.yields.Get(yieldName(a.Proof, a.On)); ok {
		return *y, nil
	}
	ms, _, err := pipeline.FindPrinters(s.cfg.Folder)
	if err != nil {
		return nil, bad("%v", err)
	}
	model, err := printed.Named(ms, a.On)
	if err != nil {
		return nil, bad("%v", err)
	}
	done, err := slot(r.Context(), s.prints)
	if err != nil {
		return nil, err
	}
	defer done()
	y, err := s.foretell(r.Context(), &a, p.Proof, model)
	if err != nil {
		return nil, err
	}
	s.runs.yields.Put(yieldName(a.Proof, a.On), y)
	return *y, nil
}

// foretell draws the prints.
func (s *Server) foretell(ctx context.Context, a *YieldAsked, p *Proof, model *printed.Model) (*Yield, error) {
	st, err := s.stage(p.Stage)
	if err != nil {
		return nil, err
	}
	o := s.stageOptions(st)
	var mu sync.Mutex
	var last time.Time
	o.Progress = func(step string, done, total int) {
		now := time.Now()
		mu.Lock()
		late := now.Sub(last) >= often
		if late {
			last = now
		}
		mu.Unlock()
		if late {
			s.hub.tell(a.Tab, Event{Kind: "yield", Proof: a.Proof, Step: step, Done: done, Total: total})
		}
	}
	out, err := pipeline.Yield(ctx, s.path(st.view.Design), o, pipeline.YieldOptions{Model: model})
	switch {
	case ctx.Err() != nil:
		return nil, &failure{http.StatusServiceUnavailable, Trouble{Code: "stopped", Message: "Stopped."}}
	case err != nil:
		return nil, bad("The yield cannot be foretold: %v", err)
	case out.Mechanism.SHA256 != st.view.SHA256:
		return nil, bad("The design file has changed since that proof, so its prints cannot be drawn any more.")
	}
	d := out.Document()
	return &Yield{On: a.On, Works: d.Works.Share, Lo: d.Works.Lo, Hi: d.Works.Hi, Figure: *yieldFigure(d)}, nil
}

// yieldFigure is the outcome as a picture and a table.
func yieldFigure(d *export.YieldDocument) *export.Figure {
	rows := []export.SharePart{
		{Key: "works", Name: "works", Count: d.Works.Count, Lo: d.Works.Lo, Hi: d.Works.Hi},
		{Key: "stuck", Name: "binds", Count: d.Binds.Count, Lo: d.Binds.Lo, Hi: d.Binds.Hi},
		{Key: "short", Name: "leaks", Count: d.Leaks.Count, Lo: d.Leaks.Lo, Hi: d.Leaks.Hi},
		{Key: "unknown", Name: "undecided", Count: d.Undecided, Lo: -1},
	}
	f := export.SharesFigure("Yield on "+d.Setting, rows, d.Prints)
	f.Words = fmt.Sprintf("Of %d prints drawn from what is known of %q, %d work. The intervals are those of %g in 100.", d.Prints, d.Setting, d.Works.Count, 100*d.Level)
	return f
}

// keepYields is how many foretellings are kept at hand.
const keepYields = 64

func newYields() *cache.Recent[*Yield] { return cache.NewRecent[*Yield](keepYields) }

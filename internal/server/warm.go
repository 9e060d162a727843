package server

import (
	"context"
	"net/http"
	"time"
)

// warm builds the parts of the design that is shown first while a browser starts, so that
// the first picture does not wait for them. What is wrong with them is told to the page
// that asks.
func (r *runs) warm(ctx context.Context) {
	defer close(r.warmed)
	names, err := r.s.designs()
	design := r.s.first(names)
	if err != nil || design == "" || designName(design) != nil {
		return
	}
	r.warming.Store(&design)
	if _, err := r.s.read(design); err != nil {
		return // not a file of the workshop
	}
	if o, err := r.s.options(ctx, &ProofAsked{Design: design}); err == nil {
		_, _ = r.built(ctx, design, r.s.path(design), o)
	}
}

// awaitWarm waits while the parts of a design are built already, so that they are not
// built twice at once.
func (r *runs) awaitWarm(ctx context.Context, design string) {
	if is := r.warming.Load(); is == nil || *is != design {
		return
	}
	select {
	case <-r.warmed:
	case <-ctx.Done():
	}
}

// patience is how long the work that the first picture does not need waits for it: longer
// than a browser takes that draws by software, and less than anybody minds.
const patience = 1500 * time.Millisecond

// hold waits until the page that asked has its first picture, so that drawing and proving
// do not hold each other up.
func (r *runs) hold(ctx context.Context, g *run) {
	if !g.asked.Drawing {
		return
	}
	late := time.NewTimer(patience)
	defer late.Stop()
	select {
	case <-g.drawn:
	case <-late.C:
	case <-ctx.Done():
	}
}

// drawn ends the wait of a proof for a page's first picture.
func (s *Server) drawn(_ http.ResponseWriter, q *http.Request) (any, error) {
	r := s.runs
	r.mu.Lock()
	defer r.mu.Unlock()
	if g := r.going[q.PathValue("proof")]; g != nil {
		g.seen.Do(func() { close(g.drawn) })
	}
	return None{}, nil
}

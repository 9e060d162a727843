package server

import "context"

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

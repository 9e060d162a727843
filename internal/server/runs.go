package server

import (
	"context"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"feint/internal/cache"
	"feint/internal/calibrate"
	"feint/internal/export"
	"feint/internal/pipeline"
)

// runs are the proofs under way and the last ones finished. Two tabs that ask for
// the same share one run; a tab that asks for something else leaves its earlier
// run, and a run that nobody waits for is stopped.
type runs struct {
	s    *Server
	base context.Context
	stop context.CancelFunc

	atWork sync.WaitGroup // runs

	warmed  chan struct{}          // closed when the parts built at the start stand
	warming atomic.Pointer[string] // the design that they are of

	mu     sync.Mutex
	going  map[string]*run   // by proof
	of     map[string]string // tab -> proof
	proofs *cache.Recent[*proved]
	stages *cache.Recent[*staged]
	meshes *cache.Recent[[]byte]
	yields *cache.Recent[*Yield] // by proof and printer

	exports *cache.Recent[*exported]
	fits    *cache.Recent[*calibrate.Result] // by what they were learnt from
}

// run is one proof under way.
type run struct {
	id     string
	asked  ProofAsked
	cancel context.CancelFunc
	tabs   map[string]bool
	stage  *Stage // once it is built
	told   *Proof // what was last told of it
	last   time.Time
	drawn  chan struct{} // closed when the page that asked has its first picture
	seen   sync.Once
}

// proved is a finished proof.
type proved struct {
	Proof  *Proof
	Views  *export.Views
	Report []byte
}

// staged is a design with its parts built.
type staged struct {
	view *Stage
	live *pipeline.Live
}

// How many results are kept at hand. A stage of a large design takes some tens of
// megabytes.
const (
	keepProofs = 24
	keepStages = 6
	keepMeshes = 96
	keepBodies = 48
)

func newRuns(s *Server) *runs {
	r := &runs{
		s: s, going: map[string]*run{}, of: map[string]string{}, warmed: make(chan struct{}),
		proofs: cache.NewRecent[*proved](keepProofs), stages: cache.NewRecent[*staged](keepStages), meshes: cache.NewRecent[[]byte](keepMeshes), yields: newYields(), exports: cache.NewRecent[*exported](keepExports), fits: cache.NewRecent[*calibrate.Result](keepFits),
	}
	r.base, r.stop = context.WithCancel(context.Background())
	s.hub.away = r.away
	return r
}

// end stops all runs and waits for them, but not for long.
func (r *runs) end() {
	r.mu.Lock() // so that none begins meanwhile
	r.stop()
	r.mu.Unlock()
	over := make(chan struct{})
	go func() { r.atWork.Wait(); close(over) }()
	select {
	case <-over:
	case <-time.After(unwind):
	}
}

// unwind is how long a run that is stopped may take to end: all of it heeds being stopped
// within a second or two.
const unwind = 4 * time.Second

// grace is how long a tab may be without a stream (it connects anew) before its
// proof is stopped.
const grace = 20 * time.Second

func (r *runs) away(tab string) {
	time.AfterFunc(grace, func() {
		if !r.s.hub.listens(tab) {
			r.mu.Lock()
			defer r.mu.Unlock()
			r.abandon(tab)
		}
	})
}

// abandon takes a tab off its run; the caller holds the lock.
func (r *runs) abandon(tab string) {
	id, ok := r.of[tab]
	if !ok {
		return
	}
	delete(r.of, tab)
	if g := r.going[id]; g != nil {
		delete(g.tabs, tab)
		if len(g.tabs) == 0 {
			g.cancel()
			delete(r.going, id)
		}
	}
}

// prove starts a proof, or joins one under way.
func (s *Server) prove(_ http.ResponseWriter, q *http.Request) (any, error) {
	var a ProofAsked
	if err := readJSON(q, &a); err != nil {
		return nil, err
	}
	if _, err := tabName(a.Tab); err != nil {
		return nil, err
	}
	if err := s.checkAsked(&a); err != nil {
		return nil, err
	}
	return Started{s.runs.begin(a)}, nil
}

func (r *runs) begin(a ProofAsked) string {
	id := proofID(&a)
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.of[a.Tab] != id {
		r.abandon(a.Tab)
	}
	r.of[a.Tab] = id
	if g := r.going[id]; g != nil {
		g.tabs[a.Tab] = true
		if g.stage != nil {
			r.s.hub.tell(a.Tab, Event{Kind: "stage", Proof: id, Stage: g.stage})
		}
		if g.told != nil { // else who joins while the pictures are drawn would wait for ever
			r.s.hub.tell(a.Tab, Event{Kind: "proved", Proof: id, Result: g.told})
		}
		return id
	}
	ctx, cancel := context.WithCancel(r.base)
	g := &run{id: id, asked: a, cancel: cancel, tabs: map[string]bool{a.Tab: true}, drawn: make(chan struct{})}
	if r.base.Err() != nil {
		cancel()
		return id // the bench is closing
	}
	r.going[id] = g
	r.atWork.Add(1)
	go func() {
		defer r.atWork.Done()
		defer cancel()
		r.work(ctx, g)
		r.mu.Lock()
		defer r.mu.Unlock()
		if r.going[id] == g {
			delete(r.going, id)
		}
	}()
	return id
}

// tell sends an event to the tabs that wait for a run.
func (r *runs) tell(g *run, e Event) {
	e.Proof = g.id
	r.mu.Lock()
	if e.Result != nil {
		g.told = e.Result
	}
	var tabs []string
	if r.going[g.id] == g {
		for t := range g.tabs {
			tabs = append(tabs, t)
		}
	}
	r.mu.Unlock()
	for _, t := range tabs {
		r.s.hub.tell(t, e)
	}
}

// work does one run from the file to the verdict.
func (r *runs) work(ctx context.Context, g *run) {
	o, err := r.s.options(ctx, &g.asked)
	if err != nil {
		r.fail(ctx, g, err)
		return
	}
	o.Progress = func(step string, done, total int) { r.progress(g, step, done, total) }
	path := r.s.path(g.asked.Design)
	st, err := r.build(ctx, g, path, o)
	if err != nil {
		r.fail(ctx, g, err)
		return
	}
	key := keptKey(r.s.cfg.Version, st.view, &g.asked, r.s.printers())
	if p := r.kept(key, o.Cache); p != nil {
		p.Proof.ID = g.id
		_ = o.Cache.Put(aliasKey(g.id), []byte(key)) // as in remember
		r.finish(ctx, g, st, p)
		return
	}
	r.hold(ctx, g)
	partly := func(out *pipeline.Outcome, asked bool) {
		if out.Document.DesignSHA256 != st.view.SHA256 {
			return
		}
		first := newProof(g.id, st, out)
		first.Partial, first.Asked, first.On = true, asked, g.asked.on()
		r.proofs.Put(g.id, &proved{Proof: first}) // to compare with, should it be left before it is over
		r.tell(g, Event{Kind: "proved", Result: first})
		if !asked { // before that it would keep the limits waiting
			r.sketch(ctx, g, first, out)
		}
	}
	o.Asked = func(out *pipeline.Outcome) { partly(out, true) }
	o.Early = func(out *pipeline.Outcome) { partly(out, false) }
	out, err := pipeline.Prove(ctx, path, o)
	if err != nil {
		r.fail(ctx, g, err)
		return
	}
	if out.Document.DesignSHA256 != st.view.SHA256 {
		return // the file changed meanwhile; the watch asks anew
	}
	p := &proved{Proof: newProof(g.id, st, out)}
	p.Proof.played(ctx, st, out)
	p.Proof.On = g.asked.on()
	p.Proof.Stage = st.view.ID
	r.finish(ctx, g, st, p)
	if r.s.draw(ctx, p, out) == nil {
		r.remember(key, o.Cache, p)
		r.tell(g, Event{Kind: "pictures"})
	}
}

// sketch draws the storyboard for a page that has no picture yet, long before the rest.
func (r *runs) sketch(ctx context.Context, g *run, p *Proof, out *pipeline.Outcome) {
	if !g.asked.Drawing || ctx.Err() != nil {
		return
	}
	if v, err := out.DrawFrames(); err == nil {
		r.proofs.Put(g.id, &proved{Proof: p, Views: v})
		r.tell(g, Event{Kind: "pictures"})
	}
}

// build makes the stage, or takes the one at hand, and tells it.
func (r *runs) build(ctx context.Context, g *run, path string, o pipeline.Options) (*staged, error) {
	r.awaitWarm(ctx, g.asked.Design)
	st, err := r.built(ctx, g.asked.Design, path, o)
	if err != nil {
		return nil, err
	}
	r.mu.Lock()
	g.stage = st.view
	r.mu.Unlock()
	r.tell(g, Event{Kind: "stage", Stage: st.view})
	return st, nil
}

// built makes the stage of a design, or takes the one at hand.
func (r *runs) built(ctx context.Context, design, path string, o pipeline.Options) (*staged, error) {
	l, err := pipeline.Build(ctx, path, o)
	if err != nil {
		return nil, err
	}
	id := stageID(l.Mechanism.SHA256, design)
	st, ok := r.stages.Get(id)
	if !ok {
		view, meshes := newStage(id, design, l)
		for k, b := range meshes {
			r.meshes.Put(k, b)
		}
		st = &staged{view: view, live: l}
		r.stages.Put(id, st)
	}
	return st, nil
}

// finish takes up what was learnt and tells the result.
func (r *runs) finish(ctx context.Context, g *run, st *staged, p *proved) {
	r.proofs.Put(g.id, p)
	r.s.keepKnown(ctx, g.asked.Design, p.Proof)
	r.tell(g, Event{Kind: "proved", Result: p.Proof})
	if p.Views != nil {
		r.tell(g, Event{Kind: "pictures"})
	}
	r.hold(ctx, g)
	_ = st.live.Learn(ctx) // without it play is only slower
}

// often bounds how often progress is told.
const often = 100 * time.Millisecond

func (r *runs) progress(g *run, step string, done, total int) {
	now := time.Now()
	r.mu.Lock()
	late := now.Sub(g.last) >= often
	if late {
		g.last = now
	}
	r.mu.Unlock()
	if late {
		r.tell(g, Event{Kind: "progress", Step: step, Done: done, Total: total})
	}
}

func (r *runs) fail(ctx context.Context, g *run, err error) {
	if ctx.Err() != nil {
		r.tell(g, Event{Kind: "stopped"})
		return
	}
	t := &Trouble{Code: "bad", Message: err.Error(), Problems: []Problem{}}
	if ps, ok := problems(err); ok {
		t.Problems = r.s.shown(ps)
		t.Message = "The design has mistakes."
	}
	r.tell(g, Event{Kind: "failed", Trouble: t})
}

// stop ends the proof of a tab.
func (s *Server) stop(_ http.ResponseWriter, q *http.Request) (any, error) {
	tab, err := tabName(q.URL.Query().Get("tab"))
	if err != nil {
		return nil, err
	}
	r := s.runs
	r.mu.Lock()
	defer r.mu.Unlock()
	if id := q.PathValue("proof"); r.of[tab] == id {
		r.abandon(tab)
		s.hub.tell(tab, Event{Kind: "stopped", Proof: id})
	}
	return None{}, nil
}

// options are those of one proof.
func (s *Server) options(ctx context.Context, a *ProofAsked) (pipeline.Options, error) {
	o := s.cfg.Options
	o.Set = settings(a.Set)
	o.Growth = [2]float64{a.Growth.Lo, a.Growth.Hi}
	o.Version = s.cfg.Version
	if o.Now == nil {
		o.Now = time.Now
	}
	return o, o.ForPrinter(ctx, s.cfg.Folder, a.model, s.cfg.Fixed)
}

// kept looks for the result of an earlier start.
func (r *runs) kept(key string, c *cache.Store) *proved {
	raw, ok := c.Get(key)
	if !ok {
		return nil
	}
	p, err := decodeProved(raw)
	if err != nil {
		return nil
	}
	p.Proof.Kept = true
	return p
}

func (r *runs) remember(key string, c *cache.Store, p *proved) {
	if raw, err := encodeProved(p); err == nil {
		_ = c.Put(key, raw)                          // a result that is not kept costs time, no more
		_ = c.Put(aliasKey(p.Proof.ID), []byte(key)) // without it a restart forgets what is compared with
	}
}

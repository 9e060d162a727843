package proof

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"sync"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"
)

// outcome is what became of a task.
type outcome struct {
	fault *fault
	steps int
	work  int // intervals, and pieces of surfaces four to one
}

// follow checks the tasks, several at once; the first in their order that fails
// is reported, so that the answer does not depend on the number of workers.
func (w *walk) follow(ctx context.Context, r *WalkReport) error {
	out := make([]outcome, len(w.tasks))
	g, gctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i := range w.tasks {
		g.Go(func() error {
			var err error
			out[i], err = w.check(gctx, &w.tasks[i])
			return err
		})
	}
	if err := g.Wait(); err != nil {
		return err
	}
	var open error
	for i := range out {
		r.Pairs++
		r.Intervals += out[i].steps
		f := out[i].fault
		if f == nil || (f.open && open != nil) {
			continue
		}
		t := &w.tasks[i]
		r.A, r.B, r.Clearance, r.Needed = t.a, t.b, f.clearance, w.need(t.a, t.b)
		r.At = append([]float64(nil), t.q...)
		r.At[t.travel] = f.at
		err := w.complain(r, t, f)
		if !f.open {
			return err
		}
		open = err
	}
	return open
}

func (w *walk) complain(r *WalkReport, t *task, f *fault) error {
	kind, what := ErrRefused, fmt.Sprintf("have a clearance of %.6g mm", f.clearance)
	if f.open {
		kind, what = ErrOpen, "are not shown to keep clear"
	}
	return fmt.Errorf("%w: %q and %q %s and need %.6g where travel %q of %q is at %g (configuration %g)", kind,
		w.m.Parts[t.a].Name, w.m.Parts[t.b].Name, what, r.Needed,
		w.m.Travels[t.travel].Name, w.m.Parts[w.m.Travels[t.travel].Part].Name, f.at, r.At)
}

// check is one task.
func (w *walk) check(ctx context.Context, t *task) (outcome, error) {
	tr := &w.m.Travels[t.travel]
	need := w.need(t.a, t.b)
	runs := []span{t.run}
	if need < 0 && w.keeps != nil {
		if runs = w.unkept(t, t.run, keptHalves); len(runs) == 0 {
			return outcome{}, nil
		}
	}
	inner, outer := w.frames(t)
	turned := upright(tr.Axis)
	inner, outer = inner.Then(turned), outer.Then(turned)
	s := &sweep{
		kind: tr.Kind, need: need, ctx: ctx, most: w.most,
		a: w.cache.body(t.a, inner, need < 0),
		b: w.cache.body(t.b, outer, need < 0),
	}
	if tr.Kind == mechanism.Helix {
		s.pitch = tr.Lead / (2 * math.Pi)
	}
	if need < 0 {
		s.depth = &depth{allowed: -need, most: max(mostDepths/max(len(w.tasks), 1), leastDepths), a: solid{w.trees[t.a], inner.Inverse()}, b: solid{w.trees[t.b], outer.Inverse()}}
	}
	var f *fault
	var err error
	for i := 0; i < len(runs) && f == nil && err == nil; i++ {
		f, err = s.run(runs[i])
	}
	o := outcome{f, s.steps, s.steps}
	if s.depth != nil {
		o.work += s.depth.pieces / 4
	}
	if err == nil && f == nil && t.first && need >= 0 {
		// Surfaces that never meet leave open whether one part is inside the
		// other; that cannot change on the way, so the start decides.
		o.fault = w.nested(t)
	}
	return o, err
}

// frames are the motions that bring the parts as drawn into the frame in which
// the travel moves along or about its drawn axis: for a, what it does itself
// before that travel carries it; for b, where it stands, less what carries the
// travel.
func (w *walk) frames(t *task) (inner, outer geom.Motion) {
	inner = geom.Identity()
	carrying := geom.Identity()
	to := &inner
	for p := t.a; p >= 0; p = w.m.Parts[p].Carrier {
		tr := w.m.Parts[p].Travels
		for i := len(tr) - 1; i >= 0; i-- {
			if tr[i] == t.travel {
				to = &carrying
				continue
			}
			*to = to.Then(w.m.Travels[tr[i]].Motion(t.q[tr[i]]))
		}
	}
	return inner, w.m.Pose(t.b, t.q).Then(carrying.Inverse())
}

// upright turns a line onto the z axis.
func upright(l geom.Line) geom.Motion {
	z := l.Dir
	x := r3.Unit(r3.Cross(geom.LeastAxis(z), z))
	g := geom.Motion{R: [3]geom.Vec{x, r3.Cross(z, x), z}}
	g.T = r3.Scale(-1, g.Turn(l.Point))
	return g
}

// nested finds a shell of one part that lies within the other.
func (w *walk) nested(t *task) *fault {
	g := w.m.Pose(t.a, t.q).Then(w.m.Pose(t.b, t.q).Inverse())
	for _, side := range []struct {
		in, of *mesh.Tree
		g      geom.Motion
	}{{w.trees[t.a], w.trees[t.b], g}, {w.trees[t.b], w.trees[t.a], g.Inverse()}} {
		if d := deepest(side.in, side.of, side.g); d < -slack {
			return &fault{at: t.run.lo, clearance: d}
		}
	}
	return nil
}

// deepest asks of every shell of in, moved by g, how far one of its points is
// outside of of: the first that is not on its surface.
func deepest(in, of *mesh.Tree, g geom.Motion) float64 {
	told := map[int]bool{}
	least := math.Inf(1)
	for i, tri := range in.Triangles() {
		for _, v := range tri {
			if told[in.Shell(i)] {
				break
			}
			if d, _, _ := of.Signed(g.Apply(v)); math.Abs(d) > slack {
				told[in.Shell(i)] = true
				least = min(least, d)
			}
		}
	}
	return least
}

// cache holds parts in the frames of travels.
type cache struct {
	mu     sync.Mutex
	trees  []*mesh.Tree
	bodies map[bodyKey]func() *body
}

type bodyKey struct {
	part     int
	g        geom.Motion
	boundary bool
}

// mostBodies bounds the memory of the cache; a body is some 500 bytes a triangle.
const mostBodies = 96

func newCache(trees []*mesh.Tree) *cache {
	return &cache{trees: trees, bodies: map[bodyKey]func() *body{}}
}

func (c *cache) body(part int, g geom.Motion, boundary bool) *body {
	k := bodyKey{part, g, boundary}
	c.mu.Lock()
	build, ok := c.bodies[k]
	if !ok {
		if len(c.bodies) >= mostBodies {
			clear(c.bodies)
		}
		t := c.trees[part]
		if boundary {
			t = t.Boundary()
		}
		build = sync.OnceValue(func() *body { return newBody(t.Triangles(), g) })
		c.bodies[k] = build
	}
	c.mu.Unlock()
	return build()
}

// keptHalves is how often a run is halved of which it is known in parts that what is needed
// is kept.
const keptHalves = 6

// unkept are the parts of a run of which that is not known, in order.
func (w *walk) unkept(t *task, v span, halves int) []span {
	if w.keeps(t.a, t.b, t.travel, v.lo, v.hi, t.q) {
		return nil
	}
	if halves == 0 || v.hi <= v.lo {
		return []span{v}
	}
	out := w.unkept(t, span{v.lo, v.mid()}, halves-1)
	for _, x := range w.unkept(t, span{v.mid(), v.hi}, halves-1) {
		if n := len(out); n > 0 && out[n-1].hi == x.lo {
			out[n-1].hi = x.hi
			continue
		}
		out = append(out, x)
	}
	return out
}

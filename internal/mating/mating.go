package mating

import (
	"context"
	"runtime"
	"sync"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"golang.org/x/sync/errgroup"
)

// DefaultNear is the largest gap at which faces count as sliding on each other,
// mm. Sliding fits of printed parts have 0.2 to 0.5 mm a side (common practice,
// no source); beyond 0.6 mm nothing guides.
const DefaultNear = 0.6

// DefaultSpacing is the distance between samples of a face, mm: a groove of a
// printed box is 3 mm wide and wider, which gives its walls two rows or more.
const DefaultSpacing = 1.5

// Options are the settings of Find. The zero value takes the defaults.
type Options struct {
	Near    float64     // largest gap, mm; 0 takes DefaultNear
	Spacing float64     // between samples, mm; 0 takes DefaultSpacing
	Configs [][]float64 // configurations to look at beside those found, such as those of a way
	Workers int         // 0: as many as there are processors

	// Known is what was found of parts a < b before, nil if nothing was; Found is
	// given what is found now. Either may be nil, and both may be called from any
	// goroutine. What is found of a pair hangs on its two meshes, the poses at the
	// start and the travels between them alone.
	Known func(a, b int) *Result
	Found func(a, b int, r *Result)
}

// Contact is a place where a part slides on another: where its face is nearest
// to the other part while some travel moves the two along the face.
type Contact struct {
	Part, Other int
	Triangle    int      // of the part's mesh
	At, Normal  geom.Vec // on the part as drawn, mm; the normal points outwards
	Area        float64  // of face that the sample stands for, mm2
	Gap         float64  // to the other part's surface, mm
	Travel      int      // a travel that moves the two along the face there
	Shifts      bool     // another travel moves them towards each other there: Gap is what is left at that end
}

// Fit is one place of the mechanism where two parts guide each other with one
// gap: a rod in its bore, a pin in its groove, a panel in its bed, a bolt in its
// gate.
type Fit struct {
	Outer, Inner int         // the part with the hollow, and the part in it
	Gap          float64     // a side, mm
	Config       []float64   // configuration in which the fit has most faces in contact
	Travel       int         // travel along which the two slide there
	Axis         geom.Line   // of that sliding in Config, outer part as drawn
	Turns        bool        // they turn about Axis there; else they slide along it
	Round        bool        // the hollow is round about a line along Axis through Middle
	Wide         float64     // between the facing walls of the hollow, or its diameter, mm
	Middle       geom.Vec    // of the hollow there, outer part as drawn
	Across       geom.Vec    // unit vector from wall to wall; zero where it is round
	Area         float64     // of the outer's faces in contact, mm2
	Box          geom.Box    // of the outer's contacts, as drawn
	Contacts     []Contact   // of the outer part in Config
	Relative     geom.Motion // carries the inner part as drawn to where it stands to the outer part as drawn
	Alike        int         // how many more places of the two parts have the same kind of fit
}

// Result is what Find found.
type Result struct {
	Contacts []Contact // one for each sample and other part, where nearest; by part, other, sample
	Fits     []Fit     // by gap, then by parts
	Tight    []Tight   // how near two parts come while they move, by parts
}

// Tight is the least distance of the faces of two parts at which they slide.
type Tight struct {
	A, B int
	Gap  float64 // mm
}

// Find looks at every pair of parts that can move against each other. trees[i]
// is of part i's mesh as drawn; nil leaves the part out. Errors are those of ctx.
func Find(ctx context.Context, m *mechanism.Mechanism, trees []*mesh.Tree, o Options) (*Result, error) {
	if o.Near == 0 {
		o.Near = DefaultNear
	}
	if o.Spacing == 0 {
		o.Spacing = DefaultSpacing
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	f := &finder{m: m, trees: trees, o: o, skins: make([]*skin, len(trees)), once: make([]sync.Once, len(trees))}
	var pairs [][2]int
	for a := range trees {
		for b := a + 1; b < len(trees); b++ {
			if trees[a] != nil && trees[b] != nil {
				pairs = append(pairs, [2]int{a, b})
			}
		}
	}
	found := make([]*Result, len(pairs))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(o.Workers)
	for i, p := range pairs {
		g.Go(func() (err error) {
			found[i], err = f.pair(ctx, p[0], p[1])
			return err
		})
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	r := &Result{}
	for _, p := range found {
		r.Contacts = append(r.Contacts, p.Contacts...)
		r.Fits = append(r.Fits, p.Fits...)
		r.Tight = append(r.Tight, p.Tight...)
	}
	r.sort()
	return r, nil
}

// finder looks at pairs, with the skins of the parts that it needs for them.
type finder struct {
	m     *mechanism.Mechanism
	trees []*mesh.Tree
	o     Options
	skins []*skin
	once  []sync.Once
}

func (f *finder) skin(i int) *skin {
	f.once[i].Do(func() { f.skins[i] = newSkin(f.trees[i], f.o.Spacing) })
	return f.skins[i]
}

func (f *finder) pair(ctx context.Context, a, b int) (*Result, error) {
	if f.o.Known != nil {
		if r := f.o.Known(a, b); r != nil {
			return r, nil
		}
	}
	p := &pair{m: f.m, a: a, b: b, o: f.o}
	if p.between() {
		p.skins = [2]*skin{f.skin(a), f.skin(b)}
		if err := p.look(ctx); err != nil {
			return nil, err
		}
	}
	r := &Result{}
	r.add(p)
	if f.o.Found != nil {
		f.o.Found(a, b, r)
	}
	return r, nil
}

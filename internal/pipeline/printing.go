package pipeline

import (
	"bytes"
	"context"
	"encoding/gob"
	"fmt"

	"feint/internal/cache"
	"feint/internal/export"
	"feint/internal/mating"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/printable"
	"feint/internal/verdict"
)

// PrintingOutcome is how the parts of a design will print.
type PrintingOutcome struct {
	Mechanism *mechanism.Mechanism
	Bodies    []Body
	Survey    *printable.Survey
	Findings  []verdict.Finding
}

// Printing builds the parts of a design and tells how they will print.
func Printing(ctx context.Context, path string, o Options, s printable.Settings) (*PrintingOutcome, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	m, err := Load(path, o)
	if err != nil {
		return nil, err
	}
	out := &PrintingOutcome{Mechanism: m}
	if out.Bodies, err = bodies(ctx, m, o); err != nil {
		return nil, err
	}
	if out.Survey, err = printing(ctx, m, out.Bodies, o, s); err != nil {
		return nil, err
	}
	ev := verdict.Evidence{Printing: out.Survey, Bounds: bounds(m, out.Bodies), Defects: defects(out.Bodies)}
	judged := &Outcome{Mechanism: m, Bodies: out.Bodies, Verdict: verdict.Judge(m, nil, ev)}
	o.Print, o.Try = &s, false
	if err := cures(ctx, path, judged, nil, &ev, o); err != nil {
		return nil, err
	}
	out.Findings = judged.Verdict.Findings
	return out, nil
}

// Document is the outcome for scripts; version is feint's.
func (out *PrintingOutcome) Document(version string) *export.PrintingDocument {
	return export.NewPrintingDocument(out.Mechanism, out.Survey, out.Findings, version)
}

// printing looks at how the parts fit and print.
func printing(ctx context.Context, m *mechanism.Mechanism, bs []Body, o Options, s printable.Settings) (*printable.Survey, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	mates, err := mate(ctx, m, bs, o)
	if err != nil {
		return nil, err
	}
	return surveyPrinting(ctx, m, bs, mates, o, s)
}

// mate finds which faces slide on which, of every pair from the cache where neither
// its meshes nor any travel has changed.
func mate(ctx context.Context, m *mechanism.Mechanism, bs []Body, o Options) (*mating.Result, error) {
	moves := cache.Key("mating 3", fmt.Sprint(m.Start), travelsKey(m))
	key := func(a, b int) string { return cache.Key(moves, fmt.Sprint(a, b), bs[a].Hash, bs[b].Hash) }
	trees := make([]*mesh.Tree, len(bs))
	for i := range bs {
		if bs[i].Sound() {
			trees[i] = bs[i].Tree()
		}
	}
	o.progress("fits", 0, 1)
	return mating.Find(ctx, m, trees, mating.Options{
		Workers: o.Workers,
		Known: func(a, b int) *mating.Result {
			raw, ok := o.Cache.Get(key(a, b))
			r := &mating.Result{}
			if !ok || gob.NewDecoder(bytes.NewReader(raw)).Decode(r) != nil {
				return nil
			}
			return r
		},
		Found: func(a, b int, r *mating.Result) {
			var buf bytes.Buffer
			if gob.NewEncoder(&buf).Encode(r) != nil {
				return
			}
			_ = o.Cache.Put(key(a, b), buf.Bytes())
			// as a cache gives it, to the sign of a zero: what hangs on it is kept by its text
			var kept mating.Result
			if gob.NewDecoder(&buf).Decode(&kept) == nil {
				*r = kept
			}
		},
	})
}

// surveyPrinting looks at every part that is printed and sound.
func surveyPrinting(ctx context.Context, m *mechanism.Mechanism, bs []Body, mates *mating.Result, o Options, s printable.Settings) (*printable.Survey, error) {
	out := &printable.Survey{
		Settings: s, Fits: mates.Fits,
		Reports: make([]*printable.Report, len(bs)), Pieces: make([]printable.Piece, len(bs)),
	}
	for i := range bs {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		o.progress("printing", i, len(bs))
		part := &m.Parts[i]
		if part.Material.Bought || !bs[i].Sound() {
			continue
		}
		p := printable.Piece{Mesh: bs[i].Mesh, Up: part.Print, Density: part.Material.Density, Slides: printable.SlidesOf(i, mates.Contacts, mates.Fits), Outer: i == m.FrameIndex()}
		l, err := looked(p, bs[i].Hash, o, &s)
		if err != nil {
			return nil, fmt.Errorf("part %q: %w", part.Name, err)
		}
		out.Reports[i], out.Pieces[i] = l.Report, p
		for _, g := range l.Gaps {
			g.Part = i
			out.Inside = append(out.Inside, g)
		}
	}
	return out, nil
}

// look is what is kept of one part.
type look struct {
	Report *printable.Report
	Gaps   []printable.Inside // of whichever part
}

// printVersion changes whenever the same part may be told otherwise.
const printVersion = "printing 5"

// looked looks at one part, or takes what was found of the same mesh, way up,
// sliding faces and settings before.
func looked(p printable.Piece, hash string, o Options, s *printable.Settings) (*look, error) {
	plain := *s
	plain.Name = ""
	name := cache.Key(printVersion, hash, fmt.Sprint(p.Up.R, p.Density, p.Slides, p.Outer), fmt.Sprintf("%+v", plain))
	if raw, ok := o.Cache.Get(name); ok {
		var l look
		if gob.NewDecoder(bytes.NewReader(raw)).Decode(&l) == nil {
			return &l, nil
		}
	}
	r, err := printable.Look(p, *s, o.Workers)
	if err != nil {
		return nil, err
	}
	l := &look{Report: r, Gaps: printable.Gaps(0, p)}
	var buf bytes.Buffer
	if gob.NewEncoder(&buf).Encode(l) == nil {
		_ = o.Cache.Put(name, buf.Bytes())
	}
	return l, nil
}

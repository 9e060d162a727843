package gauge

import (
	"context"
	"errors"
	"fmt"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/solid"
)

// The plain ladder: a peg of this diameter, holes larger by the gaps, mm, and how
// deep they are.
const (
	pegWide  = 8.0
	holeDeep = 4.0
	pegLong  = 8.0
)

// plainGaps of the ladder, mm a side: from a press fit to a loose one (common
// practice: press 0.05 to 0.15, sliding 0.2 to 0.3, loose 0.3 to 0.5).
func plainGaps() []float64 { return []float64{0.05, 0.10, 0.15, 0.20, 0.30} }

// Plain makes the plain ladder: upright holes at a ladder of gaps, a peg, and
// outer lengths for the calipers. It knows no design. It ends with the cause of ctx as
// soon as that is done.
func Plain(ctx context.Context, s Settings) (*Gauge, error) {
	g, err := plainLadder(s, solid.Options{Tolerance: 0.002, Workers: s.Workers, Stop: ctx.Done()})
	if errors.Is(err, mesh.ErrStopped) {
		return nil, context.Cause(ctx)
	}
	return g, err
}

func plainLadder(s Settings, o solid.Options) (*Gauge, error) {
	if s.Gaps != nil {
		return ladderOf(s.Gaps, s, o)
	}
	// of a thin layer, say, fewer gaps are as much as there is time for
	for _, gaps := range [][]float64{plainGaps(), {0.05, 0.10, 0.20, 0.30}, {0.05, 0.15, 0.25}} {
		if g, err := ladderOf(gaps, s, o); !errors.Is(err, errLarge) {
			return g, err
		}
	}
	return ladderOf([]float64{0.10, 0.25}, s, o)
}

// errLarge is a ladder beyond MostMinutes or MostGrams.
var errLarge = errors.New("ask for fewer gaps")

// ladderOf is the ladder of these gaps.
func ladderOf(gaps []float64, s Settings, o solid.Options) (*Gauge, error) {
	block, long, err := ladderBlock(gaps, o)
	if err != nil {
		return nil, err
	}
	peg, err := solid.Build(&mechanism.Shape{Op: mechanism.Join, Args: []*mechanism.Shape{
		{Prim: mechanism.Cylinder{R: pegWide/2 + 1.5, H: 2}}, {Prim: mechanism.Cylinder{R: pegWide / 2, H: 2 + pegLong}},
	}}, o)
	if err != nil {
		return nil, err
	}
	for _, m := range [2]*mesh.Mesh{block, peg} {
		if h := harm(m); h != "" {
			return nil, fmt.Errorf("plain ladder: %s", h)
		}
	}
	g := &Gauge{
		Name: "plain-ladder", Title: fmt.Sprintf("plain ladder: a peg of %g mm and upright holes", pegWide),
		Pieces: []Piece{{Name: "ladder", Mesh: block}, {Name: "peg", Mesh: peg}},
	}
	g.Minutes, g.Grams = s.Estimate([]*mesh.Mesh{block, peg})
	if g.Minutes > MostMinutes || g.Grams > MostGrams {
		return nil, fmt.Errorf("the plain ladder would take %.1f minutes and %.1f g: %w", g.Minutes, g.Grams, errLarge)
	}
	for _, k := range gaps {
		d := pegWide + 2*k
		g.Places = append(g.Places,
			Place{Label: label(k), What: "hole", Felt: true, Gap: k, Across: pegWide, Upright: true, Do: fmt.Sprintf("Push the peg into the hole marked %s (%.2f mm per side, %.2f mm across): stuck, tight, slides or loose.", label(k), k, 2*k)},
			Place{Label: label(k), What: "hole", Nominal: d, Hollow: true, Upright: true, Do: fmt.Sprintf("Measure the hole marked %s across with the inner jaws, below its rim; drawn %.2f mm.", label(k), d)})
	}
	g.Places = append(g.Places,
		Place{Label: "peg", What: "peg", Nominal: pegWide, Upright: true, Do: fmt.Sprintf("Measure the peg across, half-way up, twice at right angles; drawn %.2f mm.", pegWide)},
		Place{Label: "length", What: "length", Nominal: long, Do: fmt.Sprintf("Measure the length of the ladder above its lowest layers; drawn %.2f mm.", long)},
		Place{Label: "width", What: "length", Nominal: pegWide + 4, Do: fmt.Sprintf("Measure the width of the ladder beside the strip, above its lowest layers; drawn %.2f mm.", pegWide+4)})
	return g, nil
}

// ladderBlock is a bar with holes, a label strip in front of it.
func ladderBlock(gaps []float64, o solid.Options) (*mesh.Mesh, float64, error) {
	wide := pegWide + 4
	pitch := pegWide + 3.5
	long := pitch*float64(len(gaps)) + 1
	part := func(p mechanism.Primitive, x, y, z float64) *mechanism.Shape {
		return &mechanism.Shape{Op: mechanism.Place, Move: geom.Translation(geom.Vec{X: x, Y: y, Z: z}), Args: []*mechanism.Shape{{Prim: p}}}
	}
	box := func(x0, x1, y0, y1, h float64) *mechanism.Shape {
		return &mechanism.Shape{Prim: mechanism.Block{Lo: geom.Vec{X: x0, Y: y0}, Hi: geom.Vec{X: x1, Y: y1, Z: h}}}
	}
	bar := []*mechanism.Shape{box(0, long, 0, wide, holeDeep)}
	all := []*mechanism.Shape{nil, box(1, long-1, -stripDeep, 1, stripHigh)}
	for i, g := range gaps {
		x := pitch*(float64(i)+0.5) + 0.5
		bar = append(bar, part(mechanism.Cylinder{R: pegWide/2 + g, H: holeDeep + 2}, x, wide/2, -1))
		all = append(all, part(mechanism.Text{On: mechanism.Flat, Words: label(g), Size: letterSize, Height: letterHigh, Stroke: letterLine}, x, -stripDeep/2+0.2, stripHigh))
	}
	all[0] = &mechanism.Shape{Op: mechanism.Cut, Args: bar}
	m, err := solid.Build(&mechanism.Shape{Op: mechanism.Join, Args: all}, o)
	return m, long, err
}

package gauge

import (
	"fmt"
	"math"
	"strings"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// strip is the label strip in front of the sockets: thickness, depth and how
	// far it reaches into a socket's wall, mm.
	stripHigh, stripDeep, stripInto = 0.8, 6.0, 1.2
	// letters of the labels: height, line and how far they stand out, mm.
	letterSize, letterLine, letterHigh = 3.6, 0.7, 0.6
	// between two sockets, mm.
	between = 1.2
)

// lying turns a piece the way up its part prints, and round the upright by
// quarter turns, and puts its corner on the origin.
func lying(m *mesh.Mesh, up geom.Motion, quarters int) (*mesh.Mesh, geom.Motion) {
	g := geom.Motion{R: up.R}.Then(geom.Rotation(geom.Line{Dir: geom.Vec{Z: 1}}, float64(quarters)*math.Pi/2))
	lo := m.Moved(g).Bounds().Lo
	g = g.Then(geom.Translation(r3.Scale(-1, lo)))
	return m.Moved(g), g
}

// assemble puts sockets with the given gaps side by side on a strip with labels,
// and the plug beside them. A quarter turn is looked for at which the strip meets
// the sockets' walls and nothing of the hollow.
func (j *job) assemble(gaps []float64) (*Gauge, string) {
	sockets := make([]*mesh.Mesh, len(gaps))
	for i, g := range gaps {
		w := mesh.Widened(j.socket, j.marked, g-j.f.Gap)
		if harm(w) != "" {
			r, err := mesh.Resolve(w, j.s.options())
			if err != nil || harm(r) != "" {
				return nil, fmt.Sprintf("the hollow cannot be widened to %.2f mm a side without crossing another face", g)
			}
			w = r
		}
		sockets[i] = w
	}
	why := ""
	for quarters := range 4 {
		row, fault := j.row(sockets, gaps, quarters)
		if fault != "" {
			if why == "" {
				why = fault
			}
			continue
		}
		plug, _ := lying(j.plug, j.inner.Print, 0)
		minutes, grams := j.s.Estimate([]*mesh.Mesh{row, plug})
		if minutes > MostMinutes || grams > MostGrams {
			why = tooLarge
			continue
		}
		return j.gauge(row, plug, gaps, minutes, grams), ""
	}
	return nil, why
}

// row joins sockets, strip and labels, and measures every gap in the result.
func (j *job) row(sockets []*mesh.Mesh, gaps []float64, quarters int) (*mesh.Mesh, string) {
	pieces := make([]*mesh.Mesh, 0, 2*len(sockets)+2)
	at := make([]geom.Motion, len(sockets))
	x := 0.0
	for i, s := range sockets {
		m, g := lying(s, j.outer.Print, quarters)
		size := m.Bounds().Hi
		words := label(gaps[i])
		room := max(size.X, textLong(words)+1)
		shift := geom.Translation(geom.Vec{X: snapped(x + (room-size.X)/2)})
		pieces = append(pieces, m.Moved(shift))
		at[i] = g.Then(shift)
		t, err := raised(words, x+room/2, -stripDeep/2+0.2)
		if err != nil {
			return nil, err.Error()
		}
		pieces = append(pieces, t)
		x += room + between
	}
	mark := fmt.Sprint(j.number)
	t, err := raised(mark, -textLong(mark)/2-1.2, -stripDeep/2+0.2)
	if err != nil {
		return nil, err.Error()
	}
	f := frame{x: geom.Vec{X: 1}, y: geom.Vec{Y: 1}, z: geom.Vec{Z: 1}}
	pieces = append(pieces, t, f.box(snapped(-textLong(mark)-2.4), snapped(x-between), -stripDeep, stripInto, 0, stripHigh))
	row, err := joined(pieces, j.s.options())
	if err != nil {
		return nil, err.Error()
	}
	if h := harm(row); h != "" {
		return nil, "joined with its labels: " + h
	}
	if _, lost := largest(row); lost > 0 {
		return nil, "the strip does not hold the sockets together"
	}
	tree, plug := mesh.NewTree(row), mesh.NewTree(j.plug)
	for i, g := range gaps {
		want := j.gap + g - j.f.Gap
		if d, _, _ := plug.Distance(tree, at[i], want+1); math.Abs(d-want) > agree {
			return nil, fmt.Sprintf("the socket for %.2f mm a side came out with %.3f mm less room", g, want-d)
		}
	}
	return row, ""
}

// snapped to a 64th of a mm, so that pieces keep their grid.
func snapped(v float64) float64 { return math.Round(v*64) / 64 }

func label(gap float64) string { return fmt.Sprintf("%.2f", gap) }

// textLong is how long a label is, mm: letters four wide on six high, with room
// between them.
func textLong(words string) float64 {
	return float64(len(words)) * (letterSize*0.82 + letterLine*0.4)
}

// raised is a label on the strip, centred on (x, y).
func raised(words string, x, y float64) (*mesh.Mesh, error) {
	return solid.Build(&mechanism.Shape{
		Op: mechanism.Place, Move: geom.Translation(geom.Vec{X: snapped(x), Y: snapped(y), Z: stripHigh}),
		Args: []*mechanism.Shape{{Prim: mechanism.Text{On: mechanism.Flat, Words: words, Size: letterSize, Height: letterHigh, Stroke: letterLine}}},
	}, solid.Options{Tolerance: 0.01})
}

// gauge describes the finished gauge.
func (j *job) gauge(row, plug *mesh.Mesh, gaps []float64, minutes, grams float64) *Gauge {
	up := j.outer.Print.Turn(j.frame.z)
	g := &Gauge{
		Name:    fmt.Sprintf("fit-%d-%s-%s", j.number, plain(j.outer.Name), plain(j.inner.Name)),
		Title:   fmt.Sprintf("fit %d: %s in %s, drawn with %.2f mm per side (%.2f mm across)", j.number, j.inner.Name, j.outer.Name, j.f.Gap, 2*j.f.Gap),
		Fit:     j.f,
		Minutes: minutes, Grams: grams,
		Pieces: []Piece{
			{Name: "sockets of " + j.outer.Name, Color: j.outer.Color, Mesh: row},
			{Name: "plug of " + j.inner.Name, Color: j.inner.Color, Mesh: plug},
		},
	}
	across := 0.0
	if j.f.Round {
		across = j.f.Wide
	}
	for _, k := range gaps {
		g.Places = append(g.Places, Place{
			Across: across,
			Label:  label(k), What: "socket", Felt: true, Gap: k, Upright: math.Abs(up.Z) > 0.9,
			Do: fmt.Sprintf("Push the plug into the socket marked %s (%.2f mm per side, %.2f mm across) and say how it goes: stuck, tight, slides or loose.", label(k), k, 2*k),
		})
	}
	return g
}

// plain makes a file name of a part's name.
func plain(s string) string {
	return strings.Trim(strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		if r >= 'A' && r <= 'Z' {
			return r + 'a' - 'A'
		}
		return '-'
	}, s), "-")
}

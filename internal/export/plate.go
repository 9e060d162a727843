package export

import (
	"fmt"
	"io"
	"math"
	"sort"
	"strings"

	"feint/internal/geom"
	"feint/internal/mesh"
	"feint/internal/meshfile"
)

// Plate is the printable room of a printer, and the least distance between two
// parts on it, mm. Zero fields mean 220 x 220 x 250 and a gap of 5 (a common
// size of desktop printers; common practice).
type Plate struct {
	Width, Depth, Height float64
	Gap                  float64
}

func (p Plate) filled() Plate {
	for _, f := range []struct {
		v *float64
		d float64
	}{{&p.Width, 220}, {&p.Depth, 220}, {&p.Height, 250}, {&p.Gap, 5}} {
		if *f.v == 0 {
			*f.v = f.d
		}
	}
	return p
}

func (p Plate) check() error {
	for _, v := range []float64{p.Width, p.Depth, p.Height} {
		if !(v > 0) || math.IsInf(v, 1) {
			return fmt.Errorf("a plate of %g x %g x %g mm: every side must be positive", p.Width, p.Depth, p.Height)
		}
	}
	if !(p.Gap >= 0) {
		return fmt.Errorf("a gap of %g mm between parts: it must not be negative", p.Gap)
	}
	return nil
}

// PlateFiles lays the printed parts out side by side, in print orientation, on
// as few plates as a simple row layout needs, and makes one 3MF file a plate:
// plate-1.3mf, plate-2.3mf and so on. A part that is larger than the plate is an
// error that names all such parts. No printed part, no file.
func PlateFiles(models []Model, o ModelOptions) ([]Output, error) {
	return plateFiles("plate", models, o)
}

func plateFiles(name string, models []Model, o ModelOptions) ([]Output, error) {
	plate := o.Plate.filled()
	if err := plate.check(); err != nil {
		return nil, err
	}
	var feet []foot
	var lying []*mesh.Mesh
	var printed []*Model
	var large []string
	for i := range models {
		if models[i].Bought {
			continue
		}
		if err := o.stopped(); err != nil {
			return nil, err
		}
		m, err := onPlate(&models[i])
		if err != nil {
			return nil, err
		}
		size := m.Bounds().Hi
		turn, fits := plate.fits(size)
		if !fits {
			large = append(large, fmt.Sprintf("%q needs %.4g x %.4g x %.4g mm", models[i].Part, size.X, size.Y, size.Z))
			continue
		}
		f := foot{i: len(lying), w: size.X, d: size.Y, turn: turn}
		if turn {
			f.w, f.d = f.d, f.w
		}
		feet, lying, printed = append(feet, f), append(lying, m), append(printed, &models[i])
	}
	if large != nil {
		return nil, fmt.Errorf("larger than the plate of %g x %g x %g mm: %s; give a larger plate, turn the part's print orientation, or divide the part",
			plate.Width, plate.Depth, plate.Height, strings.Join(large, "; "))
	}
	var files []Output
	for k, row := range plate.layOut(feet) {
		if err := o.stopped(); err != nil {
			return nil, err
		}
		items := make([]meshfile.Item, len(row))
		for n, s := range row {
			m := printed[s.i]
			items[n] = meshfile.Item{Name: m.Part, Color: m.Color, Mesh: lying[s.i], At: s.motion()}
		}
		title := fmt.Sprintf("%s %d", name, k+1)
		f, err := output(fmt.Sprintf("%s-%d.3mf", name, k+1), func(w io.Writer) error {
			return meshfile.Write3MF(w, items, "", o.meta(title))
		})
		if err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	return files, nil
}

// fits tells whether a part of this size fits as it lies or turned by a quarter.
func (p Plate) fits(size geom.Vec) (turn, ok bool) {
	switch {
	case size.Z > p.Height:
		return false, false
	case size.X <= p.Width && size.Y <= p.Depth:
		return false, true
	default:
		return true, size.Y <= p.Width && size.X <= p.Depth
	}
}

// foot is the footprint of part i: width and depth on the plate, after a
// quarter turn if turn is set.
type foot struct {
	i    int
	w, d float64
	turn bool
}

// spot is a footprint with the place of its corner on the plate.
type spot struct {
	foot
	x, y float64
}

// motion carries a part whose corner is at the origin to its spot.
func (s spot) motion() geom.Motion {
	g := geom.Identity()
	if s.turn {
		g.R = [3]geom.Vec{{Y: -1}, {X: 1}, {Z: 1}}
		g.T.X = s.w
	}
	return g.Then(geom.Translation(geom.Vec{X: s.x, Y: s.y}))
}

// shelf is a row of parts along x, as deep as its first.
type shelf struct{ y, used float64 }

// sheet is one plate being filled from the front to the back.
type sheet struct {
	shelves []shelf
	used    float64 // depth taken by the shelves
	spots   []spot
}

// layOut puts every foot on the first plate and the first row where it fits,
// the deepest feet first ("first fit decreasing height", E. Coffman, M. Garey,
// D. Johnson and R. Tarjan, SIAM Journal on Computing 9 (1980)), then moves what
// is on a plate to its middle. Feet must fit one by one.
func (p Plate) layOut(feet []foot) [][]spot {
	feet = append([]foot{}, feet...)
	sort.SliceStable(feet, func(a, b int) bool {
		if feet[a].d != feet[b].d {
			return feet[a].d > feet[b].d
		}
		return feet[a].w > feet[b].w
	})
	var sheets []*sheet
next:
	for _, f := range feet {
		for _, s := range sheets {
			if s.put(f, p) {
				continue next
			}
		}
		s := &sheet{}
		s.put(f, p)
		sheets = append(sheets, s)
	}
	out := make([][]spot, len(sheets))
	for i, s := range sheets {
		s.centre(p)
		out[i] = s.spots
	}
	return out
}

// put places f in a row of the sheet or in a new one, if there is room. f is no
// deeper than what was put before.
func (s *sheet) put(f foot, p Plate) bool {
	for i := range s.shelves {
		h := &s.shelves[i]
		if h.used+p.Gap+f.w <= p.Width {
			s.spots = append(s.spots, spot{f, h.used + p.Gap, h.y})
			h.used += p.Gap + f.w
			return true
		}
	}
	y := 0.0
	if len(s.shelves) > 0 {
		y = s.used + p.Gap
	}
	if y+f.d > p.Depth {
		return false
	}
	s.shelves = append(s.shelves, shelf{y: y, used: f.w})
	s.spots = append(s.spots, spot{f, 0, y})
	s.used = y + f.d
	return true
}

// centre moves the spots to the middle of the plate, in whole steps of 2^-6 mm,
// so that vertices stay on their grid.
func (s *sheet) centre(p Plate) {
	width := 0.0
	for _, h := range s.shelves {
		width = max(width, h.used)
	}
	const step = 64
	dx := math.Floor((p.Width-width)/2*step) / step
	dy := math.Floor((p.Depth-s.used)/2*step) / step
	for i := range s.spots {
		s.spots[i].x += dx
		s.spots[i].y += dy
	}
}

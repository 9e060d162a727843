package printable

import (
	"math"
	"slices"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// floors answers where a straight fall from a point ends: on the plate or on a
// face that looks up. Triangles are kept in square bins of the plan.
type floors struct {
	l      *laid
	cell   float64
	nx, ny int
	bins   [][]int32
}

func newFloors(l *laid) *floors {
	f := &floors{l: l}
	f.cell = max(0.5, math.Sqrt(l.size.X*l.size.Y/4096))
	f.nx, f.ny = int(l.size.X/f.cell)+1, int(l.size.Y/f.cell)+1
	f.bins = make([][]int32, f.nx*f.ny)
	for i := range l.m.T {
		if l.normal[i].Z <= 0 {
			continue
		}
		b := geom.EmptyBox()
		for _, v := range l.m.Triangle(i) {
			b = b.Add(v)
		}
		for x := f.bin(b.Lo.X, f.nx); x <= f.bin(b.Hi.X, f.nx); x++ {
			for y := f.bin(b.Lo.Y, f.ny); y <= f.bin(b.Hi.Y, f.ny); y++ {
				f.bins[y*f.nx+x] = append(f.bins[y*f.nx+x], int32(i))
			}
		}
	}
	return f
}

func (f *floors) bin(v float64, n int) int { return min(n-1, max(0, int(v/f.cell))) }

// below is the height at which a fall from p ends and the triangle, -1 for the
// plate.
func (f *floors) below(p geom.Vec) (z float64, tri int) {
	z, tri = 0, -1
	for _, i := range f.bins[f.bin(p.Y, f.ny)*f.nx+f.bin(p.X, f.nx)] {
		if h, ok := f.heightAt(int(i), p); ok && h <= p.Z && h > z {
			z, tri = h, int(i)
		}
	}
	return z, tri
}

func (f *floors) heightAt(i int, p geom.Vec) (float64, bool) {
	t := f.l.m.Triangle(i)
	for k := range 3 {
		a, b := t[k], t[(k+1)%3]
		if (b.X-a.X)*(p.Y-a.Y)-(b.Y-a.Y)*(p.X-a.X) < 0 {
			return 0, false
		}
	}
	n := f.l.normal[i]
	return t[0].Z - ((p.X-t[0].X)*n.X+(p.Y-t[0].Y)*n.Y)/n.Z, true
}

// detail is how closely a way up is measured.
type detail uint8

// Ways that are only compared are measured coarsely, since what they are compared by
// is known to a tenth (worthIt); the way drawn and the one offered finely.
const (
	fine detail = iota
	coarse
)

// grain is the longest edge of the pieces over which the fall to the floor is
// integrated, mm: two lines of a nozzle, or a few.
func (d detail) grain() float64 { return [...]float64{1, 3}[d] }

// stride is how many layers one section stands for.
func (d detail) stride() int { return [...]int{1, 4}[d] }

// reachOfSlide is how far from a sample of a sliding face a place counts as
// sliding, mm: samples are some 1.5 mm apart.
const reachOfSlide = 1.5

// props puts supports below the patches that need them: volume, height, and what
// of it stands on or under faces that slide.
func (l *laid) props(ps []Patch, slides []Slide, grain float64) {
	f := newFloors(l)
	by := map[int][]int{}
	for i := range slides {
		by[slides[i].Triangle] = append(by[slides[i].Triangle], i)
	}
	fwd := l.back.Inverse()
	sliding := func(tri int, p geom.Vec) bool {
		return slices.ContainsFunc(by[tri], func(i int) bool {
			return r3.Norm2(r3.Sub(fwd.Apply(slides[i].At), p)) < reachOfSlide*reachOfSlide
		})
	}
	for i := range ps {
		p := &ps[i]
		if !p.Supported {
			continue
		}
		for _, t := range p.Triangles {
			down := -l.normal[t].Z
			tr := l.m.Triangle(t)
			for q := range tr.Pieces(grain) {
				c := r3.Scale(1.0/3, r3.Add(q[0], r3.Add(q[1], q[2])))
				area := area2(q[0], q[1], q[2]) / 2
				z, floor := f.below(c)
				p.Support += area * down * (c.Z - z)
				p.Height = max(p.Height, c.Z)
				if sliding(t, c) {
					p.InSlide += area
				}
				if floor >= 0 && sliding(floor, geom.Vec{X: c.X, Y: c.Y, Z: z}) {
					p.InSlide += area * down / l.normal[floor].Z
				}
			}
		}
	}
}

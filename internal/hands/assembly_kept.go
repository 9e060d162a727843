package hands

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Kept is what is proved of a part that stays.
type Kept uint8

// The zero value is that nothing is proved.
const (
	Unproved Kept = iota
	Upright       // it does not leave the other, as the two are turned to each other
	Anyhow        // it does not, however the two are turned
)

const (
	// floodCells bounds the cells of one flood, and floodSizes how often their size is halved.
	floodCells = 60000
	floodSizes = 3
	// ballTries is into how many steps a side of a part is divided in looking for the largest
	// ball in it.
	ballTries = 14
)

// kept looks for one part, of those that stop a part that stays or of all about it, that
// keeps it, and proves it: first the largest ball found in the part is shown not to get out
// of the other, however it goes; then the part itself, without being turned.
func (h *hunt) kept(j *Jam, left []int) error {
	h.ready()
	if h.caught(j.Part, left) {
		j.By, j.Kept = []int{h.keeper[j.Part]}, Anyhow
		return nil
	}
	asked := map[int]bool{}
	for _, o := range append(append([]int(nil), j.By...), h.around([]int{j.Part}, left)...) {
		if asked[o] || h.a.ctx.Err() != nil {
			continue
		}
		asked[o] = true
		if h.keeps(j.Part, o, Upright) {
			j.By, j.Kept = []int{o}, Upright
			return nil
		}
	}
	return h.a.ctx.Err()
}

// keeps tells whether it is shown that part o keeps part p.
func (h *hunt) keeps(p, o int, how Kept) bool {
	need := h.a.m.Needs(p, o, 0) - assemblyDeep
	there := h.a.m.Pose(p, h.a.q).Then(h.a.m.Pose(o, h.a.q).Inverse()) // p's drawing in o's
	dp, do := h.depths[p], h.depths[o]
	size := r3.Norm(r3.Sub(do.box.Hi, do.box.Lo)) / 48
	f := &flood{box: do.box}
	if how == Anyhow {
		c, r := ball(dp)
		at := there.Apply(c)
		f.own = geom.Box{Lo: r3.Sub(at, geom.Vec{X: r, Y: r, Z: r}), Hi: r3.Add(at, geom.Vec{X: r, Y: r, Z: r})}
		f.shut = func(by geom.Vec, slack float64) bool {
			d, _, _ := do.tree.Signed(r3.Add(at, by))
			return d+slack < r+need
		}
	} else {
		f.own = posedBox(dp.box, there)
		back := there.Inverse()
		ours, theirs := make([]geom.Vec, len(dp.pts)), make([]geom.Vec, len(do.pts))
		for i, v := range dp.pts {
			ours[i] = there.Apply(v)
		}
		for i, v := range do.pts {
			theirs[i] = back.Apply(v)
		}
		last := [2]int{}
		f.shut = func(by geom.Vec, slack float64) bool {
			return sinks(ours, by, do, need-slack, &last[0]) || sinks(theirs, back.Turn(r3.Scale(-1, by)), dp, need-slack, &last[1])
		}
	}
	for range floodSizes {
		switch f.run(size) {
		case shutIn:
			return true
		case tooMany:
			return false
		case gotOut:
		}
		size /= 2
	}
	return false
}

// sinks tells whether one of the points, moved, lies in the part deeper than need allows.
func sinks(ps []geom.Vec, by geom.Vec, d *depths, need float64, last *int) bool {
	for i := range ps {
		k := (*last + i) % len(ps)
		if d.deep(r3.Add(ps[k], by), need) {
			*last = k
			return true
		}
	}
	return false
}

// flood fills the places, from where it is, to which a body may be shifted: cubes of
// shifts. One is left out only if the body is surely not free anywhere within.
type flood struct {
	box, own geom.Box // of what keeps it, and its own where it is
	// shut tells whether the body, shifted, lies in the other by more than slack, mm, allows
	shut func(by geom.Vec, slack float64) bool
}

type flooded uint8

const (
	shutIn flooded = iota
	gotOut
	tooMany
)

// run floods with cubes of a size, mm. Cubes that share a corner are neighbours.
func (f *flood) run(size float64) flooded {
	slack := size * math.Sqrt(3) / 2 // a point moves no further within a cube
	seen := map[[3]int32]bool{{}: true}
	todo := [][3]int32{{}}
	for len(todo) > 0 {
		c := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for i := range 27 {
			n := [3]int32{c[0] + int32(i%3) - 1, c[1] + int32(i/3%3) - 1, c[2] + int32(i/9) - 1}
			if seen[n] {
				continue
			}
			seen[n] = true
			by := geom.Vec{X: float64(n[0]) * size, Y: float64(n[1]) * size, Z: float64(n[2]) * size}
			if f.shut(by, slack) {
				continue
			}
			if (geom.Box{Lo: r3.Add(f.own.Lo, by), Hi: r3.Add(f.own.Hi, by)}).Distance(f.box) > 0 {
				return gotOut
			}
			if len(seen) > floodCells {
				return tooMany
			}
			todo = append(todo, n)
		}
	}
	return shutIn
}

// ball is a large ball within a part: its middle, and a radius that it surely has.
func ball(d *depths) (c geom.Vec, r float64) {
	e := r3.Sub(d.box.Hi, d.box.Lo)
	best := math.Inf(1)
	look := func(v geom.Vec) {
		if s, _, _ := d.tree.Signed(v); s < best {
			c, best = v, s
		}
	}
	for i := range ballTries * ballTries * ballTries {
		look(geom.Vec{
			X: d.box.Lo.X + e.X*(float64(i%ballTries)+0.5)/ballTries,
			Y: d.box.Lo.Y + e.Y*(float64(i/ballTries%ballTries)+0.5)/ballTries,
			Z: d.box.Lo.Z + e.Z*(float64(i/ballTries/ballTries)+0.5)/ballTries,
		})
	}
	for step := max(e.X, e.Y, e.Z) / ballTries; step > 0.02; step /= 2 {
		at := c
		for i := range 27 {
			look(r3.Add(at, geom.Vec{X: step * float64(i%3-1), Y: step * float64(i/3%3-1), Z: step * float64(i/9-1)}))
		}
	}
	return c, max(0, -best-1e-6)
}

package solid

import (
	"math"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

// Parts of an invented lock at a harbour gate; volumes by closed forms.

func along(x, y, z float64) geom.Motion {
	d := geom.Vec{X: x, Y: y, Z: z}
	switch {
	case x != 0:
		return geom.Rotation(geom.Line{Dir: geom.Vec{Y: 1}}, x*math.Pi/2)
	case y != 0:
		return geom.Rotation(geom.Line{Dir: geom.Vec{X: -1}}, y*math.Pi/2)
	}
	return geom.Translation(d)
}

func sleeve() *mechanism.Shape {
	body := op(mechanism.Cut, leaf(mechanism.Cylinder{R: 14, H: 18}), at(0, 0, -1, leaf(mechanism.Cylinder{R: 6.3, H: 20})))
	return op(mechanism.Cut, body, leaf(mechanism.Groove{
		On: mechanism.Bore, R: 6.3, Width: 3.4, Depth: 3, RoundEnds: true,
		Path: path(0, -3, 0, 9, 2*math.Pi/3, 9, 2*math.Pi/3, 21),
	}))
}

func TestSleeve(t *testing.T) {
	const w, ri, ro = 3.4, 6.3, 9.3
	s := slot(ri, ro, w)
	cut := 18*s + w*2*math.Pi/3*(ro*ro-ri*ri)/2 + 2*(pinned(ri, ro, w)-w*s)/4
	full(t, sleeve(), math.Pi*(14*14-6.3*6.3)*18-cut)
}

func rod() *mechanism.Shape {
	pin := at(0, 0, 35, placed(leaf(mechanism.Cylinder{R: 1.5, H: 9}), along(1, 0, 0)))
	return op(mechanism.Join, leaf(mechanism.Cylinder{R: 6, H: 70}), pin)
}

func TestRodWithPin(t *testing.T) {
	pin := simpson(func(psi float64) float64 { // from the rod to x = 9
		y, c := 1.5*math.Sin(psi), 1.5*math.Cos(psi)
		return 2 * c * c * (9 - math.Sqrt(36-y*y))
	}, -math.Pi/2, math.Pi/2)
	full(t, rod(), math.Pi*36*70+pin)
}

func box() *mechanism.Shape {
	body := leaf(mechanism.Block{Lo: geom.Vec{X: -30, Y: -20}, Hi: geom.Vec{X: 30, Y: 20, Z: 20}, Edge: mechanism.Edge{Chamfer: 1}, Edges: "all"})
	cuts := []*mechanism.Shape{body, leaf(mechanism.Block{Lo: geom.Vec{X: -15, Y: -10, Z: 8}, Hi: geom.Vec{X: 15, Y: 10, Z: 21}})}
	for _, x := range []float64{-24, 24} {
		for _, y := range []float64{-14, 14} {
			cuts = append(cuts, at(x, y, 17, leaf(mechanism.Cylinder{R: 3, H: 4})))
		}
	}
	return op(mechanism.Cut, cuts...)
}

func TestBoxWithPockets(t *testing.T) {
	m := full(t, box(), 60*40*20-2*(60+40+20)+8*(1-1.0/4)-30*20*12-4*math.Pi*9*3)
	if b := m.Bounds(); b.Lo != (geom.Vec{X: -30, Y: -20}) || b.Hi != (geom.Vec{X: 30, Y: 20, Z: 20}) {
		t.Errorf("bounds %v", b)
	}
}

func screw() *mechanism.Shape {
	groove := mechanism.Groove{On: mechanism.Shaft, R: 5, Width: 3, Depth: 1.5, RoundEnds: true, Path: path(-math.Pi, -4, 11*math.Pi, 44)}
	return op(mechanism.Cut, leaf(mechanism.Cylinder{R: 5, H: 40}), leaf(groove))
}

// An endless helix takes the same share of every height.
func TestHelicalGroove(t *testing.T) {
	full(t, screw(), math.Pi*25*40-screwed(3.5, 5, 3, 2*math.Pi, 8)/8*40)
}

func TestThreadedRod(t *testing.T) {
	th := mechanism.Thread{Root: 5, Crest: 6, RootWidth: 1.6, CrestWidth: 0.4, H: 10, Lead: 3, Starts: 1}
	s := op(mechanism.Join, leaf(mechanism.Cylinder{R: 5, H: 10}), leaf(th))
	full(t, s, math.Pi*25*10+2*math.Pi*10/3*5.4)
}

// A thread turned against the rod's division is still where it is drawn.
func TestTurnedThread(t *testing.T) {
	th := leaf(mechanism.Thread{Root: 5, Crest: 6, RootWidth: 1.6, CrestWidth: 0.4, H: 10, Lead: 6, Starts: 2})
	th = placed(th, geom.Rotation(geom.Line{Dir: geom.Vec{Z: 1}}, 0.31))
	full(t, op(mechanism.Join, leaf(mechanism.Cylinder{R: 4.9, H: 10}), th), 0)
}

// Lettering reads from where it is seen: the upright of an L is on the left, which
// in a bore is the side of rising angles.
func TestReading(t *testing.T) {
	for on, left := range map[mechanism.Surface]float64{mechanism.Flat: -1, mechanism.Shaft: -1, mechanism.Bore: 1} {
		m := built(t, leaf(mechanism.Text{On: on, R: 10, Words: "L", Size: 5, Height: 0.4, Stroke: 0.8}))
		for _, v := range m.V {
			across, up := v.Y, v.Z
			if on == mechanism.Flat {
				across, up = v.X, v.Y
			}
			if up > 0 && across*left < 0 {
				t.Errorf("surface %d: the upright reaches %v", on, v)
				break
			}
		}
	}
}

// The letter L: a line up, a line along, and a corner; the part above the
// surface of the shaft.
func TestRaisedLetter(t *testing.T) {
	const r, size, w, h = 10.0, 5.0, 0.8, 0.4
	k := (size - w) / gridHeight
	s := slot(r, r+h, w)
	up, on := 6*k+w/2, 4*k+w/2
	raised := up*s + w*(on/r)*((r+h)*(r+h)-r*r)/2 + (pinned(r, r+h, w)-w*s)/4
	text := leaf(mechanism.Text{On: mechanism.Shaft, R: r, Words: "L", Size: size, Height: h, Stroke: w})
	m := full(t, op(mechanism.Join, leaf(mechanism.Cylinder{R: r, H: 20}), at(0, 0, 10, text)), math.Pi*r*r*20+raised)
	bare := built(t, leaf(mechanism.Cylinder{R: r, H: 20}))
	if got := m.Volume() - bare.Volume(); math.Abs(got-raised) > 0.01*raised {
		t.Errorf("the letter alone is %.5f mm3, want %.5f", got, raised)
	}
	if b := built(t, text).Bounds(); math.Abs(b.Hi.Z-size/2) > 1e-4 || math.Abs(b.Lo.Z+size/2) > 1e-4 {
		t.Errorf("the letter spans %g to %g, want %g to %g", b.Lo.Z, b.Hi.Z, -size/2, size/2)
	}
}

// Every letter form gives a solid and lies within its field; on a flat and, as
// the bore's walls are the other way round, in a bore.
func TestLetters(t *testing.T) {
	var all []string
	for r := range glyphs() {
		all = append(all, string(r))
	}
	if len(all) < 26+10+18 {
		t.Errorf("only %d letter forms", len(all))
	}
	for _, w := range []string{"AbCdEfGh", "IJKLMNOP", "QRSTUVWX", "YZ01234", "56789", ".,:;-+=/", "_!?()'\"", "#*°<>", "↑↓→←", "ÄÖÜÉ&%", "ØÇÁÈÎŠ", "ÑŻÅ"} {
		full(t, leaf(mechanism.Text{Words: w, Size: 5, Height: 0.4, Stroke: 5.0 / 7}), 0)
		full(t, leaf(mechanism.Text{On: mechanism.Bore, R: 20, Words: w, Size: 5, Height: 0.4, Stroke: 0.8}), 0)
		for _, r := range w {
			if _, ok := glyphs()[[]rune(strings.ToUpper(string(r)))[0]]; !ok {
				t.Errorf("no form for %q", r)
			}
		}
	}
}

// A letter that is two as a capital.
func TestSharpS(t *testing.T) {
	p := mechanism.Text{Words: "Spaß", Size: 5, Height: 0.4, Stroke: 0.7}
	q := p
	q.Words = "SPASS"
	if a, b := built(t, leaf(p)).Volume(), built(t, leaf(q)).Volume(); a != b {
		t.Errorf("%g and %g mm3", a, b)
	}
}

// A wall of 0.1 mm between two bores stays: two shells' volumes.
func TestThinWall(t *testing.T) {
	const n = 20.0
	ring := op(mechanism.Cut, leaf(mechanism.Cylinder{R: 10, H: n}), at(0, 0, -1, leaf(mechanism.Cylinder{R: 9.9, H: n + 2})))
	full(t, ring, math.Pi*(100-9.9*9.9)*n)
	web := op(mechanism.Cut, leaf(mechanism.Block{Hi: geom.Vec{X: 20, Y: 10, Z: 5}}),
		leaf(mechanism.Block{Lo: geom.Vec{X: 2, Y: 2, Z: 1}, Hi: geom.Vec{X: 9.95, Y: 8, Z: 6}}),
		leaf(mechanism.Block{Lo: geom.Vec{X: 10.05, Y: 2, Z: 1}, Hi: geom.Vec{X: 18, Y: 8, Z: 6}}))
	full(t, web, 1000-2*7.95*6*4)
}

// Placing and mirroring change no volume, and a mirrored solid faces outwards.
func TestPlaces(t *testing.T) {
	turn := geom.Rotation(geom.Line{Point: geom.Vec{X: 3}, Dir: geom.Vec{X: 2.0 / 3, Y: 1.0 / 3, Z: 2.0 / 3}}, 1.1)
	for _, s := range []*mechanism.Shape{rod(), sleeve()} {
		want := built(t, s).Volume()
		moved := placed(s, turn)
		full(t, moved, want)
		full(t, &mechanism.Shape{Op: mechanism.Mirror, Args: []*mechanism.Shape{moved}, Plane: geom.Line{Point: geom.Vec{Y: 2}, Dir: geom.Vec{Y: 0.6, Z: 0.8}}}, want)
	}
}

// A shaft and a bore about one axis, drawn in different places and turned, share
// their division: the gap between them is the same all round.
func TestConcentric(t *testing.T) {
	inner := placed(leaf(mechanism.Cylinder{R: 6, H: 10}), geom.Rotation(geom.Line{Dir: geom.Vec{Z: 1}}, 0.3))
	outer := op(mechanism.Cut, leaf(mechanism.Cylinder{R: 9, H: 10}), at(0, 0, 11, placed(leaf(mechanism.Cylinder{R: 6.05, H: 12}), geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, math.Pi))))
	m := full(t, op(mechanism.Join, outer, inner), math.Pi*(81-6.05*6.05+36)*10)
	if n := len(m.Shells()); n != 2 {
		t.Errorf("%d shells, want 2", n)
	}
	// every corner of the rod looks at a corner of the bore; the bore has further
	// points on the straight edges between them
	c := circle{n: segments(9, DefaultTolerance)}
	for _, v := range m.V {
		r := math.Hypot(v.X, v.Y)
		if r < 1 || r > 7 || r > 6.01 && r < 6.05*c.factor()-1e-4 {
			continue
		}
		if a := math.Remainder(math.Atan2(v.Y, v.X), c.step()); math.Abs(a) > 1e-5 {
			t.Fatalf("a corner at radius %.4f stands %.2g radians off the common division", r, a)
		}
	}
}

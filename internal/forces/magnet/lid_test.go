package magnet

import (
	"math"
	"testing"

	"feint/internal/forces"
	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Closed form: moments about an edge. Two pulls of 3 N, 10 and 30 mm from it, and a
// weight of 1 N at 20 mm, against a finger at 40 mm: (30 + 90 + 20)/40 N.
func TestPeel(t *testing.T) {
	ps := []Pull{{geom.Vec{X: 10, Y: 5}, forces.Exact(3)}, {geom.Vec{X: 30, Y: -4}, forces.Exact(3)}}
	edge := geom.Line{Dir: geom.Vec{Y: 1}}
	f, err := Peel(ps, 1, geom.Vec{X: 20}, edge, geom.Vec{X: 40, Y: 9})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "peel", f.Mid(), 3.5, 1e-12)
	near(t, "straight", Total(ps).Mid(), 6, 1e-12)
	if f.Hi >= Total(ps).Lo+1 {
		t.Error("a lid peels more easily than it lifts")
	}
	if _, err := Peel(ps, 0, geom.Vec{}, edge, geom.Vec{Y: 7}); err == nil {
		t.Error("a hand on the edge: no error")
	}
}

// Direction of common practice, no source: in shaking two small magnets do not keep a
// lid on, six do. Sizes of our own: a lid of 100 g, 4 x 2 mm of N35 behind half a
// millimetre of plastic on each side, 5 g.
func TestLidInShaking(t *testing.T) {
	g, _ := GradeOf("N35")
	c := &Cylinder{D: 4, L: 2, Br: g.Br}
	under := Pocket{Roof: 0.4}.Under(c, forces.About(0, 0.05))
	each, _, err := Pair(c, c, Gap(under, under, 0, forces.About(0, 0.05)), forces.Exact(0))
	if err != nil {
		t.Fatal(err)
	}
	pulls := func(n int) (ps []Pull) {
		for range n {
			ps = append(ps, Pull{Force: each})
		}
		return ps
	}
	if two := Kept(pulls(2), 0.1, -1); two.Hi >= 5 {
		t.Errorf("two hold up to %v g", two)
	}
	if six := Kept(pulls(6), 0.1, -1); six.Lo <= 5 {
		t.Errorf("six hold up to %v g only", six)
	}
	n, ok := Need(each, 0.1, 5, 1)
	if !ok || n <= 2 || n > 6 {
		t.Errorf("%d are said to be needed", n)
	}
	if Kept(pulls(n), 0.1, -1).Lo < 5 || Kept(pulls(n-1), 0.1, -1).Lo >= 5 {
		t.Errorf("%d is not the least", n)
	}
	if _, ok := Need(forces.Interval{Lo: -1, Hi: 1}, 0.1, 5, 2); ok {
		t.Error("a pull that may be nothing")
	}
}

// Law: the number chosen holds and one fewer does not, of every size; larger magnets are
// fewer.
func TestChoices(t *testing.T) {
	g, _ := GradeOf("N35")
	cs, err := Choices([]Size{{3, 1}, {4, 2}, {6, 3}}, g.Br, forces.About(0.9, 0.1), 0.1, 5, 1.5)
	if err != nil || len(cs) != 3 {
		t.Fatalf("%+v, %v", cs, err)
	}
	for i, c := range cs {
		want := 0.1 * forces.Gravity * 6 * 1.5
		if held := float64(c.Count) * c.Each.Lo; held < want || held-c.Each.Lo >= want {
			t.Errorf("%+v: %g N for %g", c, held, want)
		}
		if i > 0 && c.Count > cs[i-1].Count {
			t.Errorf("%+v", cs)
		}
	}
	if _, err := Choices([]Size{{0, 1}}, g.Br, forces.Exact(1), 0.1, 5, 1.5); err == nil {
		t.Error("no size: no error")
	}
}

// Closed forms of pockets: 3 mm deep for 2.8 mm leaves 0.2; a roof of 0.4 grown by 0.05
// on both sides is 0.5.
func TestPocket(t *testing.T) {
	c := disc(6, 2.8, 1.2)
	grown := forces.Interval{Lo: 0, Hi: 0.05}
	near(t, "open", Pocket{Depth: 3}.Under(c, grown).Mid(), 0.2, 1e-12)
	near(t, "roof", Pocket{Roof: 0.4}.Under(c, grown).Hi, 0.5, 1e-12)
	proud := Pocket{Depth: 3, Loose: 0.3}.Under(c, grown)
	near(t, "proud", proud.Lo, -0.1, 1e-12)
	gap := Gap(forces.Exact(0.2), forces.Exact(0.4), 0.3, grown)
	if math.Abs(gap.Lo-0.8) > 1e-12 || math.Abs(gap.Hi-0.9) > 1e-12 {
		t.Errorf("gap %v", gap)
	}
	if got := Gap(proud, forces.Exact(0), 0, grown); got.Lo != 0 {
		t.Errorf("faces cannot overlap: %v", got)
	}
}

// Law: the pull falls with the opening, and the work is its integral: within the hull of
// Vokoun's potential by fine steps.
func TestCurveAndWork(t *testing.T) {
	c := disc(6, 3, 1.2)
	f, err := Curve(c, c, forces.Exact(0.5), forces.Exact(0), []float64{0, 0.5, 1.5, 3.5})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{6.269498, 4.459746, 2.504725, 0.953557} {
		near(t, "curve", f[i].Hi, want, 1e-6)
	}
	w, err := Work(c, c, forces.Exact(0.5), 3.5)
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for i := range 35000 {
		sum += 1e-4 * EqualPair(6, 3, 1.2, 0.5+1e-4*(float64(i)+0.5))
	}
	if w.Hi < sum || w.Hi > sum*1.01 || w.Lo > sum*Recoil().Lo || w.Lo < sum*Recoil().Lo*0.99 {
		t.Errorf("work %v, by fine steps %g", w, sum)
	}
}

func placed(part int, at, north geom.Vec) Placed {
	return Placed{Part: part, Magnet: *disc(6, 3, 1.2), Centre: at, North: r3.Unit(north)}
}

// Second algorithm: forces from fields on faces against the Bessel integral, in line and
// beside; Newton's third law for magnets askew.
func TestAskew(t *testing.T) {
	a := placed(0, geom.Vec{}, geom.Vec{Z: 1})
	for _, c := range [][2]float64{{0.3, 0}, {1, 0}, {1, 2}, {2, 7}} {
		b := placed(1, geom.Vec{X: c[1], Z: 3 + c[0]}, geom.Vec{Z: 1})
		f := Askew(&a, &b)
		want, _ := Beside(6, 3, 6, 3, c[0], c[1])
		if math.Abs(f.Z+want.Axial) > 0.01*math.Hypot(want.Axial, want.Side) || math.Abs(f.X+want.Side) > 0.01*math.Hypot(want.Axial, want.Side) {
			t.Errorf("%v: %v, want %v", c, f, want)
		}
	}
	for _, north := range []geom.Vec{{Z: 1}, {Z: -1}} {
		for _, at := range []geom.Vec{{X: 2, Y: 1, Z: 5}, {X: -4, Z: -6}} {
			b := placed(1, at, north)
			f, off := stacked(&a, &b)
			if g := Askew(&a, &b); off < 0 || r3.Norm(r3.Sub(f, g)) > 0.01*r3.Norm(g) {
				t.Errorf("at %v, north %v: %v and %v", at, north, f, g)
			}
		}
	}
	b := placed(1, geom.Vec{X: 5, Y: 2, Z: 6}, geom.Vec{X: 1, Y: 1, Z: -0.5})
	f, g := Askew(&a, &b), Askew(&b, &a)
	if r3.Norm(r3.Add(f, g)) > 0.01*r3.Norm(f) {
		t.Errorf("%v and %v", f, g)
	}
}

// Closed forms: unlike poles attract, like repel, on the line and beside each other; a
// turn of half a circle makes the one of the other.
func TestMeetings(t *testing.T) {
	ms := []Placed{
		placed(0, geom.Vec{}, geom.Vec{Z: 1}),
		placed(1, geom.Vec{Z: 4}, geom.Vec{Z: 1}),
		placed(1, geom.Vec{X: 40}, geom.Vec{Z: 1}),
		{Part: 2, Centre: geom.Vec{Z: -3}, North: geom.Vec{Z: 1}, Magnet: Cylinder{D: 8, L: 2}, Steel: true},
	}
	still := func(int) geom.Motion { return geom.Identity() }
	got := Meetings(ms, still, 5)
	if len(got) != 3 || got[0].Sense != Attract || got[0].A != 0 || got[0].B != 1 {
		t.Fatalf("%+v", got)
	}
	near(t, "gap", got[0].Apart, 1, 1e-12)
	if !got[0].Pull.Has(4.459746 * 0.97) {
		t.Errorf("pull %v", got[0].Pull)
	}
	if got[1].B != 3 || got[1].Sense != Attract || got[1].Pull.Lo <= 0 || got[1].Unsure != "" {
		t.Errorf("steel: %+v", got[1])
	}
	turned := func(part int) geom.Motion {
		if part == 1 {
			return geom.Rotation(geom.Line{Point: geom.Vec{Z: 4}, Dir: geom.Vec{X: 1}}, math.Pi)
		}
		return geom.Identity()
	}
	if m := Meetings(ms, turned, 5)[0]; m.Sense != Repel || m.Pull.Hi >= 0 {
		t.Errorf("turned over: %+v", m)
	}
	side := func(part int) geom.Motion {
		if part == 1 {
			return geom.Translation(geom.Vec{X: 8, Z: -4})
		}
		return geom.Identity()
	}
	if m := Meetings(ms[:2], side, 5)[0]; m.Sense != Repel {
		t.Errorf("like poles beside each other repel: %+v", m)
	}
	if got := Meetings(ms, still, 0.5); len(got) != 1 {
		t.Errorf("only the steel is within 0.5: %+v", got)
	}
}

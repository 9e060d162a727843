package load

import (
	"math"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/mass"
	"feint/internal/forces/screw"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/units"

	"gonum.org/v1/gonum/spatial/r3"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.9g, want %.9g", what, got, want)
	}
}

// ball is 10 g at a place, without extent but for a little inertia.
func ball(at geom.Vec) mass.Properties {
	return mass.Properties{Mass: 0.01, Centre: at, Inertia: mass.Tensor{XX: 1, YY: 1, ZZ: 1}}
}

func slideX(mu forces.Interval) Travel {
	return Travel{Kind: mechanism.Slide, Axis: geom.Line{Dir: geom.Vec{X: 1}}, Mass: ball(geom.Vec{}), Friction: mu}
}

func down() geom.Vec { return geom.Vec{Z: -1} }

// Closed form: a block slides where the slope exceeds atan(mu); PLA on PLA 0.12 to
// 0.38 (doi 10.1177/1464420720978997) and mu = 0.36397 at 20 degrees.
func TestSlope(t *testing.T) {
	s := slideX(forces.Interval{Lo: 0.12, Hi: 0.38})
	f := s.Under(Load{Down: down()})
	if f.Forward.Free != forces.No || f.Backward.Free != forces.No {
		t.Fatalf("level: %+v", f)
	}
	near(t, "least tilt", f.Forward.Margin.Lo, math.Atan(0.12), 1e-5)
	near(t, "largest tilt", f.Backward.Margin.Hi, math.Atan(0.38), 1e-5)
	s = slideX(forces.Exact(0.36397))
	near(t, "0.36397", units.Deg(s.Under(Load{Down: down()}).Forward.Margin.Mid()), 20, 1e-3)
	steep := r3.Unit(geom.Vec{X: math.Sin(units.Rad(25)), Z: -math.Cos(units.Rad(25))})
	f = s.Under(Load{Down: steep})
	if f.Forward.Free != forces.Yes || f.Backward.Free != forces.No {
		t.Fatalf("25 degrees: %+v", f)
	}
	near(t, "5 degrees too steep", units.Deg(f.Forward.Margin.Mid()), -5, 1e-3)
	near(t, "45 the other way", units.Deg(f.Backward.Margin.Mid()), 45, 1e-3)
	s.Friction = forces.Interval{Lo: 0.3, Hi: 0.6}
	if f = s.Under(Load{Down: steep}); f.Forward.Free != forces.Maybe || f.Forward.Margin.Lo > 0 || f.Forward.Margin.Hi < 0 {
		t.Errorf("tan 25 is between 0.3 and 0.6: %+v", f.Forward)
	}
}

// Closed form: a weight e beside a guide of length L adds 2 mu e/L of itself, so
// tan(tilt) = mu/(1 - 2 mu e/L); from e = L/(2 mu) on it jams for good (the rule of
// drawers, common practice).
func TestCocking(t *testing.T) {
	const mu, l = 0.25, 40.0
	at := func(e float64) Way {
		s := slideX(forces.Exact(mu))
		s.Guide = Guide{Length: l, Middle: geom.Vec{Y: -e}}
		return s.Under(Load{Down: down()}).Forward
	}
	near(t, "largest tilt", at(30).Margin.Hi, math.Atan(mu/(1-2*mu*30/l)), 1e-5)
	near(t, "least tilt", at(30).Margin.Lo, math.Atan(mu), 1e-5)
	if w := at(l / (2 * mu)); !math.IsInf(w.Margin.Hi, 1) || math.IsInf(w.Margin.Lo, 1) {
		t.Errorf("at L/(2 mu): %+v", w)
	}
}

// Closed form: a pendulum on a pin of radius r rests until its arm is asin(mu r/e)
// off the vertical (friction circle; J. L. Meriam and L. G. Kraige, Statics, chapter 6).
func TestPivot(t *testing.T) {
	const mu, r, e = 0.3, 4.0, 10.0
	p := Travel{
		Kind: mechanism.Turn, Axis: geom.Line{Dir: geom.Vec{Y: 1}}, Mass: ball(geom.Vec{Z: -e}),
		Friction: forces.Exact(mu), Guide: Guide{Radius: r},
	}
	f := p.Under(Load{Down: down()})
	near(t, "forward", f.Forward.Margin.Mid(), math.Asin(mu*r/e), 1e-5)
	near(t, "backward", f.Backward.Margin.Mid(), math.Asin(mu*r/e), 1e-5)
	p.Mass.Centre = geom.Vec{Z: -1}
	if f = p.Under(Load{Down: down()}); !math.IsInf(f.Forward.Margin.Lo, 1) {
		t.Errorf("an arm within the friction circle never swings: %+v", f)
	}
	p.Guide.Radius = 0
	if f = p.Under(Load{}); f.Forward.Free != forces.Maybe {
		t.Errorf("nothing known of the bearing: %+v", f.Forward)
	}
}

// Second derivation: a nut of weight W on an upright screw comes down by itself just
// where package screw says that it does not hold, with the same torques.
func TestHelix(t *testing.T) {
	const r, collar = 8.0, 5.0
	for _, lead := range []float64{5, 8, 12, 20, -20, 40} {
		for _, mu := range []float64{0.12, 0.25, 0.38} {
			h := Travel{
				Kind: mechanism.Helix, Lead: lead, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Mass: ball(geom.Vec{}),
				Friction: forces.Exact(mu), Guide: Guide{Radius: r, Collar: collar, Flank: 0.5},
			}
			w := h.Mass.Mass * forces.Gravity
			want := screw.Thread{Mean: 2 * r, Lead: math.Abs(lead), Flank: 0.5, Collar: 2 * collar}.Under(w, mu, mu)
			f := h.Under(Load{Down: down()})
			falls, rises := f.Backward, f.Forward
			if lead < 0 {
				falls, rises = rises, falls
			}
			near(t, "lowering torque", falls.Resist.Mid()-falls.Drive.Mid(), want.Lower, 1e-12)
			near(t, "raising torque", rises.Resist.Mid()-rises.Drive.Mid(), want.Raise, 1e-12)
			if (falls.Free == forces.Yes) != (want.Lower < 0) || rises.Free != forces.No {
				t.Errorf("lead %g, mu %g: %v %v, lower %g", lead, mu, falls.Free, rises.Free, want.Lower)
			}
		}
	}
}

// Closed form (2 pi f)2 A: 5 Hz and 50 mm are 5.0321 g. A detent of H newtons holds a
// part of mass m up to H/(m g), less the weight.
func TestShake(t *testing.T) {
	near(t, "5 Hz, 50 mm", Shaken(5, 50), 5.0321, 5e-5)
	s := slideX(forces.Interval{Lo: 0.2, Hi: 0.3})
	s.Hold = forces.Exact(0.5)
	g := 0.5 / (0.01 * forces.Gravity)
	f := s.Under(Load{Kind: Shake, Level: 3, Down: down()})
	near(t, "without friction", f.Forward.Margin.Lo, g-3, 1e-6)
	near(t, "with friction", f.Forward.Margin.Hi, g+0.3-3, 1e-6)
	f = s.Under(Load{Kind: Shake, Level: 3})
	near(t, "with its weight helping", f.Backward.Margin.Hi, g-1-3, 1e-6)
	if f.Forward.Free != forces.No {
		t.Errorf("4 g of detent at 3 g: %v", f.Forward.Free)
	}
	if f = s.Under(Load{Kind: Shake, Level: 10}); f.Forward.Free != forces.Yes || f.Forward.Margin.Hi > 0 {
		t.Errorf("at 10 g: %+v", f.Forward)
	}
	if f = s.Under(Load{Kind: Shake, Level: 10, Down: down(), Axis: geom.Line{Dir: geom.Vec{Y: 1}}}); f.Forward.Free != forces.No {
		t.Errorf("shaken across: %+v", f.Forward)
	}
}

// Closed form: H = m w2 r; with r = 20 mm, m = 10 g, H = 0.2 N, w = sqrt(1000)/s,
// 301.97 rpm; upright axis, no friction.
func TestSpin(t *testing.T) {
	s := slideX(forces.Exact(0))
	s.Mass = ball(geom.Vec{X: 20})
	s.Hold = forces.Exact(0.2)
	l := Load{Kind: Spin, Level: 200, Down: down(), Axis: geom.Line{Dir: geom.Vec{Z: 1}}}
	f := s.Under(l)
	near(t, "rpm", f.Forward.Margin.Mid(), math.Sqrt(1000)*30/math.Pi-200, 1e-5)
	if f.Backward.Free != forces.No || !math.IsInf(f.Backward.Margin.Lo, 1) {
		t.Errorf("inwards: %+v", f.Backward)
	}
	l.Axis.Dir, l.Down = geom.Vec{Y: 1}, geom.Vec{} // level axis: the weight helps once a turn
	near(t, "level axis", s.Under(l).Forward.Margin.Mid(), math.Sqrt((0.2-0.01*forces.Gravity)/(0.01*0.020))*30/math.Pi-200, 1)
}

// Closed form: a dumbbell on its centre turns into the plane of spinning: with
// masses m/2 at +-a from the pivot at 45 degrees, torque m a2 w2 sin 45 cos 45.
func TestSpinExtent(t *testing.T) {
	const m, a = 0.01, 10.0
	h := a / math.Sqrt2
	p := Travel{
		Kind: mechanism.Turn, Axis: geom.Line{Dir: geom.Vec{Y: 1}}, Friction: forces.Exact(0),
		Guide: Guide{Radius: 1},
		Mass:  mass.Properties{Mass: m, Inertia: mass.Tensor{XX: m * h * h, YY: m * a * a, ZZ: m * h * h, XZ: -m * h * h}},
	}
	f := p.Under(Load{Kind: Spin, Level: 120, Down: down(), Axis: geom.Line{Dir: geom.Vec{Z: 1}}})
	w := 120 * 2 * math.Pi / 60
	// masses at +-(h, 0, h): the outward push turns z towards x, rising about +y
	near(t, "torque", f.Forward.Drive.Mid(), m*a*a*w*w*0.5*1e-3, 1e-12)
}

// Closed form: a blow of E to a box of mass M leaves a slide of mass m with E m/M; it
// runs E m/(M mu m g).
func TestKnock(t *testing.T) {
	s := slideX(forces.Exact(0.25))
	l := Load{Kind: Knock, Level: 50, Down: down(), Box: 0.2}
	f := s.Under(l)
	near(t, "reach", f.Forward.Reach.Mid(), 50/(0.2*0.25*forces.Gravity), 1e-9)
	s.Barrier = forces.Interval{Lo: 2, Hi: 4}
	f = s.Under(l)
	if f.Forward.Free != forces.Maybe {
		t.Errorf("2.5 mJ against 2 to 4: %+v", f.Forward)
	}
	near(t, "least blow", f.Forward.Margin.Lo, 2*0.2/0.01-50, 1e-9)
	near(t, "surest blow", f.Forward.Margin.Hi, 4*0.2/0.01-50, 1e-9)
	l.Axis.Dir = geom.Vec{Y: 1}
	if f = s.Under(l); f.Forward.Free != forces.No {
		t.Errorf("a blow across: %+v", f.Forward)
	}
	// a bar about its end keeps 3/4 of m v2/2: (m v l/2)2/(2 m l2/3)
	bar := Travel{
		Kind: mechanism.Turn, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Guide: Guide{Radius: 1},
		Mass: mass.Properties{Mass: 0.01, Centre: geom.Vec{X: 30}, Inertia: mass.Tensor{YY: 3, ZZ: 3}}, // m l2/12, l = 60
		Hold: forces.Exact(1),
	}
	f = bar.Under(Load{Kind: Knock, Level: 40, Down: down(), Box: 0.2})
	near(t, "bar", f.Forward.Reach.Mid(), 0.75*40*0.01/0.2, 1e-9)
	if f = s.Under(Load{Kind: Knock, Level: 50}); f.Forward.Free != forces.Maybe {
		t.Error("a box of unknown mass")
	}
}

// Closed form: a slide comes loose in a cap of half angle atan(1/mu) about its axis,
// a share (1 - cos)/2 of the sphere.
func TestMap(t *testing.T) {
	const mu, n = 0.3, 4000
	s := slideX(forces.Exact(mu))
	count := 0
	for _, a := range Map([]Travel{s}, Sphere(n)) {
		if a.Free[0].Forward.Free == forces.Yes {
			count++
		}
	}
	near(t, "share", float64(count)/n, (1-math.Cos(math.Atan(1/mu)))/2, 2e-3)
	any := s.Under(Load{})
	if any.Forward.Free != forces.Yes || any.Backward.Free != forces.Yes {
		t.Errorf("some attitude frees it: %+v", any)
	}
}

// Laws: unit directions that sum to nearly nothing, none of many others farther than
// Spacing from the nearest.
func TestSphere(t *testing.T) {
	for _, n := range []int{6, 50, 400} {
		ds, sum := Sphere(n), geom.Vec{}
		for _, d := range ds {
			near(t, "length", r3.Norm(d), 1, 1e-12)
			sum = r3.Add(sum, d)
		}
		if r3.Norm(sum) > 1 {
			t.Errorf("%d: sum %v", n, sum)
		}
		for _, e := range append(Sphere(5003), geom.Vec{Z: 1}, geom.Vec{Z: -1}) {
			best := math.Inf(1)
			for _, d := range ds {
				best = min(best, r3.Norm(r3.Cross(d, e))+10*max(0, -r3.Dot(d, e)))
			}
			if math.Asin(min(1, best)) > Spacing(n) {
				t.Fatalf("%d: a hole of %g at %v, spacing %g", n, best, e, Spacing(n))
			}
		}
	}
}

// A cube has 6 faces, 12 edges and 8 corners; their middles lie even about its own.
func TestDirections(t *testing.T) {
	ds := Directions()
	var sum geom.Vec
	seen := map[geom.Vec]bool{}
	for _, d := range ds {
		sum = r3.Add(sum, d)
		seen[d] = true
		if math.Abs(r3.Norm(d)-1) > 1e-12 {
			t.Errorf("%v is no unit vector", d)
		}
	}
	if len(ds) != 26 || len(seen) != 26 || r3.Norm(sum) > 1e-12 || [6]geom.Vec(ds[:6]) != Faces() {
		t.Errorf("%d directions, %d different, sum %v", len(ds), len(seen), sum)
	}
}

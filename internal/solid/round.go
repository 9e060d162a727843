package solid

import (
	"fmt"
	"math"

	"feint/internal/field"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// share is the part of the tolerance that each of two divisions gets where a
// surface is curved both ways.
const share = 0.5

// cylinderOutline is the figure that turned about z gives the cylinder: x is the
// radius, y the height.
func cylinderOutline(c mechanism.Cylinder) ([][]field.Corner, error) {
	if err := positive("r", c.R, "h", c.H); err != nil {
		return nil, err
	}
	top, bottom := c.Top.Round+c.Top.Chamfer, c.Bottom.Round+c.Bottom.Chamfer
	for _, e := range [2]mechanism.Edge{c.Top, c.Bottom} {
		if err := edgeOK(e); err != nil {
			return nil, err
		}
	}
	if top > c.R || bottom > c.R {
		return nil, fmt.Errorf("the rim of %.4g mm is wider than the radius %.4g mm: make it smaller", max(top, bottom), c.R)
	}
	if top+bottom > c.H {
		return nil, fmt.Errorf("the rims of %.4g and %.4g mm are higher than the cylinder of %.4g mm: make them smaller", bottom, top, c.H)
	}
	quarter := math.Tan(math.Pi / 8)
	l := []field.Corner{{}}
	if bottom > 0 {
		l = append(l, field.Corner{X: c.R - bottom, Bulge: quarter * on(c.Bottom.Round)})
	}
	l = append(l, field.Corner{X: c.R, Y: bottom})
	if top > 0 {
		l = append(l, field.Corner{X: c.R, Y: c.H - top, Bulge: quarter * on(c.Top.Round)})
	}
	l = append(l, field.Corner{X: c.R - top, Y: c.H}, field.Corner{Y: c.H})
	return [][]field.Corner{merged(l)}, nil
}

func on(x float64) float64 {
	if x > 0 {
		return 1
	}
	return 0
}

func edgeOK(e mechanism.Edge) error {
	switch {
	case !finite(e.Round, e.Chamfer) || e.Round < 0 || e.Chamfer < 0:
		return fmt.Errorf("round %g and chamfer %g: an edge treatment must not be negative", e.Round, e.Chamfer)
	case e.Round > 0 && e.Chamfer > 0:
		return fmt.Errorf("an edge has both a round of %g and a chamfer of %g mm: give one of them", e.Round, e.Chamfer)
	}
	return nil
}

func coneOutline(c mechanism.Cone) ([][]field.Corner, error) {
	if err := positive("h", c.H); err != nil {
		return nil, err
	}
	if !finite(c.R0, c.R1) || c.R0 < 0 || c.R1 < 0 || c.R0+c.R1 == 0 {
		return nil, fmt.Errorf("radii %g and %g of a cone: neither may be negative and one must be positive", c.R0, c.R1)
	}
	return [][]field.Corner{merged([]field.Corner{{}, {X: c.R0}, {X: c.R1, Y: c.H}, {Y: c.H}})}, nil
}

func sphereOutline(s mechanism.Sphere) ([][]field.Corner, error) {
	if err := positive("r", s.R); err != nil {
		return nil, err
	}
	return [][]field.Corner{{{Y: -s.R, Bulge: 1}, {Y: s.R}}}, nil
}

func revolutionOutline(r mechanism.Revolution) ([][]field.Corner, error) {
	if !finite(r.Angle) || r.Angle <= 0 || r.Angle > 2*math.Pi+1e-9 {
		return nil, fmt.Errorf("an angle of %.6g degrees: turn by more than 0 and at most 360", r.Angle*180/math.Pi)
	}
	l, err := outline(r.Profile)
	if err != nil {
		return nil, err
	}
	for _, loop := range l {
		for i := range loop {
			if x := loop[i].X; x < -tiny {
				return nil, fmt.Errorf("the profile reaches x = %.4g, beyond the axis: keep x (the radius) at 0 or more", x)
			} else if x < tiny {
				loop[i].X = 0
			}
		}
	}
	if x := narrowest(l); x < -tiny {
		return nil, fmt.Errorf("an arc of the profile reaches x = %.4g, beyond the axis: keep x (the radius) at 0 or more", x)
	}
	return l, nil
}

func arcs(l [][]field.Corner) bool {
	for _, c := range l {
		for _, p := range c {
			if p.Bulge != 0 {
				return true
			}
		}
	}
	return false
}

// widest is the largest x of an outline, narrowest the least.
func widest(l [][]field.Corner) float64 {
	x := math.Inf(-1)
	for _, c := range l {
		for i, p := range c {
			x = max(x, p.X)
			if p.Bulge != 0 {
				n := c[(i+1)%len(c)]
				if a := newArc(point{p.X, p.Y}, point{n.X, n.Y}, p.Bulge); a.passes(0) {
					x = max(x, a.c.x+a.r)
				}
			}
		}
	}
	return x
}

func narrowest(l [][]field.Corner) float64 {
	var turned [][]field.Corner
	for _, c := range l {
		var t []field.Corner
		for _, p := range c {
			t = append(t, field.Corner{X: -p.X, Y: -p.Y, Bulge: p.Bulge})
		}
		turned = append(turned, t)
	}
	return -widest(turned)
}

// revolve turns the outline about z on the division c.
func revolve(l [][]field.Corner, c circle, tol float64) (*mesh.Mesh, error) {
	ps, err := loops(l, tol*share, true)
	if err != nil {
		return nil, err
	}
	b, f := newBuilder(), c.factor()
	at := func(p point, k int) geom.Vec {
		q := polar(max(0, p.x)*f, c.angle(k%c.n))
		return geom.Vec{X: q.x, Y: q.y, Z: p.y}
	}
	for _, loop := range ps {
		for i, p := range loop {
			q := loop[(i+1)%len(loop)]
			for k := range c.n {
				b.quad(at(p, k), at(q, k), at(q, k+1), at(p, k+1))
			}
		}
	}
	return b.solid(), nil
}

// wedge is the sector of the given angle, less than a full turn, about z.
func wedge(angle, r, z0, z1 float64) *mesh.Mesh {
	n := max(2, int(math.Ceil(angle/(math.Pi/3))))
	ring := []point{{}}
	for i := range n + 1 {
		ring = append(ring, polar(2*r, angle*float64(i)/float64(n)))
	}
	return prism(ring, z0, z1)
}

// prism is the extrusion of a loop.
func prism(l []point, z0, z1 float64) *mesh.Mesh {
	return stack([][][]geom.Vec{{raise(l, z0), raise(l, z1)}})
}

func raise(l []point, z float64) []geom.Vec {
	out := make([]geom.Vec, len(l))
	for i, p := range l {
		out[i] = geom.Vec{X: p.x, Y: p.y, Z: z}
	}
	return out
}

// positive checks pairs of name and value.
func positive(pairs ...any) error {
	for i := 0; i < len(pairs); i += 2 {
		if v := pairs[i+1].(float64); !finite(v) || v <= 0 {
			return fmt.Errorf("%s is %g: give a positive number", pairs[i], v)
		}
	}
	return nil
}

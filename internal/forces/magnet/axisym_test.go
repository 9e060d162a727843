package magnet

import (
	"math"
	"testing"

	"feint/internal/forces"
	"feint/internal/geom"
)

// axisym is a magnet before a disc of steel, coaxial, solved as a field: the flux function
// psi = r A_phi on a grid of rings, finite volumes, nought on a far rim. The magnet lies
// from z = gap to gap + L, the steel from -thick to 0. Written for these tests alone, on
// nothing that the program uses.
type axisym struct {
	r, z []float64 // lines of the grid
	nu   [][]float64
	steel,
	magnet func(r, z float64) bool
	psi [][]float64
	br  float64
	R   float64
}

// graded lays lines from lo to hi through the stops, h apart near them and growing away.
func graded(stops []float64, lo, hi, h, grow float64) []float64 {
	at := []float64{}
	size := func(v float64) float64 {
		d := math.Inf(1)
		for _, s := range stops {
			d = min(d, math.Abs(v-s))
		}
		return h + grow*d
	}
	ends := append(append([]float64{lo}, stops...), hi)
	for k := 1; k < len(ends); k++ {
		a, b := ends[k-1], ends[k]
		if b <= a {
			continue
		}
		// as many as the sizes ask for, shared out by them
		const n = 4000
		sum := make([]float64, n+1)
		for i := range n {
			sum[i+1] = sum[i] + (b-a)/n/size(a+(b-a)*(float64(i)+0.5)/n)
		}
		m := max(2, int(math.Ceil(sum[n])))
		i := 0
		for j := range m {
			want := sum[n] * float64(j) / float64(m)
			for sum[i+1] < want {
				i++
			}
			at = append(at, a+(b-a)/n*(float64(i)+(want-sum[i])/(sum[i+1]-sum[i])))
		}
	}
	return append(at, hi)
}

// steelNu is the reluctivity, in 1/mu0, of the steel of this check: permeability 200 up to
// 1.4 T, beyond that only what air adds. Mild steel carries more (from memory: 1.5 T and
// more at a permeability of a thousand), so that real pieces pull harder.
func steelNu(b float64) float64 {
	if b <= steelKnee {
		return 1 / steelMu
	}
	return (steelKnee/steelMu + (b - steelKnee)) / b
}

const steelKnee, steelMu = 1.4, 200.0

// solvedPull is the pull of a magnet on a disc of steel, N.
func solvedPull(c *Cylinder, br, gap, radius, thick, fine float64) float64 {
	R, L := c.D/2, c.L
	far := 8 * max(R, L)
	h := min(R, L, thick) / fine
	hz := min(h, gap/3)
	a := &axisym{
		r:      graded(sorted(R, radius), 0, far+radius, h, 0.3),
		z:      graded([]float64{-thick, 0, gap / 2, gap, gap + L}, -thick-far, gap+L+far, hz, 0.3),
		magnet: func(r, z float64) bool { return r < R && z > gap && z < gap+L },
		steel:  func(r, z float64) bool { return r < radius && z > -thick && z < 0 },
		br:     br, R: R,
	}
	return a.pull(gap / 2)
}

func sorted(a, b float64) []float64 {
	if a > b {
		a, b = b, a
	}
	if b-a < 1e-9 {
		return []float64{a}
	}
	return []float64{a, b}
}

// pull solves, steel and all, and adds up Maxwell's stress on the plane z = at.
func (a *axisym) pull(at float64) float64 {
	nr, nz := len(a.r)-1, len(a.z)-1
	a.nu = make([][]float64, nr)
	for i := range a.nu {
		a.nu[i] = make([]float64, nz)
		for j := range a.nu[i] {
			a.nu[i][j] = 1
			if a.steel(a.mid(i), a.midz(j)) {
				a.nu[i][j] = 1 / steelMu
			}
		}
	}
	a.psi = make([][]float64, nr+1)
	for i := range a.psi {
		a.psi[i] = make([]float64, nz+1)
	}
	for range 60 {
		a.solve()
		if a.saturate() < 1e-3 {
			break
		}
	}
	j := 0
	for a.z[j] < at-1e-9 {
		j++
	}
	force := 0.0
	for i := range nr {
		// both sides of the plane meet at its nodes; on a ring's middle radius
		r := a.mid(i)
		bz := (a.psi[i+1][j] - a.psi[i][j]) / (a.r[i+1] - a.r[i]) / r
		up := func(i int) float64 { return (a.psi[i][j+1] - a.psi[i][j-1]) / (a.z[j+1] - a.z[j-1]) }
		br := -(up(i) + up(i+1)) / 2 / r
		force += (bz*bz - br*br) * 2 * math.Pi * r * (a.r[i+1] - a.r[i])
	}
	return force * perMM2 / 2
}

func (a *axisym) mid(i int) float64  { return (a.r[i] + a.r[i+1]) / 2 }
func (a *axisym) midz(j int) float64 { return (a.z[j] + a.z[j+1]) / 2 }

// saturate sets the reluctivity anew where there is steel, half way, and tells the largest
// change.
func (a *axisym) saturate() float64 {
	most := 0.0
	for i := range a.nu {
		for j := range a.nu[i] {
			if !a.steel(a.mid(i), a.midz(j)) {
				continue
			}
			r := a.mid(i)
			bz := (a.psi[i+1][j] + a.psi[i+1][j+1] - a.psi[i][j] - a.psi[i][j+1]) / 2 / (a.r[i+1] - a.r[i]) / r
			br := (a.psi[i][j+1] + a.psi[i+1][j+1] - a.psi[i][j] - a.psi[i+1][j]) / 2 / (a.z[j+1] - a.z[j]) / r
			want := steelNu(math.Hypot(bz, br))
			most = max(most, math.Abs(want-a.nu[i][j])/want)
			a.nu[i][j] = math.Sqrt(want * a.nu[i][j])
		}
	}
	return most
}

// solve is a banded Cholesky factorisation of the finite-volume equations.
func (a *axisym) solve() {
	nr, nz := len(a.r)-1, len(a.z)-1
	w := nr - 1 // unknowns of a row: r[1..nr-1]
	n := w * (nz - 1)
	band := make([][]float64, n) // band[k][d] couples k with k-d
	rhs := make([]float64, n)
	id := func(i, j int) int { return (j-1)*w + i - 1 }
	for k := range band {
		band[k] = make([]float64, w+1)
	}
	couple := func(i1, j1, i2, j2 int, c float64) {
		in := func(i, j int) bool { return i > 0 && i < nr && j > 0 && j < nz }
		one, two := in(i1, j1), in(i2, j2)
		if one {
			band[id(i1, j1)][0] += c
		}
		if two {
			band[id(i2, j2)][0] += c
		}
		if one && two {
			p, q := id(i1, j1), id(i2, j2)
			if p < q {
				p, q = q, p
			}
			band[p][p-q] -= c
		}
	}
	for i := range nr {
		for j := range nz {
			dr, dz, r := a.r[i+1]-a.r[i], a.z[j+1]-a.z[j], a.mid(i)
			nu := a.nu[i][j]
			for e := range 2 {
				couple(i, j+e, i+1, j+e, nu/r*dz/2/dr)
				rr := a.r[i+e]
				if rr == 0 {
					continue
				}
				couple(i+e, j, i+e, j+1, nu/rr*dr/2/dz)
			}
			if a.magnet(r, a.midz(j)) && a.r[i+1] >= a.R-1e-9 {
				for e := range 2 {
					if j+e > 0 && j+e < nz {
						rhs[id(i+1, j+e)] += a.br * dz / 2
					}
				}
			}
		}
	}
	for k := range n {
		row := band[k]
		for d := min(k, w); d >= 0; d-- {
			o := band[k-d]
			s := row[d]
			for e := d + 1; e <= w && k-e >= 0; e++ {
				if e-d <= w {
					s -= row[e] * o[e-d]
				}
			}
			if d > 0 {
				row[d] = s / o[0]
			} else {
				row[0] = math.Sqrt(s)
			}
		}
		for d := 1; d <= w && k-d >= 0; d++ {
			rhs[k] -= row[d] * rhs[k-d]
		}
		rhs[k] /= row[0]
	}
	for k := n - 1; k >= 0; k-- {
		rhs[k] /= band[k][0]
		for d := 1; d <= w && k-d >= 0; d++ {
			rhs[k-d] -= band[k][d] * rhs[k]
		}
	}
	for j := 1; j < nz; j++ {
		for i := 1; i < nr; i++ {
			a.psi[i][j] = rhs[id(i, j)]
		}
	}
}

// TestAxisym: the solution itself, against the closed form of the image (Vokoun et al.,
// 2009), before a thick and wide plate that nothing saturates.
func TestAxisym(t *testing.T) {
	c := &Cylinder{D: 6, L: 3}
	for _, gap := range []float64{0.5, 1, 2} {
		want := EqualPair(6, 3, 1.2, 2*gap)
		if got := solvedPull(c, 1.2, gap, 30, 20, 6); math.Abs(got-want) > 0.03*want {
			t.Errorf("gap %g: %g, want %g", gap, got, want)
		}
	}
}

// TestSheet: what a disc of steel pulls with by the solution with saturation lies within
// what is told, at the narrowest disc of every share, from a quarter to the whole of the
// thickness that carries the flux, and for what is sought at most.
func TestSheet(t *testing.T) {
	off := 0.04 // of the solution, by TestAxisym and finer grids
	for _, long := range []float64{0.3, 1, 3} {
		c := &Cylinder{D: 6, L: 3 * long, Br: forces.Exact(1.4)}
		for _, gap := range []float64{0.2, 1, 2.09} {
			for _, radius := range []float64{3, 4.5, 6} {
				for _, part := range []float64{0.25, 1} {
					middles := 0
					for _, k := range [3]bool{long == 1, gap == 1, radius == 4.5} {
						if k {
							middles++
						}
					}
					if middles > 1 || testing.Short() && middles > 0 {
						continue
					}
					thick := part * c.carried(gap)
					told, why, err := Sheet(c, radius, thick, gap)
					if err != nil || why != "" || told.Lo <= 0 {
						t.Fatalf("%v %q %v", told, why, err)
					}
					// what recoil takes is not in the solution: as much wider is told
					got := solvedPull(c, 1.4, gap, radius, thick, 4)
					if got*(1-off) < told.Lo || got*(1-off) > told.Hi {
						t.Errorf("%g long, gap %g, steel %g x %.2f: %g, told %v", c.L, gap, radius, thick, got, told)
					}
				}
			}
		}
	}
}

// What is not known is told as nothing at least, with the reason.
func TestSheetUnsure(t *testing.T) {
	c := &Cylinder{D: 6, L: 3, Br: forces.Exact(1.2)}
	for want, k := range map[string][3]float64{SteelSmall: {2.9, 2, 1}, SteelFar: {6, 2, 2.2}} {
		if got, why, err := Sheet(c, k[0], k[1], k[2]); err != nil || why != want || got.Lo != 0 || got.Hi <= 0 {
			t.Errorf("%v: %v, %q, %v", k, got, why, err)
		}
	}
	if _, why, _ := Sheet(&Cylinder{D: 6, L: 20, Br: forces.Exact(1.2)}, 6, 2, 1); why != SteelShape {
		t.Errorf("long: %q", why)
	}
	// a piece that lies beside the axis counts as the disc about it; one on its edge not
	at := func(x float64, axis geom.Vec) Meeting {
		ms := []Placed{
			{Magnet: *c, North: geom.Vec{Z: 1}},
			{Part: 1, Magnet: Cylinder{D: 20, L: 4}, Centre: geom.Vec{X: x, Z: 1.5 + 0.5 + 2}, North: axis, Steel: true},
		}
		return Meet(ms, 0, 1, func(int) geom.Motion { return geom.Identity() }, forces.Interval{})
	}
	near, aside, over := at(0, geom.Vec{Z: 1}), at(5, geom.Vec{Z: 1}), at(9, geom.Vec{Z: 1})
	if !(near.Pull.Lo > aside.Pull.Lo && aside.Pull.Lo > 0) || over.Pull.Lo != 0 || over.Unsure != SteelSmall {
		t.Errorf("%v, %v, %v %q", near.Pull, aside.Pull, over.Pull, over.Unsure)
	}
	if k := at(0, geom.Vec{X: 1}); k.Pull.Lo != 0 || k.Unsure != SteelAskew {
		t.Errorf("on its edge: %v %q", k.Pull, k.Unsure)
	}
}

package mesh

// rim is a directed edge of the hole that a constraint's crossed triangles
// leave, with what lay beyond it.
type rim struct {
	from, to  int32
	beyond    int32
	fix, slot int32
}

// constrain makes the edge ab, numbered c, part of the triangulation: the
// triangles that it crosses are taken out and both halves of the hole are
// filled by cutting ears.
func (t *triangulation) constrain(a, b, c int32) error {
	u, k, done := t.startOf(a, b, c)
	if done {
		return nil
	}
	if u < 0 || t.fix[u][k] != 0 {
		return errConstraint
	}
	right, left := t.tri[u][(k+1)%3], t.tri[u][(k+2)%3]
	gone := []int32{u}
	rims := []rim{t.rim(u, (k+2)%3), t.rim(u, (k+1)%3)}
	lower, upper := []int32{a, right}, []int32{a, left}
	for {
		v := t.nb[u][k]
		l := t.slot(v, u)
		e := t.tri[v][l]
		gone = append(gone, v)
		if e == b {
			rims = append(rims, t.rim(v, (l+1)%3), t.rim(v, (l+2)%3))
			break
		}
		switch t.orient(a, b, e) {
		case 1: // v is (e, left, right): out by right-e
			rims = append(rims, t.rim(v, (l+2)%3))
			upper = append(upper, e)
			k = (l + 1) % 3
		case -1:
			rims = append(rims, t.rim(v, (l+1)%3))
			lower = append(lower, e)
			k = (l + 2) % 3
		default:
			return errConstraint
		}
		if u = v; t.fix[u][k] != 0 {
			return errConstraint
		}
	}
	lower = append(lower, b)
	over := []int32{a, b}
	for i := len(upper) - 1; i > 0; i-- {
		over = append(over, upper[i])
	}
	tris, ok := t.ears(nil, lower)
	if ok {
		tris, ok = t.ears(tris, over)
	}
	if !ok || len(tris) != len(gone) {
		return errConstraint
	}
	t.fill(gone, rims, tris, [2]int32{a, b}, c)
	return nil
}

// startOf finds the triangle at a, and its corner a, whose opposite edge
// crosses ab; done tells that ab is an edge already (and now a constraint).
func (t *triangulation) startOf(a, b, c int32) (u int32, k int, done bool) {
	first := t.at[a]
	for u = first; ; {
		k = t.cornerOf(u, a)
		p, q := t.tri[u][(k+1)%3], t.tri[u][(k+2)%3]
		if p == b || q == b {
			e := (k + 2) % 3
			if q == b {
				e = (k + 1) % 3
			}
			t.fix[u][e] = c
			if v := t.nb[u][e]; v >= 0 {
				t.fix[v][t.slot(v, u)] = c
			}
			return u, k, true
		}
		if t.orient(a, b, p) < 0 && t.orient(a, b, q) > 0 {
			return u, k, false
		}
		u = t.nb[u][(k+1)%3]
		if u < 0 || u == first { // points lie inside the frame, so round is round
			return -1, 0, false
		}
	}
}

// rim describes the edge opposite corner k of u.
func (t *triangulation) rim(u int32, k int) rim {
	r := rim{from: t.tri[u][(k+1)%3], to: t.tri[u][(k+2)%3], beyond: t.nb[u][k], fix: t.fix[u][k]}
	if r.beyond >= 0 {
		r.slot = int32(t.slot(r.beyond, u))
	}
	return r
}

// ears cuts the polygon, which turns positively and may touch itself, into
// triangles.
func (t *triangulation) ears(tris [][3]int32, poly []int32) ([][3]int32, bool) {
	for len(poly) > 3 {
		n := len(poly)
		i := 0
		for i < n && !t.isEar(poly, i) {
			i++
		}
		if i == n {
			return nil, false
		}
		tris = append(tris, [3]int32{poly[(i+n-1)%n], poly[i], poly[(i+1)%n]})
		poly = append(poly[:i], poly[i+1:]...)
	}
	if t.orient(poly[0], poly[1], poly[2]) <= 0 {
		return nil, false
	}
	return append(tris, [3]int32{poly[0], poly[1], poly[2]}), true
}

func (t *triangulation) isEar(poly []int32, i int) bool {
	n := len(poly)
	a, b, c := poly[(i+n-1)%n], poly[i], poly[(i+1)%n]
	if a == c || t.orient(a, b, c) <= 0 {
		return false
	}
	for _, p := range poly {
		if p != a && p != b && p != c &&
			t.orient(a, b, p) >= 0 && t.orient(b, c, p) >= 0 && t.orient(c, a, p) >= 0 {
			return false
		}
	}
	return true
}

// fill writes tris into the places of the triangles gone and links them.
func (t *triangulation) fill(gone []int32, rims []rim, tris [][3]int32, ab [2]int32, c int32) {
	dead := map[int32]bool{}
	for _, u := range gone {
		dead[u] = true
	}
	open := make(map[[2]int32][2]int32, 3*len(tris)) // directed edge -> triangle, corner
	for i, tr := range tris {
		t.set(gone[i], tr, [3]int32{-1, -1, -1}, [3]int32{})
		for k := range 3 {
			open[[2]int32{tr[(k+1)%3], tr[(k+2)%3]}] = [2]int32{gone[i], int32(k)}
		}
	}
	for _, r := range rims {
		at := open[[2]int32{r.from, r.to}]
		t.fix[at[0]][at[1]] = r.fix
		if r.beyond >= 0 && !dead[r.beyond] {
			t.nb[at[0]][at[1]] = r.beyond
			t.nb[r.beyond][r.slot] = at[0]
		}
	}
	for i, tr := range tris {
		u := gone[i]
		for k := range 3 {
			e := [2]int32{tr[(k+2)%3], tr[(k+1)%3]}
			if at, ok := open[e]; ok && t.nb[u][k] < 0 {
				t.nb[u][k] = at[0]
			}
			if e == ab || (e[0] == ab[1] && e[1] == ab[0]) {
				t.fix[u][k] = c
			}
			t.hot = append(t.hot, u*3+int32(k))
		}
	}
	t.end = gone[0]
	t.legalize()
}

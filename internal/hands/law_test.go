package hands_test

import (
	"slices"

	"feint/internal/diagram"
	"feint/internal/hands"
)

// law is the law of motion point by point, written without diagrams from the
// words of the package: the second way that all operators are held to.
type law struct {
	b      *hands.Board
	levels []diagram.Level
	points [][]int32
	free   []bool
}

func newLaw(b *hands.Board) *law {
	l := &law{b: b, levels: b.Space.Levels(), points: [][]int32{{}}}
	for _, v := range l.levels {
		var next [][]int32
		for _, p := range l.points {
			for u := range v.Size {
				next = append(next, append(slices.Clone(p), u))
			}
		}
		l.points = next
	}
	for i := range l.points {
		free := l.in(b.Free, i)
		for k := range b.Pairs {
			free = free && l.in(b.Pairs[k].Free, i)
		}
		l.free = append(l.free, free && !l.in(b.Avoid, i))
	}
	return l
}

// firm tells whether all pairs that depend on the levels m are surely free.
func (l *law) firm(i int, m diagram.Levels) bool {
	for _, p := range l.b.Pairs {
		if p.On&m != 0 && !l.in(p.Firm, i) {
			return false
		}
	}
	return l.in(l.b.Free, i)
}

func (l *law) in(a diagram.Set, i int) bool { return l.b.Space.Contains(a, l.points[i]) }

func (l *law) index(p []int32) int {
	i := 0
	for k, v := range l.levels {
		i = i*int(v.Size) + int(p[k])
	}
	return i
}

func (l *law) with(i, k int, u int32) int {
	p := slices.Clone(l.points[i])
	p[k] = u
	return l.index(p)
}

func (l *law) step(i, k int, by int32) (int, bool) {
	u, n := l.points[i][k]+by, l.levels[k].Size
	if l.levels[k].Cyclic {
		u = (u + n) % n
	}
	if u < 0 || u >= n {
		return 0, false
	}
	return l.with(i, k, u), true
}

func by(up bool) int32 {
	if up {
		return 1
	}
	return -1
}

func has(m diagram.Levels, k int) bool { return m>>k&1 == 1 }

func (l *law) rest(i int, held diagram.Levels) bool {
	if !l.free[i] {
		return false
	}
	for _, d := range l.b.Drives {
		if has(held, d.Level) || !l.in(d.Sure, i) {
			continue
		}
		if j, ok := l.step(i, d.Level, by(d.Up)); ok && l.firm(j, diagram.LevelsOf(d.Level)) {
			return false
		}
	}
	return true
}

// apart tells whether the pair is surely free some way on.
func (l *law) apart(p hands.Pair, i, j int, way, most int32) bool {
	for n := int32(0); n < most; n++ {
		var ok bool
		if i, ok = l.step(i, j, way); !ok {
			return false
		}
		if l.in(p.Firm, i) {
			return true
		}
	}
	return false
}

func (l *law) push(k, i int, used, moved diagram.Levels, chain int, out map[int]bool) {
	if chain == 0 {
		return
	}
	for _, p := range l.b.Pairs {
		if l.in(p.Firm, i) || p.On&moved == 0 {
			continue
		}
		for j := range l.levels {
			if !has(p.Yield, j) || has(used, j) {
				continue
			}
			for _, way := range []int32{1, -1} {
				if !l.apart(p, i, j, way, l.b.Give[k][j]+l.b.Slack) {
					continue
				}
				var ok bool
				at := i
				for n := int32(0); n < l.b.Give[k][j]; n++ {
					if at, ok = l.step(at, j, way); !ok {
						break
					}
					if l.free[at] {
						out[at] = true
					}
					if l.firm(at, moved|diagram.LevelsOf(j)) {
						break
					}
					if l.in(p.Free, at) {
						l.push(k, at, used|diagram.LevelsOf(j), moved|diagram.LevelsOf(j), chain-1, out)
					}
					if l.in(p.Firm, at) {
						break
					}
				}
			}
		}
	}
}

// fall adds to out all that comes of i.
func (l *law) fall(i int, held diagram.Levels, drives []hands.Drive, out map[int]bool) {
	if out[i] {
		return
	}
	out[i] = true
	for _, d := range drives {
		if has(held, d.Level) || !l.in(d.May, i) {
			continue
		}
		j, ok := l.step(i, d.Level, by(d.Up))
		if !ok {
			continue
		}
		if l.free[j] {
			l.fall(j, held, drives, out)
		}
		if d.Pushes && !l.firm(j, diagram.LevelsOf(d.Level)) {
			pushed := map[int]bool{}
			l.push(d.Level, j, diagram.LevelsOf(d.Level), diagram.LevelsOf(d.Level), 3, pushed)
			for r := range pushed {
				l.fall(r, held, drives, out)
			}
		}
	}
}

// settle gives where i may come to rest.
func (l *law) settle(i int, held diagram.Levels, drives []hands.Drive) map[int]bool {
	all, out := map[int]bool{}, map[int]bool{}
	l.fall(i, held, drives, all)
	for j := range all {
		if l.rest(j, held) {
			out[j] = true
		}
	}
	return out
}

// related lists the drives that a move of m may call up.
func (l *law) related(m diagram.Levels) []hands.Drive {
	driven := func(k int) bool {
		return slices.ContainsFunc(l.b.Drives, func(d hands.Drive) bool { return d.Level == k })
	}
	for range l.levels {
		for _, p := range l.b.Pairs {
			for k := range l.levels {
				if p.On&m != 0 && (has(p.Yield, k) || has(p.On, k) && driven(k)) {
					m |= diagram.LevelsOf(k)
				}
			}
		}
	}
	var out []hands.Drive
	for _, d := range l.b.Drives {
		if has(m, d.Level) {
			out = append(out, d)
		}
	}
	return out
}

func (l *law) hand(m diagram.Levels, i int) map[int]bool {
	drives := l.related(m)
	led := map[int]bool{}
	todo := []int{i}
	add := func(j int) {
		if !led[j] {
			led[j] = true
			todo = append(todo, j)
		}
	}
	for led[i] = true; len(todo) > 0; {
		at := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for r := range l.settle(at, m, drives) {
			add(r)
		}
		for k := range l.levels {
			for _, way := range []int32{1, -1} {
				j, ok := l.step(at, k, way)
				if !has(m, k) || !ok {
					continue
				}
				if l.free[j] {
					for r := range l.settle(j, m, drives) {
						add(r)
					}
				}
				if !l.firm(j, diagram.LevelsOf(k)) {
					pushed := map[int]bool{}
					l.push(k, j, m, diagram.LevelsOf(k), 3, pushed)
					for q := range pushed {
						for r := range l.settle(q, m, drives) {
							add(r)
						}
					}
				}
			}
		}
	}
	driven := false
	for _, d := range l.b.Drives {
		driven = driven || has(m, d.Level)
	}
	if !driven {
		return led
	}
	out := map[int]bool{}
	for j := range led {
		for r := range l.settle(j, 0, drives) {
			out[r] = true
		}
	}
	return out
}

func (l *law) turn(i int) map[int]bool {
	out := map[int]bool{}
	b := l.b
	from := int(l.points[i][b.Attitude])
	for _, to := range b.Near[from] {
		drives := b.Drives
		if b.Mixed {
			drives = nil
			for _, d := range b.Drives {
				// what may act in the old attitude acts in the new one too
				var ends []int32
				ks := make([]int, len(l.levels))
				for k := range ks {
					ks[k] = k
				}
				for j := range l.points {
					if l.points[j][b.Attitude] == int32(from) && l.in(d.May, j) {
						for _, u := range l.points[l.with(j, b.Attitude, int32(to))] {
							ends = append(ends, u, u+1)
						}
					}
				}
				d.May = b.Space.Or(d.May, b.Space.FromBoxes(ks, ends))
				drives = append(drives, d)
			}
		}
		j := l.with(i, b.Attitude, int32(to))
		if !l.free[j] {
			continue
		}
		for r := range l.settle(j, 0, drives) {
			out[r] = true
		}
	}
	return out
}

func (l *law) swap(s hands.Swap, i int) map[int]bool {
	out := map[int]bool{}
	for a, from := range s.Ends {
		if !l.in(from, i) {
			continue
		}
		for c, to := range s.Ends {
			if a == c {
				continue
			}
			for j := range l.points {
				same := true
				for k := range l.levels {
					same = same && (has(s.Levels, k) || l.points[i][k] == l.points[j][k])
				}
				if same && l.in(to, j) && l.free[j] {
					for r := range l.settle(j, 0, l.b.Drives) {
						out[r] = true
					}
				}
			}
		}
	}
	return out
}

// move is what move k makes of the situation i.
func (l *law) move(k, i int) map[int]bool {
	n := len(l.b.Movers)
	if k < n {
		return l.hand(l.b.Movers[k], i)
	}
	if l.b.Attitude >= 0 {
		if k == n {
			return l.turn(i)
		}
		k--
	}
	return l.swap(l.b.Swaps[k-n], i)
}

package mesh

import "math"

// pointTable gives equal points one number, whichever way they were computed.
type pointTable struct {
	pts  []point
	head map[[3]int64]int32
	next []int32
}

func newPointTable(n int) *pointTable {
	return &pointTable{head: make(map[[3]int64]int32, n)}
}

// cell is the width of the hash cells, grid units. Cells are centred on the
// multiples of cell, so that grid points stay clear of their borders.
const cell = 1.0 / 64

// id gives p's number, adding it if it is new.
func (t *pointTable) id(p *point) int32 {
	var lo, hi [3]int64
	for k, f := range p.f {
		e := 0.0
		if p.h != nil {
			e = math.Abs(f) * f64err
		}
		lo[k] = int64(math.Floor((f-e)/cell + 0.5))
		hi[k] = int64(math.Floor((f+e)/cell + 0.5))
	}
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for z := lo[2]; z <= hi[2]; z++ {
				if i := t.find([3]int64{x, y, z}, p); i >= 0 {
					return i
				}
			}
		}
	}
	return t.insert(lo, p)
}

func (t *pointTable) find(key [3]int64, p *point) int32 {
	i, ok := t.head[key]
	if !ok {
		return -1
	}
	for ; i >= 0; i = t.next[i] {
		if t.pts[i].equal(p) {
			return i
		}
	}
	return -1
}

func (t *pointTable) insert(key [3]int64, p *point) int32 {
	n := int32(len(t.pts))
	t.pts = append(t.pts, *p)
	h, ok := t.head[key]
	if !ok {
		h = -1
	}
	t.next = append(t.next, h)
	t.head[key] = n
	return n
}

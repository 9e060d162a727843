package motion

import (
	"context"
	"fmt"
	"iter"

	"feint/internal/clearance"
	"feint/internal/mechanism"
)

// Table is a pair map without geometry: it says for equal parts of the range of
// each travel whether the pair may be there.
type Table struct {
	a, b   int
	coords []clearance.Coord
	sizes  []int
	free   func(u []int) bool
}

// tableClearance is what the cells of a table have or lack, mm: beyond every
// growth that is searched.
const tableClearance = 1e3

// NewTable makes the table of parts a and b over the travels given; travel i of
// the list is cut into sizes[i] parts, a power of two, and free is asked for
// every combination of parts.
func NewTable(m *mechanism.Mechanism, a, b int, travels, sizes []int, free func(u []int) bool) (*Table, error) {
	if len(travels) > clearance.MaxCoords || len(travels) != len(sizes) {
		return nil, fmt.Errorf("motion: table of %d travels and %d sizes", len(travels), len(sizes))
	}
	t := &Table{a: a, b: b, sizes: sizes, free: free}
	for i, k := range travels {
		if sizes[i] < 1 || sizes[i]&(sizes[i]-1) != 0 {
			return nil, fmt.Errorf("motion: table size %d is no power of two", sizes[i])
		}
		tr := &m.Travels[k]
		t.coords = append(t.coords, clearance.Coord{
			Terms: []mechanism.Joint{{Travel: k, Sign: 1}},
			Lo:    tr.Lo, Hi: tr.Hi, Cyclic: tr.Full, Angle: tr.Kind != mechanism.Slide,
		})
	}
	return t, nil
}

// Parts are the two parts of the table.
func (t *Table) Parts() (int, int) { return t.a, t.b }

// Coords are the travels of the table.
func (t *Table) Coords() []clearance.Coord { return t.coords }

// Refine does nothing: a table has no undecided cells.
func (t *Table) Refine(context.Context, []float64, float64) error { return nil }

// Cells runs over the entries of the table.
func (t *Table) Cells() iter.Seq[clearance.Cell] {
	return func(yield func(clearance.Cell) bool) {
		u := make([]int, len(t.sizes))
		for {
			c := clearance.Cell{Lower: -tableClearance, Upper: -tableClearance}
			if t.free(u) {
				c.Lower, c.Upper = tableClearance, tableClearance
			}
			for i := range u {
				lo, span, n := t.coords[i].Lo, t.coords[i].Hi-t.coords[i].Lo, float64(t.sizes[i])
				c.Lo[i], c.Hi[i] = lo+span*(float64(u[i])/n), lo+span*(float64(u[i]+1)/n)
			}
			if !yield(c) {
				return
			}
			i := len(u) - 1
			for ; i >= 0; i-- {
				if u[i]++; u[i] < t.sizes[i] {
					break
				}
				u[i] = 0
			}
			if i < 0 {
				return
			}
		}
	}
}

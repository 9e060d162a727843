package hands

import (
	"slices"

	"feint/internal/diagram"
)

// tidyAt is at how many nodes a space is tidied: some hundred megabytes, as a node
// of a pushed pair has as many edges as the travel has units.
const tidyAt = 250_000

// tidied frees what nothing holds any more: what the boards hold and keep stays.
func (b *Board) tidied(keep ...diagram.Set) {
	if b.tidy != nil {
		b.tidy(keep...)
	}
}

// holds lists every set that a board holds.
func (b *Board) holds() []diagram.Set {
	out := []diagram.Set{b.Free, b.Avoid, b.free}
	for _, p := range b.Pairs {
		out = append(out, p.Free, p.Firm, p.Apart)
	}
	drives := slices.Clone(b.Drives)
	for _, ds := range b.tipped {
		drives = append(drives, ds...)
	}
	for _, d := range drives {
		out = append(out, d.Sure, d.May)
	}
	for _, x := range b.rests {
		out = append(out, x)
	}
	for _, x := range b.firms {
		out = append(out, x)
	}
	for _, x := range b.edges {
		out = append(out, x)
	}
	for _, l := range b.locals {
		out = append(out, l.sets...)
	}
	for _, s := range b.Swaps {
		out = append(out, s.Ends...)
	}
	return out
}

// collect is the tidy of the boards of a bench.
func (b *bench) collect(keep ...diagram.Set) {
	if b.sp.Live() < b.tidyAt {
		return
	}
	keep = append(slices.Clone(keep), b.pinned...)
	keep = append(keep, b.parked...)
	for _, k := range b.boards {
		keep = append(keep, k.holds()...)
	}
	b.lat.Collect(keep...)
	b.tidyAt = max(tidyAt, 2*b.sp.Live())
}

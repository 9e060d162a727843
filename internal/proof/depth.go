package proof

// depth shows that surfaces which cross do so no deeper than allowed, mm.
type depth struct{ allowed float64 }

// holds is not yet able to tell.
func (d *depth) holds(s *sweep, v span, rest []couple) (bool, *fault) {
	return true, &fault{at: v.mid(), clearance: s.need, open: true}
}

package proof

import "feint/internal/diagram"

// Aid foretells where what is followed ends, so that it need not be followed unit by unit.
// It need not be trusted: what it says must hold what it begins with, and one unit more of
// anything that the law lets happen must not lead out of it; so everything that comes of it
// lies within. Where that is not so, everything is followed as without an aid. What it says
// may hold more than is needed, but nothing that cannot be.
type Aid struct {
	// Loose is all that may come of x while the runs carry what is not held.
	Loose func(x diagram.Set, held diagram.Levels, runs []LawRun) diagram.Set
	// Led is where a hand that leads the levels m may have brought, and still holds, what
	// begins at rest in x.
	Led func(m diagram.Levels, x diagram.Set) diagram.Set
}

// foretold is what the aid says comes of x, if that holds; more is what one unit more
// brings about.
func (k *units) foretold(x diagram.Set, says func(*Aid) diagram.Set, more func(diagram.Set) diagram.Set) (diagram.Set, bool) {
	if k.l.Aid == nil || x == diagram.Empty {
		return x, false
	}
	all := says(k.l.Aid)
	return all, k.sp.Within(x, all) && k.sp.Within(all, k.free) && k.sp.Within(more(all), all)
}

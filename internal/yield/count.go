package yield

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Share is how many of a number of prints have a property, with the interval in
// which the true share lies.
type Share struct {
	Count int     `json:"count"`
	Of    int     `json:"of"`
	Share float64 `json:"share"`
	Lo    float64 `json:"lo"` // ends of the interval at the level asked
	Hi    float64 `json:"hi"`
}

// NewShare counts surely of n prints, with perhaps more that could not be
// decided. The interval is that of E. Wilson ("Probable inference, the law of
// succession, and statistical inference", J. Amer. Statist. Assoc. 22 (1927)
// 209): its lower end from those that are sure, its upper end from all.
func NewShare(surely, perhaps, n int, level float64) Share {
	s := Share{Count: surely, Of: n}
	if n == 0 {
		s.Hi = 1
		return s
	}
	s.Share = float64(surely) / float64(n)
	s.Lo, _ = Wilson(surely, n, level)
	_, s.Hi = Wilson(surely+perhaps, n, level)
	return s
}

// Wilson is the interval of a share of which k of n were seen, at a two-sided
// level such as 0.95.
func Wilson(k, n int, level float64) (lo, hi float64) {
	if n == 0 {
		return 0, 1
	}
	z := distuv.UnitNormal.Quantile(0.5 + level/2)
	p, m := float64(k)/float64(n), float64(n)
	mid := (p + z*z/(2*m)) / (1 + z*z/m)
	half := z / (1 + z*z/m) * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	return max(0, mid-half), min(1, mid+half)
}

func (s Share) String() string {
	return fmt.Sprintf("%d of %d (%.1f %%, %.1f to %.1f %%)", s.Count, s.Of, 100*s.Share, 100*s.Lo, 100*s.Hi)
}

package seam

import (
	"math"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mating"
	"feint/internal/printable"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func TestSeam(t *testing.T) {
	for _, c := range []struct {
		gap   float64
		found int
		fault bool
	}{{0.151, 0, false}, {0.149, 1, false}, {0.1, 1, true}} {
		got := check(sample.Fitted(mating.Fit{Gap: c.gap, Round: true, Wide: 12}))
		if len(got) != c.found || (c.found > 0 && (got[0].Severity == finding.Fault) != c.fault) {
			t.Errorf("gap %g: %+v", c.gap, got)
		}
	}
	zoned := sample.Fitted(mating.Fit{Gap: 0.12, Round: true, Wide: 12})
	p := zoned.Evidence.Printing.Pieces
	for _, w := range []int{sample.Gallery, sample.Rod} {
		zoned.Mechanism.Parts[w].Seam = geom.Vec{X: 1}
		for deg := 0.0; deg < 360; deg += 10 {
			sin, cos := math.Sincos(deg * math.Pi / 180)
			if w == sample.Gallery && cos > 0.94 { // a groove runs there
				continue
			}
			p[w].Slides = append(p[w].Slides, printable.Slide{At: geom.Vec{X: 6 * cos, Y: 6 * sin}, Gap: 0.12, Other: sample.Gallery + sample.Rod - w})
		}
	}
	if got := check(zoned); len(got) != 1 || !strings.Contains(got[0].Message, "wall of key rod slides") || !strings.Contains(got[0].Message, "On the side") {
		t.Errorf("a groove in the gallery alone: %+v", got)
	}
	zoned.Mechanism.Parts[sample.Rod].Seam = geom.Vec{Y: 1}
	p[sample.Rod].Slides = p[sample.Rod].Slides[:1]
	if got := check(zoned); len(got) != 0 {
		t.Errorf("nothing slides where the seams are: %+v", got)
	}
	k := sample.Fitted(mating.Fit{Gap: 0.12, Round: true, Wide: 12})
	k.Evidence.Printing.Pieces[sample.Gallery].Up = geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, 1.5)
	if got := check(k); len(got) != 1 || !strings.Contains(got[0].Message, "wall of key rod slides") {
		t.Errorf("only the rod stands: %+v", got)
	}
}

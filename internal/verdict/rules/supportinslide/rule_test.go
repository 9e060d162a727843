package supportinslide

import (
	"strings"
	"testing"

	"feint/internal/printable"
	"feint/internal/verdict/sample"
)

func TestInSlide(t *testing.T) {
	k := sample.Case()
	s := sample.Survey()
	k.Evidence.Printing = s
	r := &printable.Report{Best: -1, Given: printable.WayUp{InSlide: 1.9, Patches: []printable.Patch{{InSlide: 1.9}}}}
	s.Reports[sample.Gallery] = r
	if got := check(k); len(got) != 0 {
		t.Fatalf("1.9 mm2: %q", got[0].Message)
	}
	r.Given.InSlide = 2.1
	if got := check(k); len(got) != 1 || !strings.Contains(got[0].Message, "2 mm2") || got[0].Where.At == nil {
		t.Errorf("got %+v", got)
	}
	r.Best, r.Ways = 0, []printable.WayUp{{Name: "-z down"}}
	if got := check(k); !strings.Contains(got[0].Change, "-z down: no support") {
		t.Errorf("got %q", got[0].Change)
	}
}

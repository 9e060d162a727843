package calibrate

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
)

// The picture is well-formed XML, the same twice, and shows every reading and
// every slip.
func TestPicture(t *testing.T) {
	rs := kitchen().gauge(rand.New(rand.NewPCG(2, 8)), 2)
	rs[1].Size += 0.6
	rs[0].Name = "a < b"
	res, err := FitReadings(nil, rs)
	if err != nil {
		t.Fatal(err)
	}
	var a, b bytes.Buffer
	if err := errors.Join(res.Picture(&a, rs), res.Picture(&b, rs)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two pictures differ")
	}
	groups := 0
	for dec := xml.NewDecoder(bytes.NewReader(a.Bytes())); ; {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if e, ok := tok.(xml.StartElement); ok && e.Name.Local == "g" {
			groups++
		}
	}
	if groups != len(rs) {
		t.Errorf("%d marks for %d readings", groups, len(rs))
	}
	seen := map[string]bool{} // curves are told apart without colour
	for _, m := range regexp.MustCompile(`<polyline[^>]* stroke-dasharray="([^"]+)"`).FindAllStringSubmatch(a.String(), -1) {
		seen[m[1]] = true
	}
	if n := strings.Count(a.String(), "<polyline"); len(seen) != n || n < 2 {
		t.Errorf("%d curves have %d kinds of dashes", n, len(seen))
	}
	if n := strings.Count(a.String(), `stroke="`+slipColour+`"`); n != len(res.Outliers) || n == 0 {
		t.Errorf("%d crosses for %d slips", n, len(res.Outliers))
	}
	if strings.Contains(a.String(), "NaN") || strings.Contains(a.String(), "Inf") {
		t.Error("the picture holds no number where there should be one")
	}
	var words bytes.Buffer
	if err := res.Words(&words); err != nil || !strings.Contains(words.String(), "growth in plane") || !strings.Contains(words.String(), "may be a slip") {
		t.Errorf("%v\n%s", err, words.String())
	}
}

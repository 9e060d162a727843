package export_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"feint/internal/export"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/verdict"
	"feint/internal/verdict/sample"
)

var reportTo = flag.String("report", "", "write the sample's report to this file, to look at")

// turned is the mesh of a ring: outline (radius, height) turned about z, counter-
// clockwise as seen with the radius to the right.
func turned(outline [][2]float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	k := len(outline)
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		for _, p := range outline {
			m.V = append(m.V, geom.Vec{X: p[0] * c, Y: p[0] * s, Z: p[1]})
		}
	}
	at := func(i, j int) int32 { return int32((i%n)*k + j%k) }
	for i := range n {
		for j := range k {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			m.T = append(m.T, [3]int32{a, b, c}, [3]int32{a, c, d})
		}
	}
	return m
}

// solidRod is a cylinder with a small cylinder of its own as a pin, side by side
// in one mesh.
func solidRod(r, h float64, n int) *mesh.Mesh {
	m := turned([][2]float64{{0.001, 0}, {r, 0}, {r, h}, {0.001, h}}, n)
	pin := turned([][2]float64{{0.001, 0}, {1.2, 0}, {1.2, 3.6}, {0.001, 3.6}}, 20)
	g := geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, math.Pi/2) // z to -y
	g.T = geom.Vec{Y: -r + 0.4, Z: 14}
	pin = pin.Moved(g)
	for _, t := range pin.T {
		o := int32(len(m.V))
		m.T = append(m.T, [3]int32{t[0] + o, t[1] + o, t[2] + o})
	}
	m.V = append(m.V, pin.V...)
	return m
}

// meshes are bodies for the sample's parts, made up for their looks.
func meshes() []*mesh.Mesh {
	return []*mesh.Mesh{
		turned([][2]float64{{17, 0}, {20, 0}, {18, 62}, {15, 62}, {15, 40}, {17, 38}}, 72), // tower
		solidRod(6, 34, 40),
		turned([][2]float64{{6.3, 16}, {14.6, 16}, {14.6, 26}, {6.3, 26}}, 56), // gallery
		turned([][2]float64{{6.3, 28}, {14.6, 28}, {14.6, 38}, {6.3, 38}}, 56), // door ring
		turned([][2]float64{{0.001, 63}, {18, 63}, {12, 74}, {3, 84}, {0.001, 84}}, 48),
	}
}

func report(t *testing.T, spoil func(*mechanism.Mechanism, *motion.Result, *verdict.Evidence), ms []*mesh.Mesh) []byte {
	t.Helper()
	m, r, v := proof(spoil)
	var b bytes.Buffer
	in := export.ReportInput{Mechanism: m, Result: r, Document: export.NewDocument(m, r, v, info()), Meshes: ms}
	if err := export.WriteReport(&b, in); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestReportSample writes the sample's report, the same bytes twice. With -report
// FILE it is left there to look at.
func TestReportSample(t *testing.T) {
	b := report(t, nil, meshes())
	if !bytes.Equal(b, report(t, nil, meshes())) {
		t.Error("written twice, the bytes differ")
	}
	if *reportTo != "" {
		if err := os.WriteFile(*reportTo, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	d := read(t, b)
	if n := d.count["figure"]; n != 9 { // two plates, the scale, five moves, one map
		t.Errorf("%d figures", n)
	}
	if n := d.count["image"]; n != 7 {
		t.Errorf("%d pictures", n)
	}
}

// page is what a test wants to know of a page.
type page struct {
	count map[string]int // elements by name
	ids   map[string]bool
	text  string
}

// read goes through a page with the XML reader of the standard library, in the
// setting for HTML, and holds it to the rules for every page: well nested, nothing
// from outside, no script, names and captions where they must be.
func read(t *testing.T, b []byte) *page {
	t.Helper()
	p := &page{count: map[string]int{}, ids: map[string]bool{}}
	d := xml.NewDecoder(bytes.NewReader(b))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	var open []string
	var links []string
	captions := 0
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		switch k := tok.(type) {
		case xml.StartElement:
			open = append(open, k.Name.Local)
			p.count[k.Name.Local]++
			links = append(links, element(t, p, k)...)
			if k.Name.Local == "figcaption" {
				captions++
			}
		case xml.EndElement:
			if open[len(open)-1] != k.Name.Local {
				t.Errorf("</%s> closes <%s>", k.Name.Local, open[len(open)-1])
			}
			open = open[:len(open)-1]
		case xml.CharData:
			p.text += string(k)
		}
	}
	for _, l := range links {
		if !p.ids[l] {
			t.Errorf("a link to #%s, which is not there", l)
		}
	}
	if captions != p.count["figure"] {
		t.Errorf("%d captions for %d figures", captions, p.count["figure"])
	}
	for _, bad := range []string{"script", "iframe", "object", "link", "img", "form"} {
		if p.count[bad] > 0 {
			t.Errorf("the page has a <%s>", bad)
		}
	}
	return p
}

// element checks one start tag and gives the places of the page that it links to.
func element(t *testing.T, p *page, k xml.StartElement) (links []string) {
	t.Helper()
	at := map[string]string{}
	for _, a := range k.Attr {
		n := strings.ToLower(a.Name.Local)
		at[n] = a.Value
		if strings.HasPrefix(n, "on") {
			t.Errorf("<%s> has the handler %s", k.Name.Local, n)
		}
		if n == "href" || n == "src" {
			switch {
			case strings.HasPrefix(a.Value, "#"):
				links = append(links, a.Value[1:])
			case !strings.HasPrefix(a.Value, "data:image/png;base64,"):
				t.Errorf("<%s> reaches outside: %.40q", k.Name.Local, a.Value)
			}
		}
		if n == "id" {
			if p.ids[a.Value] {
				t.Errorf("the id %s is there twice", a.Value)
			}
			p.ids[a.Value] = true
		}
	}
	switch k.Name.Local {
	case "svg":
		if at["viewbox"] != "" && at["role"] == "img" && at["aria-label"] == "" {
			t.Error("a picture without a name")
		}
	case "th":
		if at["scope"] == "" {
			t.Error("a <th> without scope")
		}
	}
	return links
}

// TestReportAll: a page comes of every verdict, with meshes and without.
func TestReportAll(t *testing.T) {
	for name, spoil := range spoiled() {
		d := read(t, report(t, spoil, nil))
		if !strings.Contains(d.text, name) {
			t.Errorf("%s: the page does not say so", name)
		}
		if d.count["h1"] != 1 || d.count["main"] != 1 {
			t.Errorf("%s: %d h1, %d main", name, d.count["h1"], d.count["main"])
		}
	}
	m := sample.Mechanism()
	v := verdict.Judge(m, nil, verdict.Evidence{})
	var b bytes.Buffer
	in := export.ReportInput{Mechanism: m, Document: export.NewDocument(m, nil, v, info()), Meshes: meshes()[:3]}
	if err := export.WriteReport(&b, in); err != nil {
		t.Fatal(err)
	}
	if d := read(t, b.Bytes()); d.count["image"] != 2 {
		t.Errorf("without a result: %d pictures", d.count["image"])
	}
}

// TestReportNames: names from a stranger's design stay text.
func TestReportNames(t *testing.T) {
	const bad = `</text></svg></style><script>alert(1)</script>"><img src=x onerror=alert(1)>`
	b := report(t, func(m *mechanism.Mechanism, r *motion.Result, e *verdict.Evidence) {
		m.Name, m.Title, m.Revision, m.Designer, m.Goal.Name = bad, bad, bad, bad, bad
		for i := range m.Parts {
			m.Parts[i].Name += bad
			m.Parts[i].Color = `#12"/><b>`
		}
		for i := range m.Travels {
			m.Travels[i].Name, m.Travels[i].Forward, m.Travels[i].Backward = bad, bad, bad
			m.Travels[i].Marks = []mechanism.Mark{{Name: bad}}
		}
		for i := range m.Steps {
			m.Steps[i].Name = bad
		}
		for i := range m.Params {
			m.Params[i].Name, m.Params[i].Unit, m.Params[i].Note = bad, bad, bad
		}
		for i := range e.Checks {
			e.Checks[i].Name, e.Checks[i].Detail = bad, bad
		}
		r.Space.Resolution = bad
		e.Skipped = []verdict.Skip{{A: 1, B: 2, Why: bad}}
		e.Defects = []verdict.Defect{{Part: 1, Kind: bad, Detail: bad}}
	}, meshes()[:2])
	if d := read(t, b); d.count["b"] > 0 || !strings.Contains(d.text, "<script>alert(1)") {
		t.Error("the names are not there as text")
	}
}

// TestContrast holds the colours of words to WCAG 2.2, success criterion 1.4.3
// (level AA): 4.5 to 1 against the page, in light and in dark. The formula is that
// of its definitions of contrast ratio and relative luminance.
func TestContrast(t *testing.T) {
	css, err := os.ReadFile("page/report.css")
	if err != nil {
		t.Fatal(err)
	}
	blocks := regexp.MustCompile(`(?s):root \{(.*?)\}`).FindAllSubmatch(css, -1)
	if len(blocks) != 3 {
		t.Fatalf("%d sets of colours, want light, dark and print", len(blocks))
	}
	for i, when := range []string{"light", "dark", "print"} {
		c := map[string]float64{}
		for _, v := range regexp.MustCompile(`--([a-z-]+): (#[0-9a-f]+);`).FindAllSubmatch(blocks[i][1], -1) {
			c[string(v[1])] = luminance(t, string(v[2]))
		}
		for _, ink := range []string{"ink", "soft", "link", "good", "bad", "doubt"} {
			if r := contrast(c[ink], c["paper"]); r < 4.5 {
				t.Errorf("%s: --%s on --paper has %.2f to 1", when, ink, r)
			}
		}
		// 1.4.11: what is needed to understand a drawing, 3 to 1.
		for _, p := range [][2]string{{"way", "reach"}, {"short-m", "short"}, {"stuck-m", "stuck"}, {"unknown-m", "unknown"}, {"way", "paper"}} {
			if r := contrast(c[p[0]], c[p[1]]); r < 3 {
				t.Errorf("%s: --%s on --%s has %.2f to 1", when, p[0], p[1], r)
			}
		}
	}
}

func contrast(a, b float64) float64 { return (max(a, b) + 0.05) / (min(a, b) + 0.05) }

func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	if len(hex) == 4 {
		hex = "#" + strings.Repeat(hex[1:2], 2) + strings.Repeat(hex[2:3], 2) + strings.Repeat(hex[3:4], 2)
	}
	v, err := strconv.ParseUint(hex[1:], 16, 32)
	if err != nil {
		t.Fatal(err)
	}
	lin := func(b uint64) float64 {
		c := float64(b&255) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(v>>16) + 0.7152*lin(v>>8) + 0.0722*lin(v)
}

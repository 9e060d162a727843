package export

import (
	"fmt"
	"html"
	"strings"

	"feint/internal/verdict/wording"
)

// svgText builds the inside of an SVG. Numbers are written by it, words are
// escaped by it; nothing else gets in.
type svgText struct{ b strings.Builder }

// num is a coordinate to a tenth of a pixel.
func num(v float64) string {
	return strings.TrimSuffix(wording.Number(v, 1), ".0")
}

// open begins a picture of w x h that has a name and is, beyond it, told by the
// text beside.
func (s *svgText) open(class, name string, w, h float64) {
	size := ""
	if class == "scale" && w != wideW { // for a narrow window: not to be drawn smaller
		class, size = "scale narrow", fmt.Sprintf(` width="%s" height="%s"`, num(w), num(h))
	}
	fmt.Fprintf(&s.b, `<svg class="%s"%s viewBox="0 0 %s %s" role="img" aria-label="%s">`, class, size, num(w), num(h), html.EscapeString(name))
}

func (s *svgText) close() string {
	s.b.WriteString("</svg>")
	return s.b.String()
}

func (s *svgText) line(class string, x1, y1, x2, y2 float64) {
	fmt.Fprintf(&s.b, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, num(x1), num(y1), num(x2), num(y2))
}

func (s *svgText) rect(class string, x, y, w, h float64) {
	fmt.Fprintf(&s.b, `<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, num(x), num(y), num(w), num(h))
}

func (s *svgText) circle(class string, x, y, r float64) {
	fmt.Fprintf(&s.b, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, num(x), num(y), num(r))
}

// text sets words; anchor is start, middle or end.
func (s *svgText) text(class, anchor string, x, y float64, words string) {
	fmt.Fprintf(&s.b, `<text class="%s" text-anchor="%s" x="%s" y="%s">%s</text>`, class, anchor, num(x), num(y), html.EscapeString(words))
}

// polyline draws points one after another.
func (s *svgText) polyline(class string, pts [][2]float64) {
	fmt.Fprintf(&s.b, `<polyline class="%s" points="`, class)
	for i, p := range pts {
		if i > 0 {
			s.b.WriteByte(' ')
		}
		s.b.WriteString(num(p[0]) + "," + num(p[1]))
	}
	s.b.WriteString(`"/>`)
}

// loops fills closed loops by the even-odd rule.
func (s *svgText) loops(class string, loops [][][2]float64) {
	if len(loops) == 0 {
		return
	}
	fmt.Fprintf(&s.b, `<path class="%s" fill-rule="evenodd" d="`, class)
	for _, l := range loops {
		for i, p := range l {
			c := "L"
			if i == 0 {
				c = "M"
			}
			s.b.WriteString(c + num(p[0]) + " " + num(p[1]))
		}
		s.b.WriteByte('Z')
	}
	s.b.WriteString(`"/>`)
}

// arrow draws a line of points with a head at its end, over a halo, so that it
// is seen on any ground.
func (s *svgText) arrow(pts [][2]float64, head float64) {
	if len(pts) < 2 {
		return
	}
	tip := arrowHead(pts, head)
	s.polyline("halo", pts)
	s.polyline("halo head", tip)
	s.polyline("shaft", pts)
	s.polyline("shaft head", tip)
}

// numbered sets a number in a disc.
func (s *svgText) numbered(x, y, r float64, n string) {
	s.circle("disc", x, y, r)
	s.text("disc-n", "middle", x, y+4, n)
}

package solid

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"feint/internal/mechanism"
)

// textSheets are the lines of lettering, one sheet each: square ends, round
// corners. Size is the height of a capital from edge to edge.
func textSheets(p mechanism.Text) ([]*sheet, error) {
	if err := positive("size", p.Size, "height", p.Height, "stroke", p.Stroke); err != nil {
		return nil, err
	}
	if p.Stroke > p.Size/3 {
		return nil, fmt.Errorf("lines %.4g mm wide in letters %.4g mm high run together: make the stroke a third of the size or less", p.Stroke, p.Size)
	}
	if err := surfaceOK(p.On, p.R); err != nil {
		return nil, err
	}
	paths, err := textPaths(p)
	if err != nil {
		return nil, err
	}
	inner, outer := shell(p.On, p.R, p.Height, p.Height)
	var out []*sheet
	for _, path := range paths {
		h := newSheet(p.On, inner, outer, p.Stroke, path)
		h.flatEnds = true
		if err := h.check(); err != nil {
			return nil, err
		}
		out = append(out, h)
	}
	return out, nil
}

// textPaths lays the letters out, centred on the origin of the surface.
func textPaths(p mechanism.Text) ([][]mechanism.PathPoint, error) {
	forms := glyphs()
	words := []rune(strings.ReplaceAll(strings.ToUpper(p.Words), "ß", "SS"))
	unit := (p.Size - p.Stroke) / gridHeight
	pen := p.Stroke / unit
	advance := gridWidth + gridGap + pen
	long := float64(len(words))*advance - gridGap
	perU, mirror := 1.0, 1.0
	if p.On != mechanism.Flat {
		if l := long * unit; l > 2*math.Pi*p.R {
			return nil, fmt.Errorf("the words are %.4g mm long and the surface is %.4g mm round: make them smaller or shorter", l, 2*math.Pi*p.R)
		}
		perU = 1 / p.R
	}
	if p.On == mechanism.Bore { // seen from inside, rising angles run to the left
		mirror = -1
	}
	var out [][]mechanism.PathPoint
	for i, r := range words {
		if unicode.IsSpace(r) {
			continue
		}
		form, ok := forms[r]
		if !ok {
			return nil, fmt.Errorf("there is no letter form for %q: use A to Z, also with accents, 0 to 9 and %s", r, otherSigns())
		}
		x0 := -long/2 + pen/2 + float64(i)*advance
		for _, line := range penLines(form, pen) {
			var path []mechanism.PathPoint
			for _, q := range line {
				path = append(path, mechanism.PathPoint{U: mirror * (x0 + q.x) * unit * perU, V: (q.y - gridHeight/2) * unit})
			}
			out = append(out, path)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("the lettering has no letters: give some words")
	}
	return out, nil
}

// penLines are the lines of a letter on its grid for a pen of the given width.
// A dot becomes as long as it is wide, and a line that ends free at the foot or
// the head of the letter goes on by half the pen, so that all letters are as high.
func penLines(form string, pen float64) [][]point {
	var lines [][]point
	for line := range strings.SplitSeq(form, ";") {
		var l []point
		for pt := range strings.FieldsSeq(line) {
			l = append(l, gridPoint(pt))
		}
		lines = append(lines, l)
	}
	out := make([][]point, len(lines))
	for i, l := range lines {
		if len(l) == 1 {
			d := point{pen / 2, 0}
			out[i] = []point{l[0].sub(d), l[0].add(d)}
			continue
		}
		l = slices.Clone(l)
		for _, e := range [2][2]int{{0, 1}, {len(l) - 1, len(l) - 2}} {
			end, before := l[e[0]], l[e[1]]
			if (end.y == 0 || end.y == gridHeight) && !touched(lines, i, end) {
				d := end.sub(before)
				l[e[0]] = end.add(d.scale(pen / 2 / d.length()))
			}
		}
		out[i] = l
	}
	return out
}

// touched tells whether p, an end of line i, lies on another line or on the
// other end of its own.
func touched(lines [][]point, i int, p point) bool {
	own := lines[i]
	if own[0] == own[len(own)-1] {
		return true
	}
	for j, l := range lines {
		if j == i {
			continue
		}
		for k := 1; k < len(l); k++ {
			a, b := l[k-1], l[k]
			t := dot2(p.sub(a), b.sub(a)) / dot2(b.sub(a), b.sub(a))
			if same(mix(a, b, min(1, max(0, t))), p, tiny) {
				return true
			}
		}
	}
	return false
}

func gridPoint(s string) point {
	a, b, _ := strings.Cut(s, ",")
	x, errX := strconv.ParseFloat(a, 64)
	y, errY := strconv.ParseFloat(b, 64)
	if errX != nil || errY != nil {
		panic("solid: letter form " + s)
	}
	return point{x, y}
}

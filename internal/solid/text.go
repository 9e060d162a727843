package solid

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"feint/internal/mechanism"
)

// text is lettering: every line of every letter a sweep, all within one shell.
func (l *lowering) text(p mechanism.Text, f frame) (*expr, error) {
	if err := positive("size", p.Size, "height", p.Height); err != nil {
		return nil, err
	}
	paths, err := textPaths(p)
	if err != nil {
		return nil, err
	}
	width := p.Stroke
	if width == 0 {
		width = p.Size / 8
	}
	inner, outer := shell(p.On, p.R, p.Height, p.Height)
	lines := &expr{op: mechanism.Join}
	var all sheet
	for i, path := range paths {
		h := newSheet(p.On, inner, outer, width, path)
		if err := l.open(&h, f); err != nil {
			return nil, err
		}
		for _, m := range h.bodies() {
			lines.args = append(lines.args, l.add(m, f))
		}
		if i == 0 {
			all = h
		} else {
			all.path = append(all.path[:len(all.path):len(all.path)], h.path...)
		}
	}
	return &expr{op: mechanism.Common, args: append([]*expr{lines}, l.shell(&all, f)...)}, nil
}

// textPaths lays the letters out, centred on the origin of the surface.
func textPaths(p mechanism.Text) ([][]mechanism.PathPoint, error) {
	forms := glyphs()
	words := []rune(strings.ToUpper(p.Words))
	scale := p.Size / gridHeight
	left := -(float64(len(words))*gridAdvance - (gridAdvance - 4)) / 2
	perU := 1.0
	if p.On != mechanism.Flat {
		perU = 1 / p.R
	}
	mirror := 1.0
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
			return nil, fmt.Errorf("there is no letter form for %q: use A to Z, 0 to 9 and common signs", r)
		}
		x0 := left + float64(i)*gridAdvance
		for line := range strings.SplitSeq(form, ";") {
			var path []mechanism.PathPoint
			for pt := range strings.FieldsSeq(line) {
				x, y := gridPoint(pt)
				path = append(path, mechanism.PathPoint{U: mirror * (x0 + x) * scale * perU, V: (y - gridHeight/2) * scale})
			}
			out = append(out, path)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("the lettering has no letters: give some words")
	}
	return out, nil
}

func gridPoint(s string) (x, y float64) {
	a, b, _ := strings.Cut(s, ",")
	x, _ = strconv.ParseFloat(a, 64)
	y, _ = strconv.ParseFloat(b, 64)
	return x, y
}

package solid

import (
	"fmt"
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
	words := []rune(strings.ToUpper(p.Words))
	scale := (p.Size - p.Stroke) / gridHeight
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
			if len(path) == 1 { // a point: as long as it is wide
				c, d := path[0], p.Stroke/2*perU
				path = []mechanism.PathPoint{{U: c.U - d, V: c.V}, {U: c.U + d, V: c.V}}
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

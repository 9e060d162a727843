package export

import (
	"fmt"
	"image/color"
	"strings"

	"feint/internal/export/picture"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/printable"
	"feint/internal/verdict/wording"

	"gonum.org/v1/gonum/spatial/r3"
)

// WallsInfo tells how thick a part is over its surface, as drawn.
type WallsInfo struct {
	Bands    [4]float64 `json:"bands_mm"` // the thicknesses that divide the shares
	Shares   [5]float64 `json:"shares"`   // of the surface, thinnest first; the last is thicker than all, or has no other side
	Thinnest []WallInfo `json:"thinnest"` // apart from each other
	Webs     []WebInfo  `json:"webs"`     // walls on both sides of which others slide, thinnest first
}

// WallInfo is a place of the surface with what lies behind it.
type WallInfo struct {
	At        [3]float64 `json:"at_mm"`
	Thickness float64    `json:"thickness_mm"`
}

// WebInfo is a wall with something sliding on both of its sides.
type WebInfo struct {
	At        [3]float64 `json:"at_mm"`
	Thickness float64    `json:"thickness_mm"`
	Height    *float64   `json:"height_mm"` // from its root to its free edge; null where no edge is free near
	Length    float64    `json:"length_mm"`
	Others    []string   `json:"others"` // who slides on either side
}

func wallsInfo(m *mechanism.Mechanism, r *printable.Report, s *printable.Settings) WallsInfo {
	b := &builder{m: m}
	out := WallsInfo{Bands: s.WallBands(), Thinnest: []WallInfo{}, Webs: []WebInfo{}}
	for i := range out.Bands {
		out.Bands[i] = tidy(out.Bands[i])
	}
	for i, v := range r.Shares {
		out.Shares[i] = tidy(v)
	}
	at := func(v geom.Vec) [3]float64 { return [3]float64{tidy(v.X), tidy(v.Y), tidy(v.Z)} }
	for _, k := range r.Walls {
		out.Thinnest = append(out.Thinnest, WallInfo{at(k.At), tidy(k.Thick)})
	}
	for i := range r.Webs {
		w := &r.Webs[i]
		k := WebInfo{At: at(w.At), Thickness: tidy(w.Thickness), Length: tidy(w.Length), Others: []string{b.part(w.Others[0]), b.part(w.Others[1])}}
		if w.Height > 0 {
			h := tidy(w.Height)
			k.Height = &h
		}
		out.Webs = append(out.Webs, k)
	}
	return out
}

// Of the map a picture of every part is drawn whole and one cut open, as wide, px; the
// pieces stand before the part's own surface by wallProud mm, so that they hide it.
const (
	wallW     = 350
	wallGap   = 20.0
	wallTitle = 22.0
	wallProud = 0.02
	wallsMost = 24 // parts drawn
)

// wallColor is the colour of a band, thinnest first; pages have the same.
func wallColor(band int) color.NRGBA {
	return [...]color.NRGBA{{0x7a, 0x0f, 0x3c, 255}, {0xc8, 0x50, 0x2d, 255}, {0xe8, 0xa3, 0x3d, 255}, {0xf3, 0xdd, 0x92, 255}, {0xdf, 0xe3, 0xe6, 255}}[band]
}

// wallWords name a band.
func wallWords(bands [4]float64, band int) string {
	mm := func(i int) string { return wording.Number(bands[i], 2) + " mm" }
	switch band {
	case 0:
		return "1: thinner than two lines, " + mm(0)
	case 1:
		return "2: up to four lines, " + mm(1)
	case len(bands):
		return fmt.Sprintf("%d: thicker", band+1)
	}
	return fmt.Sprintf("%d: up to %s", band+1, mm(band))
}

// wallsFigure draws how thick every part is over its surface; nil where it was not asked.
func wallsFigure(in *ReportInput) (*Figure, error) {
	if in.Further == nil || in.Document.Printing == nil || len(in.Document.Printing.Parts) == 0 {
		return nil, nil
	}
	f := &Figure{ID: "walls", Title: "Walls"}
	s := newStage(in)
	var rows []wallRow
	for i, pieces := range in.Further.Walls {
		if len(pieces) == 0 || !s.has(i) || len(rows) == wallsMost {
			continue
		}
		r, err := s.wallRow(i, pieces)
		if err != nil {
			return nil, err
		}
		rows = append(rows, r)
	}
	if len(rows) == 0 {
		return nil, nil
	}
	f.draw(func(w float64) string { return wallsDrawing(rows, w) })
	bands := in.Document.Printing.Parts[0].Walls.Bands
	for k := range len(bands) + 1 {
		f.Legend = append(f.Legend, LegendKey{fmt.Sprintf("wall%d", k), wallWords(bands, k)})
	}
	f.Words = "How thick every part is behind its surface, as drawn: the widest ball that fits in there and touches the other side, or, beside a corner, straight through. First the part as it stands, then cut open; lines part what differs, and numbers name the largest place seen of each. What is thinner than two lines does not hold; what fingers can reach should have four."
	f.Tables = wallTables(in.Document.Printing)
	return f.whole(), nil
}

// wallRow is one part whole and cut.
type wallRow struct {
	part  string
	high  float64 // of a picture
	uri   [2]string
	spots [2][]picture.Spot // by band
}

// wallsDrawing lays the pictures out, in a narrow window the one cut open below the whole one.
func wallsDrawing(rows []wallRow, w float64) string {
	var body svgText
	y := 0.0
	for i := range rows {
		r := &rows[i]
		body.text("", "start", 0, y+15, r.part)
		for k := range r.uri {
			x, top := float64(k)*(wallW+wallGap), y+wallTitle
			if w < wideW {
				x, top = 0, top+float64(k)*(r.high+wallGap)
			}
			fmt.Fprintf(&body.b, `<image href="%s" x="%s" y="%s" width="%s" height="%s"/>`, r.uri[k], num(x), num(top), num(wallW), num(r.high))
			for band, at := range r.spots[k] {
				if at.Room >= 4 {
					body.numbered(x+at.X, top+at.Y, 9, fmt.Sprint(band+1))
				}
			}
		}
		y += wallTitle + r.high + wallGap
		if w < wideW {
			y += r.high + wallGap
		}
	}
	if w < wideW {
		w = wallW
	}
	var g svgText
	g.open("scale", "How thick the parts are; the tables below say the same", w, y)
	g.b.WriteString(body.b.String())
	return g.close()
}

func (s *stage) wallRow(part int, pieces []printable.WallPiece) (wallRow, error) {
	toEye := r3.Scale(-wallProud, r3.Unit(s.in))
	pose := geom.Motion{R: geom.Identity().R, T: toEye}
	var models []picture.Model
	for band, m := range bandMeshes(pieces) {
		models = append(models, picture.Model{Mesh: m, Pose: pose, Color: wallColor(band), Skin: true})
	}
	models = append(models, picture.Model{Mesh: s.meshes[part], Pose: geom.Identity(), Color: color.NRGBA{0xb8, 0xbc, 0xc0, 255}})
	up := geom.Vec{Z: 1}
	right, upward := picture.Axes(s.in, up)
	e, box := picture.NoExtent(), s.meshes[part].Bounds()
	for _, v := range s.meshes[part].V {
		e = e.Add(v, right, upward)
	}
	ew, eh := e.Size()
	h := int(wallW * min(1.2, max(0.35, eh/max(ew, 1e-9))))
	c := picture.LookAlong(s.in, up, e, wallW, h, 0.04)
	cut := picture.Plane{Point: r3.Scale(0.5, r3.Add(box.Lo, box.Hi)), Normal: s.cut.Normal}
	out := wallRow{part: wording.Part(s.m, part), high: float64(h)}
	for k, plane := range [2]*picture.Plane{nil, &cut} {
		p := picture.Render(models, c, plane)
		uri, err := picture.DataURI(p.Image)
		if err != nil {
			return out, err
		}
		out.uri[k], out.spots[k] = uri, p.Spots[:len(models)-1]
	}
	return out, nil
}

// bandMeshes are the pieces of each band as a surface; nil where there are none.
func bandMeshes(pieces []printable.WallPiece) [5]*mesh.Mesh {
	var out [5]*mesh.Mesh
	for i := range pieces {
		k := &pieces[i]
		m := out[k.Band]
		if m == nil {
			m = &mesh.Mesh{}
			out[k.Band] = m
		}
		n := int32(len(m.V))
		m.V = append(m.V, k.Piece[0], k.Piece[1], k.Piece[2])
		m.T = append(m.T, [3]int32{n, n + 1, n + 2})
	}
	return out
}

// wallTables say what the pictures do: the thinnest places, the webs, the shares.
func wallTables(p *PrintingInfo) []FigureTable {
	thin := FigureTable{Caption: "The thinnest places of every part", Heads: []string{"Part", "thickness, mm", "at x, y, z, mm", "that is"}}
	webs := FigureTable{Caption: "Webs: walls on both sides of which others slide", Heads: []string{"Part", "thickness, mm", "height, mm", "length, mm", "between", "at x, y, z, mm"}}
	shares := FigureTable{Caption: "How much of the surface lies before walls of which thickness, %", Heads: []string{"Part"}}
	for i := range p.Parts {
		k := &p.Parts[i]
		w := &k.Walls
		for _, o := range w.Thinnest {
			thin.Rows = append(thin.Rows, []string{k.Part, wording.Number(o.Thickness, 2), placeWords(o.At), bandWordsOf(w.Bands, o.Thickness)})
			thin.Marks = append(thin.Marks, FigureMark{k.Part, o.At})
		}
		for _, o := range w.Webs[:min(len(w.Webs), websTold)] {
			high := "no free edge near"
			if o.Height != nil {
				high = wording.Number(*o.Height, 1)
			}
			webs.Rows = append(webs.Rows, []string{k.Part, wording.Number(o.Thickness, 2), high, wording.Number(o.Length, 1), wording.List(o.Others), placeWords(o.At)})
			webs.Marks = append(webs.Marks, FigureMark{k.Part, o.At})
		}
		row := []string{k.Part}
		for _, v := range w.Shares {
			row = append(row, wording.Number(100*v, 1))
		}
		shares.Rows = append(shares.Rows, row)
	}
	for k := range 5 {
		shares.Heads = append(shares.Heads, wallWords(p.Parts[0].Walls.Bands, k))
	}
	out := []FigureTable{thin}
	if len(webs.Rows) > 0 {
		out = append(out, webs)
	}
	return append(out, shares)
}

// websTold is how many webs of a part are listed.
const websTold = 6

func placeWords(at [3]float64) string {
	var w []string
	for _, v := range at {
		w = append(w, wording.Number(v, 1))
	}
	return strings.Join(w, ", ")
}

// bandWordsOf names the band of a thickness without its number.
func bandWordsOf(bands [4]float64, thick float64) string {
	_, words, _ := strings.Cut(wallWords(bands, printable.BandOf(bands, thick)), ": ")
	return words
}

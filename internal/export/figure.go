package export

import "html/template"

// Figure is a picture with words and tables that say the same. The picture is an SVG
// element whose classes the page that shows it styles, built from numbers and escaped
// words.
type Figure struct {
	ID     string        `json:"id"` // scale, play, situations, attitudes, steps, handling, lids, magnets, walls
	Title  string        `json:"title"`
	SVG    string        `json:"svg"`    // empty where there is nothing to draw
	Narrow string        `json:"narrow"` // the same for a narrow window, words as large; empty where there is none
	Words  string        `json:"words"`
	Legend []LegendKey   `json:"legend"`
	Tables []FigureTable `json:"tables"`
}

// LegendKey names what a filling of the picture means.
type LegendKey struct {
	Key   string `json:"key"` // its class is k- and this
	Words string `json:"words"`
}

// FigureTable is a table beside a picture. The first column names its row.
type FigureTable struct {
	Caption string       `json:"caption"`
	Heads   []string     `json:"heads"`
	Rows    [][]string   `json:"rows"`
	Marks   []FigureMark `json:"marks"` // by row a place of a part; empty where there is none
	Show    [][]float64  `json:"show"`  // by row a configuration to be seen, mm and degrees; empty, or left out at the end, where there is none
}

// FigureMark is a place of a part, as the box is drawn, mm.
type FigureMark struct {
	Part string     `json:"part"`
	At   [3]float64 `json:"at"`
}

// Widths of the drawings, px: in a sheet, and in a window of a phone, where the words are
// to be as large (12 px).
const (
	wideW   = 720.0
	narrowW = 340.0
)

// draw puts in a picture that can be drawn in any width.
func (f *Figure) draw(in func(w float64) string) {
	f.SVG, f.Narrow = in(wideW), in(narrowW)
}

// Drawing is the picture for a template.
func (f *Figure) Drawing() template.HTML {
	return template.HTML(f.SVG) //nolint:gosec // built from numbers and escaped words
}

// Slim is the picture for a narrow window, for a template.
func (f *Figure) Slim() template.HTML {
	return template.HTML(f.Narrow) //nolint:gosec // as Drawing
}

// zoneKeys are the four things that a box does at a growth.
func zoneKeys() []LegendKey {
	return []LegendKey{{"works", "works as meant"}, {"short", "has a shortcut"}, {"stuck", "is stuck"}, {"unknown", "not known"}}
}

// whole leaves no list null, so that JSON has [].
func (f *Figure) whole() *Figure {
	if f.Legend == nil {
		f.Legend = []LegendKey{}
	}
	if f.Tables == nil {
		f.Tables = []FigureTable{}
	}
	for i := range f.Tables {
		t := &f.Tables[i]
		if t.Rows == nil {
			t.Rows = [][]string{}
		}
		if t.Show == nil {
			t.Show = [][]float64{}
		}
		if t.Marks == nil {
			t.Marks = []FigureMark{}
		}
		for k := range t.Show {
			if t.Show[k] == nil {
				t.Show[k] = []float64{}
			}
		}
	}
	return f
}

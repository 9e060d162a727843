package export

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"

	"feint/internal/export/picture"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
)

// ReportInput is what a report is made of.
type ReportInput struct {
	Mechanism *mechanism.Mechanism
	Result    *motion.Result // may be nil, as for NewDocument
	Document  *Document      // of the same proof
	Meshes    []*mesh.Mesh   // one a part, as drawn (every travel at 0); nil, or nil entries, where there is none

	Cut   *picture.Plane // where the pictures are cut open; nil chooses the middle of the frame
	Whole []int          // parts that the cut leaves whole; nil chooses slender ones

	Hands *hands.Way // the way, where more than the hand moves parts: how the box is held; else nil

	Printers []Printer // of the workshop, drawn on the fit window
	Further  *Further  // what was asked after the proof; nil where it was not
}

//go:embed page/report.html
var reportHTML string

//go:embed page/report.css
var reportCSS string

// marksCSS is shared with the page: web/src/bench.css imports it.
//
//go:embed page/marks.css
var marksCSS string

// reportPage is what the template sees.
type reportPage struct {
	*Document
	Style    template.CSS
	Title    string
	Asked    string
	Size     string
	Plates   []plateView
	Legend   []legendEntry
	Scale    *Figure
	Charts   []*Figure // play, situations
	Walls    *Figure   // nil where it was not asked
	Hands    []*Figure // handling, lids; empty where it was not asked
	Narrow   string
	Start    string
	Frames   []frameView
	Turned   bool // on the way the box is held otherwise than drawn
	MoreMove int  // moves without a picture
	Sheets   []sheetView
	Time     string
}

// WriteReport writes one HTML page that needs nothing beside it: no script, no
// other file, no network. Every picture has a text beside it that says the same.
// All names are escaped.
func WriteReport(w io.Writer, in ReportInput) error {
	_, err := DrawReport(w, in)
	return err
}

// DrawReport is WriteReport and gives the drawings one by one as well.
func DrawReport(w io.Writer, in ReportInput) (*Views, error) {
	t, err := template.New("report").Funcs(reportFuncs()).Parse(reportHTML)
	if err != nil {
		return nil, fmt.Errorf("the report's template: %w", err)
	}
	p, err := newReportPage(&in)
	if err != nil {
		return nil, fmt.Errorf("report: %w", err)
	}
	if err := t.Execute(w, p); err != nil {
		return nil, fmt.Errorf("writing the report: %w", err)
	}
	return p.views(&in), nil
}

func newReportPage(in *ReportInput) (*reportPage, error) {
	d := in.Document
	p := &reportPage{
		Document: d, Style: template.CSS(marksCSS + reportCSS), Title: titleOf(d), //nolint:gosec // a file of ours
		Asked: growthPair(d.Growth, 1) + " mm a side",
		Scale: ScaleFigure(d, in.Printers), Charts: in.Further.figures(in), Narrow: tightestWords(d), Start: startWords(d), Time: secondsWords(d.Seconds),
	}
	var err error
	if p.Walls, err = wallsFigure(in); err != nil {
		return nil, err
	}
	p.Hands = (&builder{m: in.Mechanism}).handlingFigures(d.Handling)
	s := newStage(in)
	p.Size = s.sizeWords()
	var seen [2][]bool
	if s.any() {
		if p.Plates, seen, err = s.plates(); err != nil {
			return nil, err
		}
	}
	p.Legend = s.legend(seen)
	if in.Result == nil {
		return p, nil
	}
	if err := p.moves(s, in.Result.Way, in.Hands); err != nil {
		return nil, err
	}
	for i := range in.Result.Sheets {
		if v := newSheetView(in.Mechanism, &in.Result.Sheets[i]); !v.Blank {
			p.Sheets = append(p.Sheets, v)
		}
	}
	return p, nil
}

// moves fills the storyboard, with pictures where there are meshes.
func (p *reportPage) moves(s *stage, w *motion.Way, hand *hands.Way) error {
	if w == nil {
		return nil
	}
	if s.any() {
		var err error
		if p.Frames, err = s.frames(w, hand, p.Solution); err != nil {
			return err
		}
	}
	for i := range p.Frames {
		p.Turned = p.Turned || p.Frames[i].Held != ""
	}
	for i := len(p.Frames); i < len(p.Solution); i++ {
		k := &p.Solution[i]
		p.Frames = append(p.Frames, frameView{N: i + 1, Part: k.Part, Words: k.Words, Room: roomWords(k)})
	}
	return nil
}

// any tells whether there is a mesh to show.
func (s *stage) any() bool {
	for i := range s.m.Parts {
		if s.has(i) {
			return true
		}
	}
	return false
}

func titleOf(d *Document) string {
	if d.Design.Title != "" {
		return d.Design.Title
	}
	return d.Design.Name
}

package export

import (
	"fmt"
	"math"
	"slices"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/verdict/wording"

	"gonum.org/v1/gonum/spatial/r3"
)

// Views are the drawings of a report one by one, for a page that lays them out
// itself. Every drawing is an SVG element whose classes the page styles, built
// from numbers and escaped words; the words beside it say the same.
type Views struct {
	Partial bool         `json:"partial"` // the storyboard and the fit window only; the rest follows
	Frames  []Frame      `json:"frames"`
	Sheets  []SheetPaper `json:"sheets"`
	Scale   *Figure      `json:"scale"`  // the fit window
	Charts  []*Figure    `json:"charts"` // growth against play, situations, attitudes, handling, lids
}

// Frame is one move of the storyboard.
type Frame struct {
	N     int      `json:"n"`
	Part  string   `json:"part"`
	Words []string `json:"words"`
	Room  string   `json:"room"`
	Held  string   `json:"held"` // how the box is held, where the words do not say so; empty where nobody ever turns it
	SVG   string   `json:"svg"`  // empty where there is no picture
}

// SheetPaper is the unrolled map of one pair.
type SheetPaper struct {
	Title   string        `json:"title"`
	Words   string        `json:"words"`
	SVG     string        `json:"svg"`
	Along   string        `json:"along"` // what the numbers of a corner are
	Round   string        `json:"round"`
	Corners []SheetCorner `json:"corners"` // of the way, in order
	Arms    []SheetArm    `json:"arms"`
	Short   []SheetShort  `json:"shortcuts"` // those that run otherwise here than the way taken
}

// SheetShort is a way that leaves out a step, corner by corner.
type SheetShort struct {
	Name    string `json:"name"` // on the drawing
	Step    string `json:"step"`
	Growth  string `json:"growth"`
	Corners string `json:"corners"`
}

// SheetCorner is one corner of the way.
type SheetCorner struct {
	N     int    `json:"n"`
	Along string `json:"along"`
	Round string `json:"round"`
}

// SheetArm is one blind arm: where it leaves the way and where it ends.
type SheetArm struct {
	Letter string `json:"letter"`
	Leaves string `json:"leaves"`
	Ends   string `json:"ends"`
}

// DrawFrames draws the storyboard alone.
func DrawFrames(in ReportInput) (*Views, error) {
	v := &Views{Partial: true, Frames: []Frame{}, Sheets: []SheetPaper{}, Charts: []*Figure{}}
	s := newStage(&in)
	if in.Result == nil || in.Result.Way == nil || !s.any() {
		return v, nil
	}
	p := &reportPage{Document: in.Document}
	if err := p.moves(s, in.Result.Way, in.Hands); err != nil {
		return nil, err
	}
	v.frames(p)
	return v, nil
}

func (v *Views) frames(p *reportPage) {
	for i := range p.Frames {
		f := &p.Frames[i]
		v.Frames = append(v.Frames, Frame{f.N, f.Part, list(f.Words), f.Room, f.Held, string(f.Drawing)})
	}
}

// views are the drawings of a report, one by one; its scale is without printers.
func (p *reportPage) views(in *ReportInput) *Views {
	v := &Views{Frames: []Frame{}, Sheets: []SheetPaper{}, Scale: ScaleFigure(in.Document, nil), Charts: []*Figure{}}
	if in.Result == nil {
		return v
	}
	v.Charts = slices.Concat(v.Charts, p.Charts, p.Hands)
	if p.Walls != nil {
		v.Charts = append(v.Charts, p.Walls)
	}
	v.frames(p)
	for i := range p.Sheets {
		v.Sheets = append(v.Sheets, p.Sheets[i].paper())
	}
	return v
}

func (s *sheetView) paper() SheetPaper {
	o := SheetPaper{
		Title: s.Title, Words: s.Words, SVG: string(s.Drawing), Along: s.Along, Round: s.Round,
		Corners: []SheetCorner{}, Arms: []SheetArm{}, Short: []SheetShort{},
	}
	for _, c := range s.Corners {
		o.Corners = append(o.Corners, SheetCorner(c))
	}
	for _, k := range s.Short {
		o.Short = append(o.Short, SheetShort(k))
	}
	for _, a := range s.Arms {
		o.Arms = append(o.Arms, SheetArm{a.Letter, a.LeaveAlong + ", " + a.LeaveRound, a.EndAlong + ", " + a.EndRound})
	}
	return o
}

// Band is a range of growths, mm a surface, in which the box does one thing.
type Band struct {
	Lo float64 `json:"lo_mm"`
	Hi float64 `json:"hi_mm"`
	Is string  `json:"is"` // "works as meant", "has a shortcut", "is stuck", "not known"
}

func (s *scale) bands() []Band {
	var out []Band
	for _, r := range s.runs() {
		out = append(out, Band{tidy(r.lo), tidy(r.hi), r.zone.String()})
	}
	return out
}

func bandWords(bs []Band) string {
	var w []string
	for _, b := range bs {
		w = append(w, fmt.Sprintf("%s to %s mm %s", wording.Signed(b.Lo, 3), wording.Signed(b.Hi, 3), b.Is))
	}
	return wording.List(w)
}

// Opening is how a box is cut open where nobody has said how: across an axis, with the
// parts that stay whole. The drawings of a report are cut so.
type Opening struct {
	Axis  string  `json:"axis"`  // x, y or z
	At    float64 `json:"at_mm"` // where the plane meets that axis
	Whole []int   `json:"whole"` // parts, by number
}

// NewOpening chooses the cut of a box with one mesh a part; nil where there is none.
func NewOpening(m *mechanism.Mechanism, meshes []*mesh.Mesh) Opening {
	s := newStage(&ReportInput{Mechanism: m, Meshes: meshes})
	n, p := s.cut.Normal, s.offFaces()
	o := Opening{Axis: "y", At: p.Y, Whole: []int{}}
	switch {
	case n.X != 0:
		o.Axis, o.At = "x", p.X
	case n.Z != 0:
		o.Axis, o.At = "z", p.Z
	}
	for i, whole := range s.whole {
		if whole {
			o.Whole = append(o.Whole, i)
		}
	}
	return o
}

// offFaces is a point of the cut; one that lies in a face, of which nobody could say whether
// it is cut away, is put a little deeper into what is left.
func (s *stage) offFaces() geom.Vec {
	const near, deeper = 1e-4, 0.003 // mm; a share of the box
	n, p := s.cut.Normal, s.cut.Point
	in := false
	s.points(s.all(), s.m.Start, func(v geom.Vec) { in = in || math.Abs(r3.Dot(n, r3.Sub(v, p))) < near })
	if !in {
		return p
	}
	lo, hi := s.reach(s.all(), n)
	return r3.Sub(p, r3.Scale(deeper*(hi-lo), n))
}

// MoveInfos tells a way as documents do.
func MoveInfos(in ReportInput, w *motion.Way) []MoveInfo {
	if w == nil {
		return []MoveInfo{}
	}
	return (&builder{m: in.Mechanism}).solution(w)
}

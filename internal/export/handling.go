package export

import (
	"fmt"
	"io"
	"math"

	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/forces/strength"
	"feint/internal/forces/survey"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/verdict/wording"
)

// HandlingInfo tells how the box stands up to hands, at the loose end of the growths
// asked. Levels are by convention; all of it is an estimate.
type HandlingInfo struct {
	Tilt  LoadInfo   `json:"tilt"`
	Shake LoadInfo   `json:"shake"`  // at the middle level
	Shook []LoadInfo `json:"shakes"` // at every level asked
	Spin  LoadInfo   `json:"spin"`
	Knock LoadInfo   `json:"knock"`
	Force LoadInfo   `json:"force"` // what breaks first under strong fingers
	Trap  string     `json:"trap"`  // yes, no, undecided: a situation that can be reached and from which the goal cannot

	Attitudes []AttitudeInfo `json:"attitudes"` // what runs in which attitude; empty where it was not asked

	Lids     []LidInfo     `json:"lids"`         // that magnets hold at the start
	Courses  []CourseInfo  `json:"magnets"`      // what they do to travels along their strokes
	Meetings []MeetingInfo `json:"magnets_meet"` // which come near each other, or are meant to
	Pushers  []PusherInfo  `json:"pushers"`
	Assembly []EntryInfo   `json:"assembly"` // in the order in which the parts go in; then those for which no way in was found
}

// LoadInfo is one kind of load.
type LoadInfo struct {
	Level   *float64  `json:"level"` // asked, in Unit
	Unit    string    `json:"unit"`
	Outcome string    `json:"outcome"` // holds, only rattles, skips a step, reaches the goal, breaks; undecided
	Sure    bool      `json:"sure"`    // whatever is not known of friction and force
	Step    *string   `json:"step"`    // which is skipped
	Margin  SpanInfo  `json:"margin"`  // how much more it takes to open, from least to most; null where nothing does it
	First   *GiveInfo `json:"gives_way_first"`
	Moves   []string  `json:"moves"` // what comes loose and has room, "part travel"
	Words   string    `json:"words"`
}

// SpanInfo is a range; null is without end.
type SpanInfo struct {
	Lo *float64 `json:"lo"`
	Hi *float64 `json:"hi"`
}

// GiveInfo is what gives way first, and from which level on.
type GiveInfo struct {
	Part   string   `json:"part"`
	Travel *string  `json:"travel"`
	Way    string   `json:"way"`
	From   SpanInfo `json:"from"`
}

// Handled puts into the document how the box stands up to hands. r may be nil, and so
// may s where nothing could be weighed.
func (d *Document) Handled(m *mechanism.Mechanism, rows []hands.Row, r *hands.Result, a *hands.Assembly, s *survey.Survey) {
	if len(rows) == 0 {
		return
	}
	b := &builder{m: m}
	h := &HandlingInfo{Trap: "no", Shook: []LoadInfo{}, Attitudes: []AttitudeInfo{}}
	for i := range rows {
		k := b.load(&rows[i])
		switch rows[i].Kind {
		case load.Tilt:
			h.Tilt = k
		case load.Shake:
			h.Shook = append(h.Shook, k)
			if rows[i].Level == hands.ShakeLevel {
				h.Shake = k
			}
		case load.Spin:
			h.Spin = k
		case load.Knock:
			h.Knock = k
		}
	}
	h.Force, h.Lids, h.Assembly, h.Pushers = b.force(s), b.lids(s), b.assembly(a), []PusherInfo{}
	h.Courses, h.Meetings = b.courses(s), b.meetings(s)
	if r != nil {
		h.Trap, h.Pushers = r.Trap.Exists.String(), b.pushers(r.Pushers)
	}
	d.Handling = h
}

func span(i forces.Interval) SpanInfo { return SpanInfo{bounded(i.Lo), bounded(i.Hi)} }

func (b *builder) load(r *hands.Row) LoadInfo {
	o := LoadInfo{
		Level: bounded(r.Level), Unit: r.Kind.Unit(), Outcome: r.Outcome.String(), Sure: r.Sure,
		Margin: span(r.Margin), Moves: []string{},
	}
	if r.Step >= 0 {
		o.Step = &b.m.Steps[r.Step].Name
	}
	for _, t := range r.Moves {
		o.Moves = append(o.Moves, b.travel(t))
	}
	if f := r.First; f != nil {
		t := &b.m.Travels[f.Travel]
		way := t.Backward
		if f.Up {
			way = t.Forward
		}
		o.First = &GiveInfo{Part: b.m.Parts[t.Part].Name, Travel: &t.Name, Way: way, From: span(f.From)}
	}
	o.Words = loadWords(&o)
	return o
}

func (b *builder) travel(t int) string {
	k := &b.m.Travels[t]
	return b.m.Parts[k.Part].Name + " " + k.Name
}

// force is what breaks first of all that stands out of a part.
func (b *builder) force(s *survey.Survey) LoadInfo {
	hand := strength.HandOf(strength.Pull)
	o := LoadInfo{Level: bounded(hand.Strong), Unit: "N", Outcome: "undecided", Moves: []string{}}
	if s == nil {
		o.Words = "Not known: a mesh is broken."
		return o
	}
	if len(s.Features) == 0 {
		o.Words = "No pin, web or lip that stands out was found; that proves nothing."
		return o
	}
	f := &s.Features[0]
	for i := range s.Features {
		if s.Features[i].Force.Lo < f.Force.Lo {
			f = &s.Features[i]
		}
	}
	o.Margin = span(f.Force.Sub(forces.Exact(hand.Strong)))
	o.First = &GiveInfo{Part: b.m.Parts[f.Part].Name, Way: f.Mode.String() + " at " + wording.Place(f.Weak.Centre), From: span(f.Force)}
	o.Outcome = "holds"
	if f.Force.Lo < hand.Strong {
		o.Outcome = "breaks"
		o.Sure = f.Force.Hi < hand.Strong
	}
	o.Words = fmt.Sprintf("What stands out of %s first %s, at %s N by estimate; strong fingers pull %s N.",
		wording.Part(b.m, f.Part), f.Mode, spanWords(o.First.From, 0), wording.Number(hand.Strong, 0))
	return o
}

// loadWords tells a row in a sentence or two.
func loadWords(o *LoadInfo) string {
	out := "It " + o.Outcome
	if !o.Sure && o.Outcome != "holds" {
		out = "It may be that it " + o.Outcome
	}
	if o.Step != nil {
		out += " (" + wording.Name(*o.Step) + ")"
	}
	switch m := o.Margin; {
	case m.Lo == nil:
		out += "; nothing of this kind opens it"
	case *m.Lo > 0:
		out += fmt.Sprintf("; it would take %s %s more to open", spanWords(m, 1), o.Unit)
	case m.Hi != nil && *m.Hi <= 0:
		out += fmt.Sprintf("; %s %s less would do", wording.Number(-*m.Hi, 1), o.Unit)
	}
	if o.First != nil {
		way := ""
		if o.First.Way != "" {
			way = ", " + o.First.Way
		}
		out += fmt.Sprintf(". First %s gives way%s, from %s %s", wording.Name(o.First.Part), way, spanWords(o.First.From, 1), o.Unit)
	}
	return out + "."
}

func spanWords(s SpanInfo, digits int) string {
	switch {
	case s.Lo == nil:
		return "no level"
	case s.Hi == nil:
		return wording.Number(*s.Lo, digits) + " or more"
	case math.Abs(*s.Hi-*s.Lo) < 0.5*math.Pow10(-digits):
		return wording.Number(*s.Lo, digits)
	}
	lo, hi := wording.Number(*s.Lo, digits), wording.Number(*s.Hi, digits)
	if lo == hi {
		return lo
	}
	return lo + " to " + hi
}

// rows lists the loads in the order in which they are told.
func (h *HandlingInfo) rows() []loadRow {
	out := []loadRow{{"tilt", h.Tilt}}
	for _, k := range h.Shook {
		out = append(out, loadRow{"shake", k})
	}
	return append(out, loadRow{"spin", h.Spin}, loadRow{"knock", h.Knock}, loadRow{"force", h.Force})
}

type loadRow struct {
	Name string
	LoadInfo
}

func (r *loadRow) asked() string {
	if r.Level == nil {
		return ""
	}
	return wording.Number(*r.Level, 0) + " " + r.Unit
}

// Handling writes for a person how the box of d stands up to hands.
func Handling(w io.Writer, d *Document, s Style) error {
	if s.Width == 0 {
		s.Width = 80
	}
	t := &terminal{style: s, width: max(40, s.Width)}
	t.para("", wording.Name(d.Design.Name)+" in hands, printed loose ("+wording.Growth(d.Growth.Lo)+" a surface)")
	if d.Handling == nil {
		t.para("  ", "Not known: "+d.Sentence)
	} else {
		t.handling(d.Handling)
	}
	if _, err := io.WriteString(w, t.b.String()); err != nil {
		return fmt.Errorf("writing to the terminal: %w", err)
	}
	return nil
}

func (t *terminal) handling(h *HandlingInfo) {
	t.line("")
	for _, r := range h.rows() {
		t.para(fmt.Sprintf("  %-6s %8s  %s  ", r.Name, r.asked(), padded(r.Outcome, 16)), r.Words)
	}
	t.line("")
	switch h.Trap {
	case "yes":
		t.para("  ", "There is a trap: a situation that can be reached and from which the goal cannot.")
	case "undecided":
		t.para("  ", "Whether there is a trap is not known.")
	}
	t.parts(h)
	t.para("  ", "These are estimates from drawn shapes and tables of friction and strength. Try it, over a soft surface, with nobody's fingers in the way; whatever children may get hold of is for an accredited laboratory to judge.")
}

// Opened tells whether some handling may open the box or leave out a step.
func (h *HandlingInfo) Opened() bool {
	for _, r := range h.rows() {
		if r.Outcome == hands.Opens.String() || r.Outcome == hands.Skips.String() {
			return true
		}
	}
	return false
}

package export

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

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

	Lids     []LidInfo     `json:"lids"`           // that magnets hold at the start
	Courses  []CourseInfo  `json:"magnets"`        // what they do to travels along their strokes
	OnWay    []OnWayInfo   `json:"magnets_on_way"` // what they do along the strokes of the solution
	Meetings []MeetingInfo `json:"magnets_meet"`   // which come near each other, or are meant to
	Pushers  []PusherInfo  `json:"pushers"`
	Assembly []EntryInfo   `json:"assembly"`       // in the order in which the parts go in; then those for which no way in was found
	Tried    *TriedInfo    `json:"assembly_tried"` // of those for which none was found, what was tried; null where one was found for all
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
	Moves   []string  `json:"moves"`       // what comes loose and has room, "part travel"
	Hold    []string  `json:"hold_one_of"` // parts any one of which, held, keeps it from opening; empty where it does not open, or none does
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
	h.Tried = tried(a)
	h.Courses, h.OnWay, h.Meetings = b.courses(s), b.onWay(s), b.meetings(s)
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
	o.Hold = []string{}
	for _, t := range r.Keeps {
		if p := b.m.Parts[b.m.Travels[t].Part].Name; !slices.Contains(o.Hold, p) {
			o.Hold = append(o.Hold, p)
		}
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
	o := LoadInfo{Level: bounded(hand.Strong), Unit: "N", Outcome: "undecided", Moves: []string{}, Hold: []string{}}
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
	o.Words = fmt.Sprintf("What stands out of %s at %s is the first to break: it %s, at %s N by estimate; strong fingers pull %s N.",
		wording.Part(b.m, f.Part), wording.Place(f.Weak.Centre), f.Mode, spanWords(o.First.From, 0), wording.Number(hand.Strong, 0))
	return o
}

// loadWords tells a row in a sentence or two.
func loadWords(o *LoadInfo) string {
	out := "It " + o.Outcome
	if !o.Sure && o.Outcome != "holds" {
		out = "It may be that it " + o.Outcome
	}
	return out + o.rest(true)
}

// rest tells what comes after the outcome: which step, from what level on it opens, by how
// much that is more than asked, and what gives way first.
func (o *LoadInfo) rest(more bool) string {
	out := ""
	if o.Step != nil {
		out += " (" + wording.Name(*o.Step) + ")"
	}
	switch m := o.Margin; {
	case m.Lo == nil:
		out += "; nothing of this kind opens it"
	case o.Level == nil:
	case m.Hi == nil && *o.Level+*m.Lo < least(o.Unit):
		out += "; from what level on is not known"
	case m.Hi == nil:
		out += fmt.Sprintf("; it may open from %s %s on", wording.Number(*o.Level+*m.Lo, digitsOf(*o.Level)), o.Unit)
	case m.Hi != nil && *o.Level+*m.Hi < least(o.Unit):
		out += "; the least of it opens it"
	default:
		needs := SpanInfo{bounded(max(0, *o.Level+*m.Lo)), bounded(*o.Level + *m.Hi)}
		out += fmt.Sprintf("; it opens from %s %s on", spanWords(needs, digitsOf(*o.Level)), o.Unit)
		if *m.Lo > 0 && more {
			out += fmt.Sprintf(", %s more than asked", spanWords(m, digitsOf(*o.Level)))
		}
	}
	if f := o.First; f != nil {
		way := ""
		if f.Way != "" {
			way = ", " + f.Way
		}
		out += fmt.Sprintf(". What gives way first is %s%s, %s", wording.Name(f.Part), way, f.from(o.Unit))
	}
	return out + "."
}

// from tells from which level on it gives way.
func (f *GiveInfo) from(unit string) string {
	switch {
	case f.From.Hi != nil && *f.From.Hi < least(unit):
		return "at once"
	case f.From.Lo != nil && *f.From.Lo < least(unit):
		return "perhaps at once"
	}
	return fmt.Sprintf("from %s %s on", spanWords(f.From, 1), unit)
}

// least is the level below which a load is next to nothing.
func least(unit string) float64 {
	for _, k := range []load.Kind{load.Tilt, load.Shake, load.Spin, load.Knock} {
		if k.Unit() == unit {
			return k.Least()
		}
	}
	return load.Tilt.Least()
}

// digitsOf is how finely a level is told.
func digitsOf(level float64) int {
	if math.Abs(level) >= 100 {
		return 0
	}
	return 1
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

// alike tells whether two rows say the same but for the level asked.
func (r *loadRow) alike(o *loadRow) bool {
	return r.Name == o.Name && r.Outcome == o.Outcome && r.Sure == o.Sure && r.rest(false) == o.rest(false)
}

// load tells rows that are alike, with all their levels.
func (t *terminal) load(rs []loadRow) {
	r := &rs[0]
	var levels []string
	for i := range rs {
		if l := rs[i].Level; l != nil {
			levels = append(levels, wording.Number(*l, 0))
		}
	}
	name := r.Name
	if len(levels) > 0 {
		name += " " + wording.List(levels) + " " + r.Unit
	}
	words := r.Words
	if r.Name != "force" {
		words = outcomeWords(&r.LoadInfo) + r.rest(len(rs) == 1)
	}
	t.para(fmt.Sprintf("  %-20s  ", name), words)
}

// outcomeWords are the outcome as a sentence begins with it.
func outcomeWords(o *LoadInfo) string {
	may := !o.Sure && o.Outcome != "holds"
	switch {
	case o.Outcome == hands.Opens.String() && may:
		return "May reach the goal"
	case o.Outcome == hands.Skips.String() && may:
		return "May skip a step"
	case o.Outcome == hands.Rattles.String() && may:
		return "May rattle"
	case o.Outcome == "":
		return ""
	}
	return strings.ToUpper(o.Outcome[:1]) + o.Outcome[1:]
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
	rows := h.rows()
	for i := 0; i < len(rows); {
		n := i + 1
		for n < len(rows) && rows[n].alike(&rows[i]) {
			n++
		}
		t.load(rows[i:n])
		i = n
	}
	if s := h.holdWords(); s != "" {
		t.line("")
		t.para("  ", s)
	}
	switch h.Trap {
	case "yes":
		t.para("  ", "There is a trap: a situation that can be reached and from which the goal cannot.")
	case "undecided":
		t.para("  ", "Whether there is a trap is not known.")
	}
	t.parts(h)
	t.para("  ", "These are estimates from drawn shapes and tables of friction and strength. Try it, over a soft surface, with nobody's fingers in the way; whatever children may get hold of is for an accredited laboratory to judge.")
}

// holdWords tells what would keep shut what handling opens, where one thing does so for all
// of it; empty where it is nothing that one can say in a line.
func (h *HandlingInfo) holdWords() string {
	var all []string
	var kinds int
	for _, r := range h.rows() {
		if r.Outcome != hands.Opens.String() || r.Unit == "N" {
			continue
		}
		if kinds++; kinds == 1 {
			all = r.Hold
		}
		all = slices.DeleteFunc(slices.Clone(all), func(p string) bool { return !slices.Contains(r.Hold, p) })
	}
	if len(all) == 0 {
		return ""
	}
	var names []string
	for _, p := range all {
		names = append(names, wording.Name(p))
	}
	return fmt.Sprintf("What would keep it shut: hold %s by a detent, a stronger latch or spring, or a part across its way.", strings.Join(names, " or "))
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

package export

import (
	"fmt"
	"math"

	"feint/internal/forces"
	"feint/internal/forces/magnet"
	"feint/internal/forces/survey"
	"feint/internal/mechanism"
	"feint/internal/verdict/wording"
)

// CourseInfo is what all magnets do to a travel along its stroke, the others at the start,
// by estimate. Forces are in ForceUnit: N, or N mm on a turn or helix.
type CourseInfo struct {
	Part      string     `json:"part"`
	Travel    string     `json:"travel"`
	Unit      string     `json:"unit"`       // of the travel
	ForceUnit string     `json:"force_unit"` // of all forces here
	Forward   SpanInfo   `json:"forward"`    // what it takes from the start to bring it forwards past them; negative: they push it on
	Backward  SpanInfo   `json:"backward"`   // the same backwards
	Curve     []PushInfo `json:"curve"`      // along the stroke, by rising value
}

// PushInfo is what pushes a travel along rising values at one value of it.
type PushInfo struct {
	At   float64  `json:"at"`
	Push SpanInfo `json:"push"`
}

// MeetingInfo is two magnets, or a magnet and steel, of different parts that come near, or
// are meant to.
type MeetingInfo struct {
	A       MagnetName `json:"a"`
	B       MagnetName `json:"b"`
	Meant   string     `json:"meant"`   // attract, repel; neither if the design says nothing
	Nearest MeetInfo   `json:"nearest"` // where they are nearest
	Against *MeetInfo  `json:"against"` // where they do the contrary of what is meant most strongly; null if nowhere
	Reached bool       `json:"reached"` // whether only what may be reached was looked at
}

// MagnetName names a magnet or a piece of steel.
type MagnetName struct {
	Part   string `json:"part"`
	Magnet string `json:"magnet"`
}

// MeetInfo is what two magnets do in one configuration.
type MeetInfo struct {
	At     []Setting `json:"at"`
	Apart  float64   `json:"apart_mm"`
	Sense  string    `json:"sense"`  // attract, repel, across, neither
	Pull   SpanInfo  `json:"pull_n"` // on the line of their middles; negative pushes
	Side   SpanInfo  `json:"side_n"` // across it
	Unsure string    `json:"unsure"` // of steel, why the least pull is not told; empty where it is
}

func (b *builder) courses(s *survey.Survey) []CourseInfo {
	out := []CourseInfo{}
	if s == nil {
		return out
	}
	for i := range s.Courses {
		c := &s.Courses[i]
		t := &b.m.Travels[c.Travel]
		o := CourseInfo{Part: b.part(t.Part), Travel: t.Name, Unit: wording.Unit(t), ForceUnit: "N mm", Curve: []PushInfo{}}
		if t.Kind == mechanism.Slide {
			o.ForceUnit = "N"
		}
		// the ends of both go with the same remanence
		o.Forward = span(c.Push().Neg().Add(c.Hold(b.m, true)))
		o.Backward = span(c.Push().Add(c.Hold(b.m, false)))
		for _, k := range c.Along {
			o.Curve = append(o.Curve, PushInfo{b.out(c.Travel, k.Value), span(k.Push)})
		}
		out = append(out, o)
	}
	return out
}

func (b *builder) meetings(s *survey.Survey) []MeetingInfo {
	out := []MeetingInfo{}
	if s == nil {
		return out
	}
	name := func(i int) MagnetName { return MagnetName{b.part(s.Magnets[i].Part), s.Magnets[i].Name} }
	at := func(p *survey.Place) *MeetInfo {
		return &MeetInfo{b.settings(p.Config), tidy(p.Apart), p.Sense.String(), span(p.Pull), span(p.Side), p.Unsure}
	}
	for i := range s.Meetings {
		p := &s.Meetings[i]
		o := MeetingInfo{A: name(p.A), B: name(p.B), Meant: p.Meant.String(), Nearest: *at(&p.Nearest), Reached: s.Reached}
		if p.Against != nil {
			o.Against = at(p.Against)
		}
		out = append(out, o)
	}
	return out
}

// lid tells whether the travel is told of as a lid.
func (h *HandlingInfo) lid(c *CourseInfo) bool {
	for i := range h.Lids {
		if h.Lids[i].Part == c.Part && h.Lids[i].Travel == c.Travel {
			return true
		}
	}
	return false
}

// strongest is where along its stroke a travel is pushed most.
func (c *CourseInfo) strongest() *PushInfo {
	var out *PushInfo
	most := -1.0
	for i := range c.Curve {
		k := &c.Curve[i]
		if k.Push.Lo == nil || k.Push.Hi == nil {
			continue
		}
		if v := max(math.Abs(*k.Push.Lo), math.Abs(*k.Push.Hi)); v > most {
			out, most = k, v
		}
	}
	return out
}

// words tell what is felt: at the start, and where most.
func (c *CourseInfo) words() string {
	out := wording.Name(c.Part) + " " + wording.Name(c.Travel) + " feels magnets"
	digits := c.digits()
	held := func(s SpanInfo) bool {
		return s.Hi != nil && *s.Hi > 0 && spanWords(s, digits) != wording.Number(0, digits)
	}
	switch {
	case held(c.Forward) && held(c.Backward):
		out += fmt.Sprintf(": from the start it takes %s %s to bring it on past them, %s back", spanWords(c.Forward, digits), c.ForceUnit, spanWords(c.Backward, digits))
	case held(c.Forward):
		out += fmt.Sprintf(": from the start it takes %s %s to bring it on past them", spanWords(c.Forward, digits), c.ForceUnit)
	case held(c.Backward):
		out += fmt.Sprintf(": from the start it takes %s %s to bring it back past them", spanWords(c.Backward, digits), c.ForceUnit)
	}
	if k := c.strongest(); k != nil {
		way := "on"
		push := forces.Interval{Lo: *k.Push.Lo, Hi: *k.Push.Hi}
		if push.Mid() < 0 {
			way, push = "back", push.Neg()
		}
		out += fmt.Sprintf("; most at %s %s, where they push it %s with %s %s", wording.Number(k.At, 1), c.Unit, way, spanWords(span(push), digits), c.ForceUnit)
	}
	return out
}

// digits is how finely forces are told.
func (c *CourseInfo) digits() int {
	if c.ForceUnit == "N" {
		return 1
	}
	return 0
}

// magnets tells what travels feel of magnets, and which magnets meet against what is meant.
func (t *terminal) magnets(h *HandlingInfo) {
	for i := range h.Courses {
		if c := &h.Courses[i]; !h.lid(c) {
			t.para("  - ", c.words()+"; the other parts as at the start, by estimate.")
		}
	}
	for i := range h.OnWay {
		t.para("  - ", h.OnWay[i].words()+".")
	}
	for i := range h.Meetings {
		p := &h.Meetings[i]
		if p.Against == nil && p.Meant != magnet.Neither.String() && p.Nearest.Unsure == "" {
			continue
		}
		t.para("  - ", p.words()+".")
	}
}

// words tell how two magnets meet.
func (p *MeetingInfo) words() string {
	name := func(n MagnetName) string { return wording.Quoted(n.Magnet) + " of " + wording.Name(n.Part) }
	k := &p.Nearest
	if p.Against != nil {
		k = p.Against
	}
	out := fmt.Sprintf("%s and %s come within %s mm and %s, %s N", name(p.A), name(p.B), wording.Number(k.Apart, 1), k.does(), k.force())
	if k.Unsure != "" {
		out += " (" + k.Unsure + ")"
	}
	if p.Meant == magnet.Neither.String() {
		return out + "; nothing is said of what is meant"
	}
	return out + fmt.Sprintf(", where they are meant to %s", p.Meant)
}

// does says what they do.
func (k *MeetInfo) does() string {
	if k.Sense == magnet.Across.String() {
		return "draw each other sideways"
	}
	return k.Sense
}

// force is the pull or push, or what draws sideways, without its sign.
func (k *MeetInfo) force() string {
	s := k.Pull
	switch {
	case k.Sense == magnet.Across.String():
		s = k.Side
	case s.Lo != nil && s.Hi != nil && *s.Lo+*s.Hi < 0:
		s = span(forces.Interval{Lo: -*s.Hi, Hi: -*s.Lo})
	}
	return spanWords(s, 1)
}

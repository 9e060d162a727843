package export

import (
	"fmt"

	"feint/internal/forces"
	"feint/internal/forces/survey"
	"feint/internal/mechanism"
	"feint/internal/verdict/wording"
)

// OnWayInfo is what magnets do along one stroke of the solution, everything else where it
// stands as the stroke begins, by estimate.
type OnWayInfo struct {
	Move      int        `json:"move"` // of the solution, from 1
	Part      string     `json:"part"`
	Travel    string     `json:"travel"`
	Unit      string     `json:"unit"`       // of the travel
	ForceUnit string     `json:"force_unit"` // of all forces here
	From      float64    `json:"from"`
	To        float64    `json:"to"`
	Takes     SpanInfo   `json:"takes"` // the most that it takes against them; negative: they push it on all the way
	At        float64    `json:"at"`    // where that is
	Start     SpanInfo   `json:"takes_as_at_start"`
	Differs   bool       `json:"differs"` // whether it is felt that the others are not as at the start
	Curve     []PushInfo `json:"curve"`   // along rising values, in the order of the stroke
}

func (b *builder) onWay(s *survey.Survey) []OnWayInfo {
	out := []OnWayInfo{}
	if s == nil {
		return out
	}
	for i := range s.OnWay {
		k := &s.OnWay[i]
		t := &b.m.Travels[k.Travel]
		o := OnWayInfo{
			Move: k.Move, Part: b.part(t.Part), Travel: t.Name, Unit: wording.Unit(t), ForceUnit: "N mm",
			From: b.out(k.Travel, k.From), To: b.out(k.Travel, k.To), At: b.out(k.Travel, k.At),
			Takes: span(k.Takes), Start: span(k.Otherwise), Differs: k.Differs, Curve: []PushInfo{},
		}
		if t.Kind == mechanism.Slide {
			o.ForceUnit = "N"
		}
		for _, c := range k.Along {
			o.Curve = append(o.Curve, PushInfo{b.out(k.Travel, c.Value), span(c.Push)})
		}
		out = append(out, o)
	}
	return out
}

// words tell what the stroke takes, and what it would as the box is at the start.
func (o *OnWayInfo) words() string {
	out := fmt.Sprintf("Move %d of the solution, %s %s, %s", o.Move, wording.Name(o.Part), wording.Name(o.Travel), o.taking(o.Takes, fmt.Sprintf(", most at %s %s", wording.Number(o.At, 1), o.Unit)))
	if o.Differs {
		return out + ", everything else where it then stands; as at the start it " + o.taking(o.Start, "")
	}
	return out + ", as it does while everything else stands as at the start"
}

// taking says what it takes, and where most.
func (o *OnWayInfo) taking(s SpanInfo, most string) string {
	c := CourseInfo{ForceUnit: o.ForceUnit}
	words := spanWords(s, c.digits())
	switch {
	case words == wording.Number(0, c.digits()):
		return "feels no magnet"
	case s.Hi != nil && s.Lo != nil && *s.Hi <= 0:
		return fmt.Sprintf("is pushed on by magnets all the way, by %s %s at least", spanWords(span(forces.Interval{Lo: -*s.Hi, Hi: -*s.Lo}), c.digits()), o.ForceUnit)
	default:
		return fmt.Sprintf("takes %s %s against magnets%s", words, o.ForceUnit, most)
	}
}

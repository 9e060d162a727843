package export

import (
	"fmt"
	"slices"
	"strings"

	"feint/internal/motion"
	"feint/internal/verdict/wording"
)

// zoneMark is how a zone is drawn on the scale.
func (t *terminal) zoneMark(z zone) string {
	plain := [...]string{"?", "=", "x", "#"}
	drawn := [...]string{"?", "━", "╳", "█"}
	if t.style.Unicode {
		return drawn[z]
	}
	return plain[z]
}

func zoneTone(z zone) string { return [...]string{yellow, green, red, red}[z] }

// fit draws the fit window and says the same in a table.
func (t *terminal) fit(d *Document) {
	s := newScale(d)
	t.heading("Fit window: how far every printed surface may stand proud, mm")
	t.line("")
	t.bar(s)
	t.line("")
	t.table(d)
}

// bar is the scale: the limits named above it, what was asked below.
func (t *terminal) bar(s *scale) {
	n := min(t.width-4, 100)
	col := func(g float64) int { return min(n-1, max(0, int(s.share(g)*float64(n)))) }
	above, below := newLabels(n), newLabels(n)
	cells := make([]zone, n)
	for i := range cells {
		cells[i] = s.at(s.lo + (float64(i)+0.5)/float64(n)*(s.hi-s.lo))
	}
	points := map[int]string{col(0): "0"}
	points[col(s.asked.Lo)], points[col(s.asked.Hi)] = "[", "]"
	if v := s.fit.Leak; v != nil {
		points[col(*v)] = "|"
		above.endAt(col(*v), "leak "+wording.GrowthNumber(*v))
	}
	if v := s.fit.Bind; v != nil {
		points[col(*v)] = "|"
		above.beginAt(col(*v), "bind "+wording.GrowthNumber(*v))
	}
	below.around(col(0), "drawn")
	below.endAt(col(s.asked.Lo), wording.GrowthNumber(s.asked.Lo))
	below.beginAt(col(s.asked.Hi), wording.GrowthNumber(s.asked.Hi))

	t.line("  %s", above)
	t.line("  %s", t.cells(cells, points))
	t.line("  %s", below)
	t.legend(cells)
}

// cells draws the zones, equal ones in one run, with the points set on them.
func (t *terminal) cells(cells []zone, points map[int]string) string {
	var out, run strings.Builder
	tone := ""
	put := func(s, sgr string) {
		if sgr != tone {
			out.WriteString(t.paint(run.String(), tone))
			run.Reset()
			tone = sgr
		}
		run.WriteString(s)
	}
	for i, z := range cells {
		if p, ok := points[i]; ok {
			put(p, bold)
		} else {
			put(t.zoneMark(z), zoneTone(z))
		}
	}
	put("", "")
	return out.String()
}

func (t *terminal) legend(cells []zone) {
	var seen [stuckZone + 1]bool
	for _, z := range cells {
		seen[z] = true
	}
	words := []string{}
	for _, z := range []zone{worksZone, shortcutZone, stuckZone, unknownZone} {
		if seen[z] {
			words = append(words, t.zoneMark(z)+" "+z.String())
		}
	}
	t.para("  ", strings.Join(append(words, "[..] asked"), ", "))
}

// table says the scale in words; on a narrow terminal line by line.
func (t *terminal) table(d *Document) {
	rows := fitRows(d)
	if t.width < 76 { // 53 columns of numbers, and words beside them
		for _, r := range rows {
			text := r.Side + " a side"
			if r.Across != "" {
				text += ", " + r.Across + " across"
			}
			if r.Means != "" {
				text += ": " + r.Means
			}
			t.para("  "+r.Name+" ", text)
		}
	} else {
		row := func(r fitRow) {
			t.para("  "+padded(r.Name, 14)+" "+padded(r.Side, 17)+" "+padded(r.Across, 17)+" ", r.Means)
		}
		row(fitRow{"", "a side", "across", ""})
		for _, r := range rows {
			row(r)
		}
	}
	for _, s := range []string{confirmedWords(d), tightestWords(d)} {
		if s != "" {
			t.para("  ", s)
		}
	}
}

// fitRow is one line of the fit window in words.
type fitRow struct{ Name, Side, Across, Means string }

func fitRows(d *Document) []fitRow {
	var out []fitRow
	f := &d.Fit
	switch {
	case f.Leak != nil:
		out = append(out, limitRow("leak", f.LeakLimit, *f.Leak, "here and below a step can be left out"))
	case len(d.Steps) == 0:
		out = append(out, fitRow{"leak", "-", "-", "no step is declared"})
	default:
		out = append(out, fitRow{"leak", "none found", "", "no step can be left out" + holdsWords(d.Fit.Holds)})
	}
	switch {
	case noLower(f.LeakPlay, f.Leak):
		out = append(out, fitRow{"leak with play", "no lower", "", "parts pushed or tipped may leave it out above that too; up to where is not known"})
	case f.LeakPlay != nil:
		out = append(out, limitRow("leak with play", f.PlayLimit, *f.LeakPlay, "the same for parts pushed or tipped"))
	}
	out = append(out, fitRow{
		"asked", wording.GrowthNumber(d.Growth.Lo) + " to " + wording.GrowthNumber(d.Growth.Hi),
		wording.GrowthNumber(2*d.Growth.Lo) + " to " + wording.GrowthNumber(2*d.Growth.Hi), "",
	})
	switch l := f.BindLimit; {
	case f.Bind != nil:
		out = append(out, limitRow("bind", l, *f.Bind, "above it no way is left"))
	case l != nil && l.Lo != nil:
		out = append(out, fitRow{"bind", "above " + wording.GrowthNumber(*l.Lo), "above " + wording.GrowthNumber(2**l.Lo), "at every size searched a way is left"})
	case l != nil && l.Hi != nil && openBelow(d, *l.Hi):
		out = append(out, fitRow{"bind", "at most " + wording.GrowthNumber(*l.Hi), "at most " + wording.GrowthNumber(2**l.Hi), "above it no way is left; below it none is known"})
	case l != nil && l.Hi != nil:
		out = append(out, fitRow{"bind", "below " + wording.GrowthNumber(*l.Hi), "below " + wording.GrowthNumber(2**l.Hi), "at no size searched is there a way"})
	default:
		out = append(out, fitRow{"bind", "not known", "", ""})
	}
	return out
}

// openBelow tells whether it is not known if it opens at some growth asked below g.
func openBelow(d *Document, g float64) bool {
	return slices.ContainsFunc(d.Openings, func(o OpeningInfo) bool { return o.Growth < g && o.Opens == motion.Undecided.String() })
}

// noLower tells whether of the leak with play, which lies no lower than that of parts
// held straight, no more is known than that: then it stands at the latter's lower end.
func noLower(play, straight *float64) bool {
	return play != nil && straight != nil && *play < *straight
}

// holdsWords says down to which growth something holds.
func holdsWords(holds *float64) string {
	if holds == nil {
		return ""
	}
	return " down to " + wording.Growth(*holds)
}

func limitRow(name string, l *LimitInfo, mid float64, means string) fitRow {
	if l != nil && (l.Hi == nil || l.Lo == nil) {
		return fitRow{name, wording.GrowthNumber(mid) + " or more", wording.GrowthNumber(2*mid) + " or more", means}
	}
	side, across := wording.GrowthNumber(mid), wording.GrowthNumber(2*mid)
	if l != nil {
		if half := (*l.Hi - *l.Lo) / 2; half >= 0.0005 { // else it prints as 0.000
			side += " +-" + wording.Number(half, 3)
			across += " +-" + wording.Number(2*half, 3)
		}
	}
	return fitRow{name, side, across, means}
}

// confirmedWords says on how many methods the limits rest.
func confirmedWords(d *Document) string {
	switch c := d.Fit.Confirmed; {
	case c == nil:
		return ""
	case !*c:
		return "Not all of these limits are confirmed by the second method."
	case d.Fit.LeakPlay != nil:
		return "The limits are confirmed by the second method, but for what play adds."
	}
	return "The limits are confirmed by the second method."
}

// tightestWords says where the way has least room.
func tightestWords(d *Document) string {
	k := d.Fit.Tightest
	if k == nil {
		return ""
	}
	return fmt.Sprintf("Narrowest on the way, as drawn: at least %s between %s and %s, at %s.",
		wording.AtLeast(k.Clearance), wording.Name(k.Parts[0]), wording.Name(k.Parts[1]), settingsWords(k.At))
}

func settingsWords(q []Setting) string {
	w := make([]string, len(q))
	for i, s := range q {
		w[i] = fmt.Sprintf("%s %s %s %s", wording.Name(s.Part), wording.Name(s.Travel), wording.Number(s.Value, 1), s.Unit)
	}
	return strings.Join(w, ", ")
}

// labels is a line on which words are set where there is room.
type labels struct{ cells []rune }

func newLabels(n int) *labels {
	l := &labels{make([]rune, n)}
	for i := range l.cells {
		l.cells[i] = ' '
	}
	return l
}

func (l *labels) String() string { return string(l.cells) }

// set writes s from column i, moved inwards at the ends; it is left out where
// it would touch another word, since the table says it anyway.
func (l *labels) set(i int, s string) {
	i = max(0, min(i, len(l.cells)-len(s)))
	for k := max(0, i-1); k < min(len(l.cells), i+len(s)+1); k++ {
		if l.cells[k] != ' ' {
			return
		}
	}
	for k, r := range s {
		if i+k < len(l.cells) {
			l.cells[i+k] = r
		}
	}
}

func (l *labels) beginAt(i int, s string) { l.set(i, s) }
func (l *labels) endAt(i int, s string)   { l.set(i-len(s)+1, s) }
func (l *labels) around(i int, s string)  { l.set(i-len(s)/2, s) }

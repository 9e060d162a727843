package export

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"feint/internal/verdict/wording"
)

// Style is how a terminal takes text. The zero value is 80 columns of plain
// ASCII without colour (apart from what the maker's own names hold).
type Style struct {
	Width   int    // columns; 0 is 80, less than 40 is taken as 40
	Color   bool   // SGR sequences; colour never carries meaning alone
	Unicode bool   // line-drawing characters for the scale
	All     bool   // every finding in full; else what only advises on the print is summed up
	Again   string // the command line that proves the same again; empty: feint prove and the design's name
}

// Terminal writes d for a person: the verdict in words first, then the moves to
// follow with the box in hand, the fit window, the steps, the findings. No line
// is wider than the style says, but for a single word that is.
func Terminal(w io.Writer, d *Document, s Style) error {
	for _, part := range []func(io.Writer, *Document, Style) error{TerminalHead, TerminalVerdict, TerminalFindings} {
		if err := part(w, d, s); err != nil {
			return err
		}
	}
	return nil
}

// TerminalHead writes the verdict in a sentence.
func TerminalHead(w io.Writer, d *Document, s Style) error {
	t := newTerminal(s)
	t.head(d)
	return t.write(w)
}

// TerminalVerdict writes what leads to the verdict: the moves, the fit window, the steps.
func TerminalVerdict(w io.Writer, d *Document, s Style) error {
	t := newTerminal(s)
	t.moves(d)
	t.fit(d)
	t.steps(d)
	return t.write(w)
}

// TerminalFindings writes what follows: copies to expect, findings, the print.
func TerminalFindings(w io.Writer, d *Document, s Style) error {
	t := newTerminal(s)
	t.copies(d)
	t.findings(d)
	t.printing(d)
	t.rest(d)
	return t.write(w)
}

func newTerminal(s Style) *terminal {
	if s.Width == 0 {
		s.Width = 80
	}
	return &terminal{style: s, width: max(40, s.Width)}
}

func (t *terminal) write(w io.Writer) error {
	if _, err := io.WriteString(w, t.b.String()); err != nil {
		return fmt.Errorf("writing to the terminal: %w", err)
	}
	return nil
}

// The ways to set text apart, SGR parameters (ECMA-48, section 8.3.117).
const (
	bold   = "1"
	faint  = "2"
	red    = "1;31"
	green  = "1;32"
	yellow = "1;33"
)

// toneOf is how a word of verdict or severity is coloured.
func toneOf(word string) string {
	switch word {
	case "works":
		return green
	case "undecided", "warning":
		return yellow
	case "note":
		return bold
	default:
		return red
	}
}

type terminal struct {
	b     strings.Builder
	style Style
	width int
}

func (t *terminal) paint(s, sgr string) string {
	if !t.style.Color || s == "" {
		return s
	}
	return "\x1b[" + sgr + "m" + s + "\x1b[0m"
}

func (t *terminal) line(format string, a ...any) {
	t.b.WriteString(strings.TrimRight(fmt.Sprintf(format, a...), " "))
	t.b.WriteByte('\n')
}

func (t *terminal) heading(s string) {
	t.line("")
	for _, l := range wrap(s, t.width) {
		t.line("%s", t.paint(l, bold))
	}
}

// para writes text wrapped, its first line after first and the others indented
// as far.
func (t *terminal) para(first, text string) {
	pad := strings.Repeat(" ", columns(first))
	for i, l := range wrap(text, t.width-columns(first)) {
		if i == 0 {
			t.line("%s%s", first, l)
		} else {
			t.line("%s%s", pad, l)
		}
	}
}

func (t *terminal) head(d *Document) {
	name := wording.Name(d.Design.Name)
	if d.Design.Title != "" && d.Design.Title != d.Design.Name {
		name += ": " + wording.Name(d.Design.Title)
	}
	if d.Design.Revision != "" {
		name += ", revision " + wording.Name(d.Design.Revision)
	}
	t.para("", name)
	t.line("")
	word := "certified"
	if !d.Certified {
		word = "not certified"
	}
	t.line("  %s   %s", t.paint(strings.ToUpper(d.Verdict), toneOf(d.Verdict)), t.paint(word, faint))
	t.para("  ", d.Sentence)
	if d.Flare != nil {
		t.para("  - ", fmt.Sprintf("Asked of parts whose first layers flare by %s a side, as they come off the plate.", wording.Length(*d.Flare)))
	}
	for _, s := range d.Doubts {
		t.para("  - ", s)
	}
}

// copies tells what to expect of prints on the maker's printer.
func (t *terminal) copies(d *Document) {
	e := d.Expected
	if e == nil {
		return
	}
	t.heading("Copies")
	t.para("  ", "On "+wording.Name(e.Setting)+": "+e.Sentence)
	if e.Yield != nil {
		t.para("  ", shareWords(e.Yield))
		t.para("  ", e.Yield.CornerWords())
	}
}

func (t *terminal) moves(d *Document) {
	if d.Moves == nil {
		return
	}
	t.heading(fmt.Sprintf("Moves: %d, in %s%s", *d.Moves, wording.Count(*d.Strokes, "stroke"), leastWords(d)))
	if s := startWords(d); s != "" {
		t.para("  At the start: ", s)
	}
	t.way(d.Solution)
	if d.Goal != "" {
		t.para("  That is the goal: ", wording.Name(d.Goal)+".")
	}
}

// way lists moves, the parts' names in a column of their own.
func (t *terminal) way(moves []MoveInfo) {
	col := 0
	for i := range moves {
		col = max(col, columns(wording.Name(moves[i].Part)))
	}
	col = min(col, t.width/4)
	digits := len(fmt.Sprint(len(moves)))
	for i := range moves {
		k := &moves[i]
		first := fmt.Sprintf("  %*d. %s  ", digits, i+1, padded(shortened(wording.Name(k.Part), col), col))
		blank := strings.Repeat(" ", columns(first))
		for _, w := range k.Words {
			t.para(first, w)
			first = blank
		}
		if s := roomWords(k); s != "" {
			for _, l := range wrap(s, t.width-columns(blank)) {
				t.line("%s%s", blank, t.paint(l, faint))
			}
		}
	}
}

func (t *terminal) steps(d *Document) {
	if len(d.Steps) == 0 {
		return
	}
	t.heading("Steps")
	for i := range d.Steps {
		s := &d.Steps[i]
		t.para("  - ", wording.Name(s.Name)+": "+stepWords(s, d.Growth.Lo))
		if w := shortcutWords(s); w != "" {
			t.para("    ", w)
		}
	}
}

func (t *terminal) findings(d *Document) {
	told, _ := t.sorted(d)
	if len(told) == 0 {
		t.heading("Findings: none")
		return
	}
	t.heading("Findings")
	changes := changesOf(told)
	for i, f := range told {
		t.line("  %s  %s", t.paint(f.Severity, toneOf(f.Severity)), f.Rule)
		t.para("    ", f.Message)
		t.para("    Change: ", changes[i])
		if f.Margin != nil {
			t.para("    Margin: ", marginWords(f.Margin))
		}
	}
	t.line("")
	if rules := untried(told); len(rules) > 0 {
		t.para("  ", untriedWords(rules))
		t.line("    %s", tryLine(t.style.Again, d, rules)) // whole, to be copied
	}
	t.para("  ", "feint explain RULE tells what a rule means and how it is computed.")
}

// changesOf is by finding what to change; what was said of an earlier one word for word is
// not said again.
func changesOf(told []*FindingInfo) []string {
	out, first := make([]string, len(told)), map[string]*FindingInfo{}
	for i, f := range told {
		out[i] = f.Change
		switch k := first[f.Change]; {
		case k == nil:
			first[f.Change] = f
		case len(f.Change) <= len(asFor(k)):
		default:
			out[i] = asFor(k)
		}
	}
	return out
}

func asFor(f *FindingInfo) string { return fmt.Sprintf("As for %s, above.", f.Rule) }

// untried lists the rules on whose findings params were not tried, or not to the end.
func untried(fs []*FindingInfo) []string {
	var names []string
	for _, f := range fs {
		if f.Untried && !slices.Contains(names, f.Rule) {
			names = append(names, f.Rule)
		}
	}
	return names
}

func untriedWords(rules []string) string {
	return fmt.Sprintf("Whether changing a param cures %s takes more than is tried by default. By whole proofs, which may take minutes, it is tried by:", wording.List(rules))
}

// tryLine is the command that tries it.
func tryLine(again string, d *Document, rules []string) string {
	if again == "" {
		again = "feint prove " + d.Design.Name + ".star"
	}
	return again + " --try=" + strings.Join(rules, ",")
}

// rest is what is good to know and changes nothing.
func (t *terminal) rest(d *Document) {
	t.heading("Also")
	switch d.Reset.Possible {
	case "yes":
		if d.Moves != nil {
			t.para("  - ", fmt.Sprintf("It can be put back in %s.", wording.Count(*d.Reset.Moves, "move")))
		}
	case "no":
		t.para("  - ", "It cannot be put back.")
	}
	if s := &d.Space; s.Configurations > 0 {
		t.para("  - ", fmt.Sprintf("%s, %s configurations of %s; %s of them free, %s within reach.",
			wording.Count(s.Travels, "travel"), bigWords(s.Configurations), s.Resolution, bigWords(s.Free), bigWords(s.Reachable)))
	}
	for i := range d.Play {
		p := &d.Play[i]
		t.para("  - ", fmt.Sprintf("Play of %s: %s sideways, %s of tipping.", wording.Name(p.Part),
			orMore(wording.Length(p.Side), p.SideOpen), orMore(wording.Number(p.Tip, 2)+" deg", p.TipOpen)))
	}
	t.checks(d)
	if s := secondsWords(d.Seconds); s != "" {
		t.para("  - ", "Time: "+s+".")
	}
}

// checks lists what the second method looked at, or sums it up where it agreed with
// all of it.
func (t *terminal) checks(d *Document) {
	agreed := 0
	for i := range d.Checks {
		if d.Checks[i].Agreed {
			agreed++
		}
	}
	if n := len(d.Checks); agreed == n && n > 2 && !t.style.All {
		t.para("  - ", fmt.Sprintf("Checked by a second method: %d answers and what they rest on, each confirmed; feint prove --all lists them.", n))
		return
	}
	for i := range d.Checks {
		t.para("  - ", checkWords(&d.Checks[i]))
	}
}

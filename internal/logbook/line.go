package logbook

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"
)

// Vocabulary is what a line may speak of.
type Vocabulary struct {
	Printers, Nozzles, Spools, Profiles []string
	Parts                               []string  // of the design
	Steps                               []string  // of the design
	Now                                 time.Time // what "yesterday" is told from
}

// Line is what a line says; what it leaves out is empty.
type Line struct {
	New                             bool // a print of its own even if it gives neither minutes nor grams
	At                              time.Time
	Printer, Nozzle, Spool, Profile string
	Revision                        int // by its number; 0 is the design as it stands
	Scale                           *float64
	Minutes, Grams                  *float64
	Copies                          int
	Outcome                         Outcome
	Place                           string
	PlaceParts                      []string // parts that the place names
	Parts                           []string // the only ones that were printed
	Readings                        []Reading
	Photos                          []string // paths
	Solves                          []Solve
	Note                            string
	// Read tells what was misspelt and how it was read.
	Read []string
}

// LineHelp tells what a line can say.
const LineHelp = `A line is short phrases with commas between them, in any order:
  95 min | 1h35 | 1:35                    how long it printed
  41 g                                    what it weighs
  works | binds at ring 3 | leaks past the gate | fused at lid | broke at latch | failed
                                          how it came out, and where
  on kestrel | spool red | nozzle 0.4 | profile fine
                                          what it was printed with (else: as last time)
  3 copies, scale 1.02, only ring 3 + lid, revision 4
  0.15 tight | ring 3 0.15 tight          a gap per side that feels stuck, tight, slides or loose
  bore 12 = 11.86 +-0.02 | height 20 = 19.95 z
                                          a size drawn and measured, how well, which way it lay
  solved AK 22 min, 1 hint | gave up after 40 min
  photo ring.jpg
  yesterday | 2026-03-01 | 2026-03-01 14:30
  note anything, to the end of the line
With minutes or grams (or the word new) a line is a print of its own; without, it
adds to the last print of the design.`

// ReadLine reads the words of a line. A misspelt word is read as the one it was
// most likely meant to be, and told in Line.Read; names of printers, spools and the
// like are never guessed, since a new one may be meant.
func ReadLine(text string, v *Vocabulary) (*Line, error) {
	l := &reader{v: v}
	phrases := splitPhrases(strings.ToValidUTF8(text, "?"))
	for i, p := range phrases {
		if rest, ok := noteOf(p); ok {
			l.out.Note = strings.TrimSpace(strings.Join(append([]string{rest}, phrases[i+1:]...), ", "))
			break
		}
		if err := l.phrase(p); err != nil {
			return nil, err
		}
	}
	if len(phrases) == 0 {
		return nil, fmt.Errorf("the line says nothing; such as: 95 min, 41 g, binds at ring 3")
	}
	return &l.out, nil
}

// splitPhrases cuts at commas, but not at one between two digits: there it is a
// decimal sign and becomes a point.
func splitPhrases(text string) []string {
	text = decimalComma.ReplaceAllString(text, "$1.$2")
	var out []string
	for p := range strings.SplitSeq(text, ",") {
		if p = strings.Join(strings.Fields(p), " "); p != "" {
			out = append(out, p)
		}
	}
	return out
}

var decimalComma = regexp.MustCompile(`(\d),(\d)`)

func noteOf(p string) (string, bool) {
	word, rest, _ := strings.Cut(p, " ")
	return rest, strings.EqualFold(strings.TrimSuffix(word, ":"), "note")
}

type reader struct {
	v   *Vocabulary
	out Line
}

// phrase reads one phrase, if need be with one word put right.
func (r *reader) phrase(p string) error {
	ok, err := r.as(p)
	if ok || err != nil {
		return err
	}
	words := strings.Split(p, " ")
	for i, w := range words {
		if len(w) < 3 || strings.ContainsAny(w, "0123456789") {
			continue
		}
		n := Nearest(w, keywords())
		if n == "" || strings.EqualFold(n, w) {
			continue
		}
		tried := slices.Clone(words)
		tried[i] = n
		if ok, err = r.as(strings.Join(tried, " ")); ok && err == nil {
			r.out.Read = append(r.out.Read, fmt.Sprintf("%q read as %q", w, n))
			return nil
		}
		if err != nil {
			return err
		}
	}
	if pieces, ok := r.pieces(words); ok {
		r.out.Read = append(r.out.Read, fmt.Sprintf("%q read as %q", p, strings.Join(pieces, ", ")))
		return nil
	}
	return fmt.Errorf("%q: not understood.\n%s", p, LineHelp)
}

// mostWords is in how many words commas are looked for that were left out.
const mostWords = 12

// pieces reads words as phrases between which the commas were left out, if every one of
// them is one as it stands.
func (r *reader) pieces(words []string) ([]string, bool) {
	if len(words) > mostWords {
		return nil, false
	}
	before := r.out
	for n := len(words) - 1; n > 0; n-- {
		head, tail := strings.Join(words[:n], " "), strings.Join(words[n:], " ")
		if bareNumber(head) || bareNumber(tail) {
			continue
		}
		if ok, err := r.as(head); ok && err == nil {
			if ok, err := r.as(tail); ok && err == nil {
				return []string{head, tail}, true
			}
			if rest, ok := r.pieces(words[n:]); ok {
				return append([]string{head}, rest...), true
			}
		}
		r.out = before
	}
	return nil, false
}

// bareNumber tells whether a phrase is a number alone, which may be of anything.
func bareNumber(p string) bool { return strings.Trim(p, "0123456789.%") == "" }

// keywords are the words that a misspelt one may be meant to be.
func keywords() []string {
	out := []string{
		"min", "hours", "gram", "grams", "copies", "scale", "only", "new", "photo", "yesterday", "today", "printer",
		"nozzle", "spool", "profile", "revision", "solved", "gave", "after", "hints", "past", "works", "note",
	}
	for _, o := range Outcomes() {
		out = append(out, string(o))
	}
	for _, f := range Felts() {
		out = append(out, string(f))
	}
	for _, f := range Features() {
		out = append(out, string(f))
	}
	return out
}

// as tries every form of a phrase; ok says that one fits.
func (r *reader) as(p string) (ok bool, err error) {
	low := lower(p)
	for _, form := range []func(p, low string) (bool, error){
		r.amount, r.when, r.solve, r.felt, r.measured, r.outcome, r.setup, r.parts, r.photo, r.name,
	} {
		if ok, err := form(p, low); ok || err != nil {
			return ok, err
		}
	}
	return false, nil
}

// lower lowers the letters A to Z alone: the words of a line are English, and what is
// lowered keeps its length, so that names can be cut out of the original.
func lower(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'A' && r <= 'Z' {
			return r + 'a' - 'A'
		}
		return r
	}, s)
}

// name is a bare name that one printer, nozzle, spool or profile has.
func (r *reader) name(p, _ string) (bool, error) {
	hits := 0
	for _, k := range r.kinds() {
		if n, ok := among(p, k.names); ok {
			*k.into = n
			hits++
		}
	}
	if hits > 1 {
		return false, fmt.Errorf("%q names more than one thing; say which: printer, nozzle, spool or profile %s", p, p)
	}
	return hits == 1, nil
}

// kindOf is a kind of thing that a line can name.
type kindOf struct {
	word  string
	names []string
	into  *string
}

func (r *reader) kinds() []kindOf {
	return []kindOf{
		{"printer", r.v.Printers, &r.out.Printer},
		{"nozzle", r.v.Nozzles, &r.out.Nozzle},
		{"spool", r.v.Spools, &r.out.Spool},
		{"profile", r.v.Profiles, &r.out.Profile},
	}
}

// setup is "spool red", or "on kestrel" for the printer.
func (r *reader) setup(p, low string) (bool, error) {
	word, _, _ := strings.Cut(low, " ")
	rest := strings.TrimSpace(p[len(word):])
	if word == "on" {
		word = "printer"
	}
	for _, k := range r.kinds() {
		if word != k.word || rest == "" {
			continue
		}
		n, ok := among(rest, k.names)
		if !ok {
			return false, r.unknown(k, rest)
		}
		*k.into = n
		return true, nil
	}
	return false, nil
}

func (r *reader) unknown(k kindOf, name string) error {
	adds := fmt.Sprintf("feint log add %s %q adds it", k.word, name)
	if n := Nearest(name, k.names); n != "" {
		return fmt.Errorf("there is no %s %q; did you mean %q? If it is new, %s", k.word, name, n, adds)
	}
	return fmt.Errorf("there is no %s %q; %s", k.word, name, adds)
}

// among finds a name whatever its capitals.
func among(name string, names []string) (string, bool) {
	for _, n := range names {
		if strings.EqualFold(n, name) {
			return n, true
		}
	}
	return "", false
}

// parts is "only ring 3 + lid".
func (r *reader) parts(p, low string) (bool, error) {
	if !strings.HasPrefix(low, "only ") {
		return false, nil
	}
	for name := range strings.SplitSeq(strings.ReplaceAll(p[len("only "):], " and ", "+"), "+") {
		name = strings.TrimSpace(name)
		n, ok := among(name, r.v.Parts)
		if !ok {
			if near := Nearest(name, r.v.Parts); near != "" {
				return false, fmt.Errorf("the design has no part %q; did you mean %q?", name, near)
			}
			return false, fmt.Errorf("the design has no part %q; it has %s", name, strings.Join(r.v.Parts, ", "))
		}
		r.out.Parts = append(r.out.Parts, n)
	}
	return true, nil
}

func (r *reader) photo(p, low string) (bool, error) {
	if !strings.HasPrefix(low, "photo ") {
		return false, nil
	}
	r.out.Photos = append(r.out.Photos, strings.TrimSpace(p[len("photo "):]))
	return true, nil
}

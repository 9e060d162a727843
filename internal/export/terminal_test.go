package export_test

import (
	"bytes"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/export"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/verdict"
	"feint/internal/verdict/sample"

	"github.com/google/go-cmp/cmp"
	"github.com/mattn/go-runewidth"
)

var update = flag.Bool("update", false, "write the golden files anew")

func terminal(t *testing.T, d *export.Document, s export.Style) string {
	t.Helper()
	var b bytes.Buffer
	if err := export.Terminal(&b, d, s); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Errorf("%s (go test -update writes it anew):\n%s", path, d)
	}
}

// TestTerminalGolden holds the words: a change shows as a diff to be read.
func TestTerminalGolden(t *testing.T) {
	for name, spoil := range spoiled() {
		m, r, v := proof(spoil)
		d := export.NewDocument(m, r, v, info())
		golden(t, name+".txt", terminal(t, d, export.Style{}))
	}
	m, r, v := proof(nil)
	d := export.NewDocument(m, r, v, info())
	golden(t, "works-color-60.txt", terminal(t, d, export.Style{Width: 60, Color: true, Unicode: true}))
}

// TestTerminalPlain: what a dumb terminal gets is ASCII, free of escapes, and no
// wider than it is.
func TestTerminalPlain(t *testing.T) {
	for name, spoil := range spoiled() {
		m, r, v := proof(spoil)
		d := export.NewDocument(m, r, v, info())
		for _, width := range []int{40, 66, 80, 132} {
			for i, l := range strings.Split(terminal(t, d, export.Style{Width: width}), "\n") {
				if n := runewidth.StringWidth(l); n > width {
					t.Errorf("%s: line %d has %d columns of %d: %q", name, i+1, n, width, l)
				}
				if strings.IndexFunc(l, func(c rune) bool { return c < ' ' || c > '~' }) >= 0 {
					t.Errorf("%s: line %d is not plain: %q", name, i+1, l)
				}
			}
		}
	}
}

// TestTerminalColor: colour only adds; without it the words are the same.
func TestTerminalColor(t *testing.T) {
	m, r, v := proof(nil)
	d := export.NewDocument(m, r, v, info())
	colored := terminal(t, d, export.Style{Color: true})
	if !strings.Contains(colored, "\x1b[1;32mWORKS\x1b[0m") {
		t.Error("the verdict has no colour")
	}
	for _, sgr := range []string{"0", "1", "2", "1;31", "1;32", "1;33"} {
		colored = strings.ReplaceAll(colored, "\x1b["+sgr+"m", "")
	}
	if d := cmp.Diff(terminal(t, d, export.Style{}), colored); d != "" {
		t.Errorf("colour changes the words:\n%s", d)
	}
}

// TestTerminalNames: a stranger's names cannot steer the terminal.
func TestTerminalNames(t *testing.T) {
	m, r, v := proof(func(m *mechanism.Mechanism, _ *motion.Result, _ *verdict.Evidence) {
		bad := "x\x1b]0;owned\x07\u202e\r"
		m.Name, m.Title, m.Revision, m.Goal.Name = bad, bad, bad, bad
		for i := range m.Parts {
			m.Parts[i].Name += bad
		}
		for i := range m.Travels {
			m.Travels[i].Name, m.Travels[i].Forward, m.Travels[i].Backward = bad, bad, bad
			m.Travels[i].Marks = []mechanism.Mark{{Name: bad}}
		}
		for i := range m.Steps {
			m.Steps[i].Name = bad
		}
	})
	got := terminal(t, export.NewDocument(m, r, v, info()), export.Style{})
	if strings.ContainsAny(got, "\x1b\x07\u202e\r") {
		t.Errorf("control characters got through: %q", got)
	}
}

// TestTerminalWide: wide characters keep the columns.
func TestTerminalWide(t *testing.T) {
	m, r, v := proof(func(m *mechanism.Mechanism, _ *motion.Result, _ *verdict.Evidence) {
		m.Parts[sample.Gallery].Name = "回廊の輪"
	})
	got := terminal(t, export.NewDocument(m, r, v, info()), export.Style{})
	at := map[string]int{}
	for _, l := range strings.Split(got, "\n") {
		for _, verb := range []string{"turn", "slide"} {
			if i := strings.LastIndex(l, "  "+verb); i > 0 && len(l) > 4 && l[3] == '.' {
				at[l[2:3]] = runewidth.StringWidth(l[:i+2])
			}
		}
	}
	if len(at) != 5 || at["1"] != at["3"] {
		t.Errorf("the columns are off: %v in\n%s", at, got)
	}
}

// TestAdviceOnce: what four findings advise alike is told once, in the text and in the
// report, and referred to by the name of the rule that says it; other advice, and words too
// short to be worth it, stay.
func TestAdviceOnce(t *testing.T) {
	const advice = "Hold the bar: a detent, a stronger latch or spring, or a part across its way."
	m, r, v := proof(nil)
	d := export.NewDocument(m, r, v, info())
	d.Findings = []export.FindingInfo{
		{Rule: "tilt-open", Severity: "warning", About: "box", Message: "One.", Change: advice},
		{Rule: "pried", Severity: "warning", About: "box", Message: "Two.", Change: "Thicken it."},
		{Rule: "shake-open", Severity: "warning", About: "box", Message: "Three.", Change: advice},
		{Rule: "knock-open", Severity: "warning", About: "box", Message: "Four.", Change: advice},
		{Rule: "snap", Severity: "note", About: "box", Message: "Five.", Change: "Thicken it."},
	}
	var page bytes.Buffer
	if err := export.WriteReport(&page, export.ReportInput{Mechanism: m, Result: r, Document: d, Meshes: meshes()}); err != nil {
		t.Fatal(err)
	}
	for what, got := range map[string]string{"text": terminal(t, d, export.Style{Width: 200}), "report": page.String()} {
		if strings.Count(got, advice) != 1 || strings.Count(got, "As for tilt-open, above.") != 2 || strings.Count(got, "Thicken it.") != 2 {
			t.Errorf("%s:\n%s", what, got)
		}
	}
}

// Of a leak with play of which no more is known than that it lies no lower than that of
// parts held straight, no lower number is told.
func TestPlayTellsNoLowerLeak(t *testing.T) {
	m, r, v := proof(func(_ *mechanism.Mechanism, r *motion.Result, _ *verdict.Evidence) {
		l := &motion.Limit{Lo: r.Fit.Leak.Lo, Hi: math.Inf(1)}
		r.Steps[1].BypassPlay, r.Fit.LeakPlay = l, l
	})
	d := export.NewDocument(m, r, v, info())
	words := strings.Join(strings.Fields(terminal(t, d, export.Style{Width: 200})), " ")
	for _, want := range []string{"leak with play no lower parts pushed or tipped", "; with play perhaps above that too.", "may be left out above a growth of -0.085 mm (+-0.005) too"} {
		if !strings.Contains(words, want) {
			t.Errorf("nothing of %q in\n%s", want, words)
		}
	}
	if strings.Contains(words, "-0.090") {
		t.Error("a lower number is told")
	}
}

// Where it binds is told as a bound from above only, where below that it is not known
// whether there is a way; that there is none is said where that is known.
func TestBindKnownFromAbove(t *testing.T) {
	for _, c := range []struct {
		opens motion.Answer
		want  string
	}{
		{motion.Undecided, "bind at most +0.125 at most +0.25 above it no way is left; below it none is known"},
		{motion.No, "bind below +0.125 below +0.25 at no size searched is there a way"},
	} {
		m, r, v := proof(func(_ *mechanism.Mechanism, r *motion.Result, _ *verdict.Evidence) {
			r.Drawn.Opens, r.Tight.Opens, r.Loose.Opens, r.Way = c.opens, c.opens, c.opens, nil
			r.Fit = motion.Fit{Bind: &motion.Limit{Lo: math.Inf(-1), Hi: 0.125}}
		})
		words := strings.Join(strings.Fields(terminal(t, export.NewDocument(m, r, v, info()), export.Style{Width: 200})), " ")
		if !strings.Contains(words, c.want) {
			t.Errorf("%v: nothing of %q in\n%s", c.opens, c.want, words)
		}
	}
}

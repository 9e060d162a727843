package pipeline

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/export"
	"feint/internal/export/schema"
	"feint/internal/export/schema/schematest"
	"feint/internal/printed"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// sleeve is an invented box of one fit, without a step: a core that slides off. It is
// so tall that the rims, which grow otherwise than walls, are no share of the fit.
const sleeve = `
gap = param("gap", 0.2, min = 0.05, max = 0.6, unit = "mm", note = "a side")
tall = param("tall", 60, min = 40, max = 80, unit = "mm")
kinds = param("kinds", 2, min = 1, max = 9)
frame = part("sleeve", frame = True, solid = block((-12, 12), (-12, 12), (0, tall)) - block((-8, 8), (-8, 8), (-1, tall + 1)))
core = part("core", solid = block((-8 + gap, 8 - gap), (-8 + gap, 8 - gap), (0, tall)), travels = [slide(z, 0, 90)])
start({})
goal("core out", {core.slide: (85, None)})
`

func writeSleeve(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "sleeve.star")
	if err := os.WriteFile(path, []byte(sleeve), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// walls is a printer of which walls alone are known to grow.
func walls(mean, prints, features float64) *printed.Model {
	m := &printed.Model{Name: "shed", Source: "invented"}
	m.Amounts[printed.InPlane] = printed.Amount{Mean: mean, Prints: prints, Features: features}
	return m
}

func valid(t *testing.T, raw []byte, write func(*bytes.Buffer) error) {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	inst, err := jsonschema.UnmarshalJSON(&b)
	if err != nil {
		t.Fatal(err)
	}
	if err := schematest.Compiled(t, raw).Validate(inst); err != nil {
		t.Error(err)
	}
}

// A proof on a printer foretells the share of copies that work. Of one fit of gap g,
// two surfaces each of normal growth, the print's part of it common to both, the share
// is the normal distribution function of (g - 2 mean) / sqrt(4 prints^2 + 2 features^2)
// (closed form, by the error function of the standard library).
func TestProofForetellsCopies(t *testing.T) {
	path := writeSleeve(t)
	const n = 4000
	y := YieldOptions{Model: walls(0.08, 0.02, 0.015), Count: n, Seed: 3}
	out, err := Prove(context.Background(), path, Options{Copies: &y})
	if err != nil {
		t.Fatal(err)
	}
	k := out.Document.Expected
	if k == nil || k.Yield == nil {
		t.Fatalf("nothing is foretold: %+v", k)
	}
	want := 0.5 * math.Erfc(-(0.2-0.16)/math.Sqrt(4*0.02*0.02+2*0.015*0.015)/math.Sqrt2)
	off := 4.5*math.Sqrt(want*(1-want)/n) + float64(k.Yield.Undecided)/n
	if got := k.Yield.Works.Share; math.Abs(got-want) > off {
		t.Errorf("%.4f of the copies work, want %.4f +- %.4f", got, want, off)
	}
	for _, say := range []string{"Of 100 copies", "most copies that bind do so between"} {
		if !strings.Contains(k.Sentence, say) {
			t.Errorf("%q does not say %q", k.Sentence, say)
		}
	}
	// at the corners of two deviations walls stand proud by 0.08 +- 0.04: four bind, four work
	binds := 0
	for _, c := range k.Yield.Corners[1:] {
		if c.Fate == "binds" {
			binds++
		}
	}
	if binds != 4 || len(k.Yield.Corners) != 9 {
		t.Errorf("%d of %d corners bind: %+v", binds, len(k.Yield.Corners)-1, k.Yield.Corners)
	}
	valid(t, schema.Prove, func(b *bytes.Buffer) error { return export.WriteJSON(b, out.Document) })
	valid(t, schema.Yield, func(b *bytes.Buffer) error { return k.Yield.WriteJSON(b) })
	var page, words bytes.Buffer
	if err := out.WriteReport(context.Background(), &page, nil); err != nil {
		t.Fatal(err)
	}
	if err := export.Terminal(&words, out.Document, export.Style{Width: 400}); err != nil {
		t.Fatal(err)
	}
	for _, say := range []string{k.Sentence, "walls proud"} {
		if !strings.Contains(page.String(), say) || !strings.Contains(words.String(), say) {
			t.Errorf("%q is not in the report or not on the terminal", say)
		}
	}
}

// The change that wins most is the one that the closed form says: 0.05 mm more gap
// lifts the share from F(0) to F(0.05/sd), 0.05 mm less lowers it likewise, and the
// height of the box changes nothing. The count of kinds is no size and is left alone.
func TestTryFindsTheParamThatWins(t *testing.T) {
	path := writeSleeve(t)
	const sd = 0.04 // sqrt(2) * 2 * 0.0141
	y := YieldOptions{Model: walls(0.1, 0, sd/math.Sqrt2), Count: 2000, Seed: 5, Try: true}
	out, err := Yield(context.Background(), path, Options{}, y)
	if err != nil {
		t.Fatal(err)
	}
	phi := func(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }
	if len(out.Tries) != 4 {
		t.Fatalf("gap and height up and down are four tries: %+v", out.Tries)
	}
	won := map[string]float64{}
	for _, k := range out.Tries {
		if k.Why != "" {
			t.Errorf("%s = %g: %s", k.Param, k.To, k.Why)
		}
		won[k.Param+map[bool]string{true: " up", false: " down"}[k.To > k.From]] = k.Won
	}
	if b := out.Tries[0]; b.Param != "gap" || b.To != 0.25 {
		t.Errorf("best is %s = %g, want gap = 0.25", b.Param, b.To)
	}
	const slack = 0.06 // 500 prints a try, and what is undecided
	for what, want := range map[string]float64{"gap up": phi(0.05/sd) - 0.5, "gap down": phi(-0.05/sd) - 0.5, "tall up": 0, "tall down": 0} {
		if math.Abs(won[what]-want) > slack {
			t.Errorf("%s wins %+.3f, want %+.3f", what, won[what], want)
		}
	}
	valid(t, schema.Yield, func(b *bytes.Buffer) error { return out.Document().WriteJSON(b) })
	var words bytes.Buffer
	if err := out.Document().WriteWords(&words); err != nil || !strings.Contains(words.String(), "gap from 0.2 to 0.25") {
		t.Errorf("%v\n%s", err, words.String())
	}
	// of fewer values than there are the rest is named
	y.Tries = 1
	if out, err = Yield(context.Background(), path, Options{}, y); err != nil {
		t.Fatal(err)
	}
	for i, k := range out.Tries {
		if told := strings.Contains(k.Why, "not tried"); told != (i > 0) {
			t.Errorf("try %d: %+v", i, k)
		}
	}
}

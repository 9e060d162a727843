package pipeline

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"feint/internal/cache"
	"feint/internal/export"
	"feint/internal/export/schema"
	"feint/internal/motion"
	"feint/internal/printed"
	"feint/internal/yield"
)

// pebbled is an invented box: a core slides off a sleeve as soon as a pebble in it has fallen
// from its way, for which it is turned over. The pebble has room enough in every print, so the fit of the core alone decides.
const pebbled = `
gap = param("gap", 0.2, min = 0.05, max = 0.6, unit = "mm", note = "a side")
tall = param("tall", 60, min = 40, max = 80, unit = "mm")
falls = param("falls", 1, min = 0, max = 1, note = "1: the pebble falls; 0: the hand moves it")
frame = part("sleeve", frame = True, solid = block((-12, 30), (-12, 12), (0, tall))
    - block((-8, 8), (-8, 8), (-1, tall + 1)) - block((4, 26), (-4, 4), (20, 30)))
core = part("core", solid = block((-8 + gap, 8 - gap), (-8 + gap, 8 - gap), (0, tall)) - block((4, 9), (-6, 6), (18, 32)),
    travels = [slide(z, 0, 90)])
pebble = part("pebble", hidden = True, solid = block((5.5, 10.5), (-2, 2), (23, 27)),
    travels = [slide(x, 0, 13, name = "roll", moved_by = "gravity" if falls > 0 else "hand")])
start({})
goal("core out", {core.slide: (85, None)})
`

func writeDesign(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name+".star")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// Of a box in which a part falls the share of copies that work is that of its one fit: the
// normal distribution function of (g - 2 mean) / sqrt(4 prints^2 + 2 features^2) (closed
// form), and that which is foretold where the hand moves all its parts.
func TestYieldOfWhatFalls(t *testing.T) {
	path := writeDesign(t, "pebbled", pebbled)
	const n = 400
	y := YieldOptions{Model: walls(0.08, 0.02, 0.015), Count: n, Seed: 3}
	out, err := Yield(context.Background(), path, Options{}, y)
	if err != nil {
		t.Fatal(err)
	}
	d := out.Document()
	want := 0.5 * math.Erfc(-(0.2-0.16)/math.Sqrt(4*0.02*0.02+2*0.015*0.015)/math.Sqrt2)
	off := 4.5*math.Sqrt(want*(1-want)/n) + float64(d.Undecided)/n
	if got := d.Works.Share; math.Abs(got-want) > off || d.Undecided > n/20 || !d.Directed {
		t.Errorf("%.4f of the copies work, %d undecided, directed %v; want %.4f +- %.4f", got, d.Undecided, d.Directed, want, off)
	}
	if d.Works.Lo > want || d.Works.Hi < want {
		t.Errorf("the interval %.4f to %.4f misses %.4f", d.Works.Lo, d.Works.Hi, want)
	}
	if len(d.BindBy) == 0 || !slices.Contains(d.BindBy[0].Parts, "core") || !slices.Contains(d.BindBy[0].Parts, "sleeve") || d.BindBy[0].MeanChange <= 0 {
		t.Errorf("causes %+v, want core and sleeve to be opened", d.BindBy)
	}
	valid(t, schema.Yield, func(b *bytes.Buffer) error { return d.WriteJSON(b) })
	var words, again bytes.Buffer
	if err := d.WriteWords(&words); err != nil || !strings.Contains(words.String(), "Not only the hand moves parts here") {
		t.Errorf("%v\n%s", err, words.String())
	}
	store, err := cache.Open(t.TempDir(), 0)
	if err != nil {
		t.Fatal(err)
	}
	for range 2 { // filled, and then asked
		if out, err = Yield(context.Background(), path, Options{Cache: store}, y); err != nil {
			t.Fatal(err)
		}
	}
	if err := out.Document().WriteWords(&again); err != nil || again.String() != words.String() {
		t.Errorf("the same seed, other words:\n%s\n%s", words.String(), again.String())
	}
	byHand := writeDesign(t, "byhand", strings.Replace(pebbled, `param("falls", 1`, `param("falls", 0`, 1))
	if out, err = Yield(context.Background(), byHand, Options{}, y); err != nil {
		t.Fatal(err)
	}
	h := out.Document()
	if h.Directed || math.Abs(h.Works.Share-d.Works.Share) > float64(h.Undecided+d.Undecided+2)/n {
		t.Errorf("%d work (%d undecided), where the hand moves all %d (%d)", d.Works.Count, d.Undecided, h.Works.Count, h.Undecided)
	}
}

// The change that wins most is the one that the closed form says: 0.05 mm more gap lifts the
// share from F(0) to F(0.05/sd), 0.05 mm less lowers it likewise.
func TestTryOfWhatFalls(t *testing.T) {
	if testing.Short() {
		t.Skip("minutes with the race detector, which uses -short; the plain run has it")
	}
	path := writeDesign(t, "pebbled", pebbled)
	const sd = 0.04
	y := YieldOptions{Model: walls(0.1, 0, sd/math.Sqrt2), Count: 150, Seed: 5, Try: true, Tries: 2}
	out, err := Yield(context.Background(), path, Options{}, y)
	if err != nil {
		t.Fatal(err)
	}
	won := map[float64]float64{}
	for _, k := range out.Tries {
		if k.Param == "gap" && k.Why == "" {
			won[k.To] = k.Won
		}
	}
	gain := 0.5*math.Erfc(-0.05/sd/math.Sqrt2) - 0.5
	const slack = 0.14 // of 150 prints twice, and what is undecided
	if len(won) != 2 || math.Abs(won[0.25]-gain) > slack || math.Abs(won[0.15]+gain) > slack || out.Tries[0].To != 0.25 {
		t.Errorf("%+v, want %.3f for a gap of 0.25 and as much less for 0.15", out.Tries, gain)
	}
}

// By plain Monte Carlo of whole proofs: prints of one growth all over are drawn by another
// generator, two of them are the ends of each proof, and a print works where that opens and
// no step can be avoided (the directed law asked at one growth of all surfaces, every answer
// followed by the checker; nothing is kept from one proof to the next).
func TestYieldAgainstWholeProofs(t *testing.T) {
	if testing.Short() {
		t.Skip("minutes with the race detector, which uses -short; the plain run has it")
	}
	const path, n, mean, sd = "testdata/lockkeeper.star", 16, 0.085, 0.03
	y := YieldOptions{Model: walls(mean, sd, 0), Count: 200, Seed: 4}
	r := evenYield(t, path, y)
	rng := rand.New(rand.NewChaCha8([32]byte{7}))
	works, open := 0, 0
	for range n / 2 {
		g := []float64{mean + sd*rng.NormFloat64(), mean + sd*rng.NormFloat64()}
		slices.Sort(g)
		out, err := Prove(context.Background(), path, Options{Growth: [2]float64{g[0], g[1]}})
		if err != nil {
			t.Fatal(err)
		}
		for i, o := range []motion.Answer{out.Hands.Loose.Opens, out.Hands.Tight.Opens} {
			avoided := motion.No
			for _, s := range out.Hands.Steps {
				if i == 0 && s.Loose != motion.Yes {
					avoided = motion.Undecided
				}
			}
			switch {
			case o == motion.Yes && avoided == motion.No:
				works++
			case o == motion.Undecided || o == motion.Yes:
				open++
			}
		}
	}
	low, high := r.Works.Share, r.Works.Share+float64(r.Unknown)/200
	slack := 4 * math.Sqrt(0.25/n)
	if float64(works)/n > high+slack || float64(works+open)/n < low-slack || open > n/2 || r.Unknown > 30 {
		t.Errorf("%d of %d whole proofs work, %d are open; of the prints %v, %d undecided", works, n, open, r.Works, r.Unknown)
	}
	if works == 0 || works == n {
		t.Errorf("%d of %d work: nothing to compare", works, n)
	}
}

// The share of prints that work is that of the growths below the bind, which whole proofs
// bracket: the normal distribution function of (bind - mean) / sd (closed form).
func TestYieldAgainstTheBind(t *testing.T) {
	if testing.Short() {
		t.Skip("minutes with the race detector, which uses -short; the plain run has it")
	}
	for path, mean := range map[string]float64{"testdata/lockkeeper.star": 0.09, "testdata/sluice.star": 0.1} {
		const sd, n = 0.025, 200
		out, err := Prove(context.Background(), path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		bind := out.Result.Fit.Bind
		r := evenYield(t, path, YieldOptions{Model: walls(mean, sd, 0), Count: n, Seed: 5})
		phi := func(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }
		low, high := phi((bind.Lo-mean)/sd), phi((bind.Hi-mean)/sd)
		if slack := 4.5 * math.Sqrt(0.25/n); r.Works.Share > high+slack || r.Works.Share+float64(r.Unknown)/n < low-slack || r.Unknown > n/5 {
			t.Errorf("%s: %v work, %d undecided; the bind at %.4f to %.4f mm says %.3f to %.3f", path, r.Works, r.Unknown, bind.Lo, bind.Hi, low, high)
		}
	}
}

// evenYield is foretold of prints whose faces all grow alike, as in a proof.
func evenYield(t *testing.T, path string, y YieldOptions) yield.Report {
	t.Helper()
	m, err := Load(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	bs, err := bodies(t.Context(), m, Options{})
	if err != nil {
		t.Fatal(err)
	}
	y.defaults(m)
	s, err := newStand(t.Context(), m, bs, Options{}, y, nil)
	if err != nil {
		t.Fatal(err)
	}
	wall := yield.Side{Places: []printed.Place{{Z: 10, Seam: printed.SeamElsewhere}}, Weights: []float64{1}}
	for i := range s.in.Contacts {
		s.in.Contacts[i].Sides = [2]yield.Side{wall, wall}
	}
	b, err := yield.NewBench(t.Context(), s.in, yield.Learnt{})
	if err != nil {
		t.Fatal(err)
	}
	ps, err := b.Prints(nil)
	if err != nil {
		t.Fatal(err)
	}
	return b.Report(ps)
}

// A proof on a printer foretells such a design too, and says so.
func TestProofForetellsWhatFalls(t *testing.T) {
	if testing.Short() {
		t.Skip("minutes with the race detector, which uses -short; the plain run has it")
	}
	y := YieldOptions{Model: walls(0.05, 0.01, 0.005), Count: 40, Seed: 1}
	out, err := Prove(context.Background(), "testdata/sluice.star", Options{Copies: &y})
	if err != nil {
		t.Fatal(err)
	}
	k := out.Document.Expected
	if k == nil || k.Yield == nil || k.Yield.Works.Count < 35 {
		t.Fatalf("nothing is foretold, or little works: %+v", k)
	}
	var page bytes.Buffer
	if err := out.WriteReport(context.Background(), &page, nil); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(page.String(), "each followed by itself") {
		t.Error("the report does not say how the prints were judged")
	}
	valid(t, schema.Prove, func(b *bytes.Buffer) error { return export.WriteJSON(b, out.Document) })
}

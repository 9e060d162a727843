package logbook

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// A number of JSON is one for us where package json says so (RFC 8259, section 6).
func TestNumberEnd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := []byte(rapid.StringOfN(rapid.RuneFrom([]rune("0012-+.eE5x ")), 0, 8, -1).Draw(t, "text"))
		want := json.Valid(b) && bytes.Equal(bytes.TrimSpace(b), b)
		if got := len(b) > 0 && numberEnd(b) == len(b); got != want {
			t.Fatalf("%q: %v, package json %v", b, got, want)
		}
	})
}

// Rows are added in batches that take a value once where they are alike: whatever is
// alike, and however a line is written, the same comes out again. The check is the
// dump, which knows of no batches.
func TestLoadBatches(t *testing.T) {
	for seed := range uint64(6) {
		rng := rand.New(rand.NewPCG(seed, 1))
		b := opened(t)
		done(t, b, func(tx *Tx) error { return someReadings(tx, rng, seed) })
		text := dump(t, b)
		dir := t.TempDir()
		if err := Load(ctx, dir, strings.NewReader(otherwise(t, text, rng, int(seed))), Options{Now: clock()}); err != nil {
			t.Fatal(err)
		}
		c, err := Open(ctx, dir, Options{Now: clock()})
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(text, dump(t, c)); d != "" {
			t.Errorf("seed %d: %s", seed, d)
		}
		c.Close()
	}
}

// someReadings adds trials with readings whose fields keep their value for long, some,
// or no time.
func someReadings(tx *Tx, rng *rand.Rand, seed uint64) error {
	d := Design{Name: "tower"}
	if err := Add(tx, &d); err != nil {
		return err
	}
	r := Revision{Design: d.ID, Number: 1, SHA256: sum(1)}
	if err := Add(tx, &r); err != nil {
		return err
	}
	tr := Trial{Revision: r.ID}
	v := Reading{Kind: Bore, Nominal: num(12), Gap: num(0.2), Felt: Slides}
	for i := range 25 * addRows {
		if i%300 == 0 {
			tr.ID = 0
			if err := Add(tx, &tr); err != nil {
				return err
			}
			v.Trial = tr.ID
		}
		v.ID = 0
		switch rng.Uint64N(3 + 40*seed) {
		case 0:
			v.Measured, v.Felt = num(rng.ExpFloat64()*1e-9), ""
		case 1:
			v.Measured, v.Felt, v.Note = nil, Tight, fmt.Sprint("\"n\\ö ", rng.IntN(2))
		case 2:
			v.Nominal = num(float64(rng.IntN(3)))
		}
		if err := Add(tx, &v); err != nil {
			return err
		}
	}
	return nil
}

// otherwise is the same dump with some lines written in another way, and summed anew.
func otherwise(t *testing.T, text string, rng *rand.Rand, seldom int) string {
	t.Helper()
	lines := strings.SplitAfter(strings.TrimSuffix(text, "\n"), "\n")
	h := sha256.New()
	for i, line := range lines[:len(lines)-1] {
		if i > 0 && rng.IntN(2+100*seldom) == 0 {
			var row map[string]any
			d := json.NewDecoder(strings.NewReader(line))
			d.UseNumber()
			if err := d.Decode(&row); err != nil {
				t.Fatal(err)
			}
			raw, err := json.MarshalIndent(row, "", "\t") // by the names, with room
			if err != nil {
				t.Fatal(err)
			}
			lines[i] = strings.ReplaceAll(string(raw), "\n", "") + "\n"
		}
		h.Write([]byte(lines[i]))
	}
	lines[len(lines)-1] = `{"sha256":"` + hex.EncodeToString(h.Sum(nil)) + "\"}\n"
	return strings.Join(lines, "")
}

package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"reflect"
	"sync"
	"testing"

	"feint/internal/cache"
	"feint/internal/design"
)

// TestHotAnswersAlike: a proof that finds its parts in memory, several at once, answers as
// one that builds them; no more are kept than were asked for, the last ones first.
func TestHotAnswersAlike(t *testing.T) {
	const box = `# Invented for feint.
w = param("width", 4.0, min = 1, max = 6, unit = "mm")
ground = part("ground", frame = True, solid = block((-60, 60), (-40, 40), (0, 6)) + block((20, 26), (-12, 12), (6, 16)))
cart = part("cart", solid = block((-50, -50 + w), (-11, 11), (6.5, 20)), travels = [slide(x, 0, 120)])
start({})
goal("cart away", {cart.slide: (40, None)})
`
	path := filepath.Join(t.TempDir(), "hot.star")
	if err := os.WriteFile(path, []byte(box), 0o600); err != nil {
		t.Fatal(err)
	}
	prove := func(width string, hot *Hot) *Outcome {
		t.Helper()
		store, err := cache.Open(t.TempDir(), 0)
		if err != nil {
			t.Error(err)
			return nil
		}
		out, err := Prove(context.Background(), path, Options{Cache: store, Hot: hot, Set: []design.Setting{{Name: "width", Value: width}}})
		if err != nil {
			t.Error(err)
			return nil
		}
		return out
	}
	hot := NewHot(3)
	var all sync.WaitGroup
	got := make([]*Outcome, 4)
	for i := range got {
		all.Go(func() { got[i] = prove([]string{"4", "5"}[i%2], hot) })
	}
	all.Wait()
	for i, o := range got {
		alone := prove([]string{"4", "5"}[i%2], NewHot(0))
		if o == nil || alone == nil {
			t.FailNow()
		}
		a, b := o.Document, alone.Document
		if a.Verdict != b.Verdict || !reflect.DeepEqual(a.Fit, b.Fit) || o.Bodies[1].Hash != alone.Bodies[1].Hash {
			t.Errorf("%d: %s %+v, built anew %s %+v", i, a.Verdict, a.Fit, b.Verdict, b.Fit)
		}
	}
	kept := hot.bodies.All()
	if n := len(kept); n == 0 || n > 3 {
		t.Fatalf("%d bodies are kept; asked were 3", n)
	}
	key := kept[len(kept)-1].key
	if b, ok := hot.get(key); !ok || b.key != key {
		t.Error("the last body is not kept")
	}
}

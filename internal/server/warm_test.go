package server

import "testing"

// TestDrawnLetsGo: a proof that waits for a page's first picture goes on when it is told of
// it, once or twice; a proof that is not at hand is none to wait for.
func TestDrawnLetsGo(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	ch := b.listen("one")
	until(t, ch, "hello")
	a := asked("one")
	a.Drawing = true
	var s Started
	b.ask("POST", "/api/proofs", a, "Started", &s)
	until(t, ch, "stage")
	for range 2 {
		if code := b.ask("POST", "/api/proofs/"+s.Proof+"/drawn", nil, "", nil); code != 200 {
			t.Errorf("drawn: %d", code)
		}
	}
	if p := until(t, ch, "proved").Result; p.Document.Verdict != "works" {
		t.Errorf("the verdict is %s", p.Document.Verdict)
	}
	if code := b.ask("POST", "/api/proofs/none/drawn", nil, "", nil); code != 200 {
		t.Errorf("no such proof: %d", code)
	}
}

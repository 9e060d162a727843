package motion_test

import (
	"context"
	"testing"

	"feint/internal/motion"
)

// TestSixteenRings: sixteen linked rings given as pair tables, laid out by motion
// itself. OEIS A000975: (2^17-2)/3 = 43690 moves from all on to all off, and as
// many back. No reading leaves fewer.
func TestSixteenRings(t *testing.T) {
	if testing.Short() {
		t.Skip("43690 layers")
	}
	const want = 43690
	m, maps := linked(t, 16)
	l, err := motion.Lay(context.Background(), m, maps, motion.Options{})
	if err != nil {
		t.Fatal(err)
	}
	b := l.Board(false)
	if b.Free != l.Board(true).Free {
		t.Fatal("tables leave nothing undecided, yet the readings differ")
	}
	start, goal := l.Ends(false)
	layers, ok := b.Layers(start, goal)
	if !ok || len(layers)-1 != want || b.Space.Err() != nil {
		t.Fatalf("%v after %d moves (%v), want %d", ok, len(layers)-1, b.Space.Err(), want)
	}
	back, ok := b.Layers(layers[want], start)
	if !ok || len(back)-1 != want || b.Space.Err() != nil {
		t.Fatalf("back: %v after %d moves (%v), want %d", ok, len(back)-1, b.Space.Err(), want)
	}
}

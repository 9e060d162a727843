package gauge

import (
	"context"
	"testing"
)

func TestLatchRod(t *testing.T) {
	parts, fits := scene(t, "../../examples/latch-rod/latch-rod.star")
	gs, refused, err := Cut(context.Background(), parts, fits, settings(), 0)
	if err != nil {
		t.Fatal(err)
	}
	show(gs, refused, parts)
	for i := range gs {
		sound(t, &gs[i])
	}
}

func TestPlain(t *testing.T) {
	g, err := Plain(settings())
	if err != nil {
		t.Fatal(err)
	}
	sound(t, g)
	show([]Gauge{*g}, nil, nil)
}

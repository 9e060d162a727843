package motion_test

import (
	"context"
	"errors"
	"testing"

	"feint/internal/motion"
)

// looked ends after it was asked so many times.
type looked struct {
	context.Context
	left int
}

func (l *looked) Err() error {
	if l.left--; l.left < 0 {
		return context.Canceled
	}
	return nil
}

// TestStopAnywhere: wherever it is stopped, Solve gives the error of that and no answer.
func TestStopAnywhere(t *testing.T) {
	m, maps := linked(t, 11)
	for n, done := 0, false; !done; n++ {
		r, err := motion.Solve(&looked{context.Background(), n}, m, maps, motion.Options{})
		switch done = err == nil; {
		case done && r.Way == nil:
			t.Error("no way, and no error")
		case !done && (r != nil || !errors.Is(err, context.Canceled)):
			t.Errorf("stopped at the %d. look: %v, %v", n, r != nil, err)
		}
	}
}

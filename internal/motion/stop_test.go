package motion_test

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"

	"feint/internal/motion"
)

// looked ends after it was asked so many times.
type looked struct {
	context.Context
	left atomic.Int64 // several ask at once
}

func (l *looked) Err() error {
	if l.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// TestStopAnywhere: wherever it is stopped, Solve gives the error of that and no answer.
func TestStopAnywhere(t *testing.T) {
	m, maps := linked(t, 11)
	for n, done := 0, false; !done; n++ {
		ctx := &looked{Context: context.Background()}
		ctx.left.Store(int64(n))
		r, err := motion.Solve(ctx, m, maps, motion.Options{})
		switch done = err == nil; {
		case done && r.Way == nil:
			t.Error("no way, and no error")
		case !done && (r != nil || !errors.Is(err, context.Canceled)):
			t.Errorf("stopped at the %d. look: %v, %v", n, r != nil, err)
		}
	}
}

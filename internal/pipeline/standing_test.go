package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"feint/internal/export"
	"feint/internal/logbook"
	"feint/internal/yield"
)

func standingBook(t *testing.T) *logbook.Book {
	t.Helper()
	b, err := logbook.Create(context.Background(), t.TempDir(), logbook.Options{Now: func() time.Time { return time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

// proofOf is a document that binds between lo and hi; all else is invented.
func proofOf(name, sha string, lo, hi float64) *export.Document {
	moves, margin := 4, &export.MarginInfo{Value: -0.02, Unit: "mm"}
	against, clear := "ring", 0.2
	return &export.Document{
		Design: export.DesignInfo{Name: name}, DesignSHA256: sha, Verdict: "works", Moves: &moves, MovesLeast: &moves,
		Parts:    []export.PartInfo{{Name: "rod"}, {Name: "ring"}},
		Fit:      export.FitInfo{BindLimit: &export.LimitInfo{Lo: &lo, Hi: &hi}},
		Solution: []export.MoveInfo{{Part: "rod", Against: &against, Clearance: &clear, Words: []string{"up", "then round"}}},
		Findings: []export.FindingInfo{{Rule: "facets", Severity: "warning", Where: export.WhereInfo{Parts: []string{"rod"}}, Margin: margin}},
		Params:   []export.ParamInfo{{Name: "side gap", Value: 0.3}},
	}
}

// A fault seen on one revision is asked of the next.
func TestStanding(t *testing.T) {
	ctx, b := context.Background(), standingBook(t)
	path := filepath.Join(b.Dir(), "tower.star")
	if err := os.WriteFile(path, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	first := proofOf("tower", "a", 0.04, 0.06)
	kept, err := KeepProof(ctx, b, first, Keeping{Path: path, What: "prove", Revision: true, Question: "does it open?"})
	if err != nil || !kept.NewRev || !kept.NewProof || kept.Revision.Params["side gap"] != 0.3 {
		t.Fatalf("%+v, %v", kept, err)
	}
	if again, err := KeepProof(ctx, b, first, Keeping{Path: path, What: "prove", Revision: true}); err != nil || again.NewRev || again.NewProof || again.Revision.Question != "does it open?" {
		t.Errorf("%+v, %v", again, err)
	}
	if d, err := logbook.Deeds(ctx, b, 0); len(d) != 1 || err != nil {
		t.Errorf("%d deeds for one thing that was new: %v", len(d), err)
	}
	_, err = b.Do(ctx, "fault", func(tx *logbook.Tx) error {
		f := logbook.Fault{Revision: kept.Revision.ID, What: "binds at ring"}
		if err := logbook.Add(tx, &f); err != nil {
			return err
		}
		by := 0.03
		c, seen, err := logbook.Stand(ctx, tx, f.ID, &logbook.Bound{Rule: "bind", By: &by})
		// from the upper end of the bracket, 0.06, to the better
		if err == nil && (*c.AtLeast != 0.06+0.03 || seen == nil || seen.Answer != logbook.Returns) {
			t.Errorf("%+v %+v", c, seen)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []struct {
		lo, hi float64
		answer string
		status int
	}{{0.04, 0.06, "returns", 1}, {0.07, 0.1, "untold", 0}, {0.091, 0.1, "holds", 0}} {
		d := proofOf("tower", "b", k.lo, k.hi)
		if err := AskStanding(ctx, b, path, d); err != nil {
			t.Fatal(err)
		}
		if len(d.Standing) != 1 || d.Standing[0].Answer != k.answer || d.ExitStatus != k.status {
			t.Errorf("bind from %g to %g: %+v, exit status %d", k.lo, k.hi, d.Standing, d.ExitStatus)
		}
	}
	other := proofOf("ferry", "c", 0, 0.01)
	if err := AskStanding(ctx, b, filepath.Join(b.Dir(), "ferry.star"), other); err != nil || len(other.Standing) != 0 {
		t.Errorf("another design is asked: %+v, %v", other.Standing, err)
	}
}

// Two files of one name would share revisions and checks; a file that has moved is
// the same design.
func TestLogbookDesign(t *testing.T) {
	ctx, b := context.Background(), standingBook(t)
	one, two := filepath.Join(b.Dir(), "one", "box.star"), filepath.Join(b.Dir(), "two", "box.star")
	for _, p := range []string{one, two} {
		if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(p, []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := KeepProof(ctx, b, proofOf("box", "a", 0, 0.1), Keeping{Path: one, Revision: true}); err != nil {
		t.Fatal(err)
	}
	if _, err := LogbookDesign(ctx, b, two, "box", ""); err == nil {
		t.Error("two files share a name")
	}
	if err := os.Remove(one); err != nil {
		t.Fatal(err)
	}
	if d, err := LogbookDesign(ctx, b, two, "box", ""); err != nil || d.File != "two/box.star" {
		t.Errorf("%+v, %v", d, err)
	}
}

func TestKeepYield(t *testing.T) {
	ctx, b := context.Background(), standingBook(t)
	d := &export.YieldDocument{
		Design: "tower", DesignSHA256: "a", Setting: "kitchen", Seed: 1<<64 - 1, Prints: 100, Undecided: 1,
		Works: yield.Share{Count: 95}, Binds: yield.Share{Count: 3}, Leaks: yield.Share{Count: 1},
		BindBy: []export.YieldCause{{Parts: []string{"rod", "ring"}, Count: 2}}, LeakBy: []export.YieldCause{{Count: 5}},
	}
	for range 2 {
		if err := KeepYield(ctx, b, d); err != nil {
			t.Fatal(err)
		}
	}
	ys, err := logbook.All[logbook.Yield](ctx, b, "")
	if err != nil || len(ys) != 1 || ys[0].Work != 95 || ys[0].Worst != "rod and ring" || ys[0].Setting != "kitchen" || ys[0].Unknown != 1 {
		t.Errorf("%+v, %v", ys, err)
	}
}

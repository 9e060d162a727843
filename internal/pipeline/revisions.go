package pipeline

import (
	"fmt"
	"strings"

	"feint/internal/logbook"
)

// RevisionWords sums up a revision in a line.
func RevisionWords(r *logbook.SumOf) []string {
	var out []string
	if p := r.Proof; p == nil {
		out = append(out, "not proved")
	} else {
		w := p.Verdict
		if p.Moves != nil {
			w += fmt.Sprintf(", %d moves", *p.Moves)
		}
		if p.BindLo != nil && p.BindHi != nil {
			w += fmt.Sprintf(", binds at %+.3f mm", (*p.BindLo+*p.BindHi)/2)
		}
		if p.LeakLo != nil && p.LeakHi != nil {
			w += fmt.Sprintf(", leaks at %+.3f mm", (*p.LeakLo+*p.LeakHi)/2)
		}
		out = append(out, w)
	}
	if y := r.Yield; y != nil && y.Prints > 0 {
		out = append(out, fmt.Sprintf("%.0f of 100 copies foretold to work", 100*float64(y.Work)/float64(y.Prints)))
	}
	if r.Trials > 0 {
		w := fmt.Sprintf("%d printed", r.Trials)
		for _, o := range logbook.Outcomes() {
			if n := r.Outcomes[o]; n > 0 {
				w += fmt.Sprintf(", %d %s", n, o)
			}
		}
		out = append(out, w)
	}
	if n := len(r.Faults); n > 0 {
		out = append(out, fmt.Sprintf("faults: %s", faultList(r.Faults)))
	}
	if n := len(r.Solves); n > 0 {
		out = append(out, fmt.Sprintf("%d solves", n))
	}
	if note := r.Note; note != "" {
		out = append(out, note)
	}
	return out
}

func faultList(fs []logbook.Fault) string {
	var out []string
	for i := range fs {
		out = append(out, fs[i].What)
	}
	return strings.Join(out, ", ")
}

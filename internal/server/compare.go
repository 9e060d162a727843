package server

import (
	"fmt"
	"net/http"
	"strings"

	"feint/internal/export"
	"feint/internal/verdict/wording"
)

// compare tells what a change did.
func (s *Server) compare(_ http.ResponseWriter, r *http.Request) (any, error) {
	var two Two
	if err := readJSON(r, &two); err != nil {
		return nil, err
	}
	a, err := s.proof(two.Before)
	if err != nil {
		return nil, err
	}
	b, err := s.proof(two.After)
	if err != nil {
		return nil, err
	}
	c := compared(a.Proof, b.Proof)
	x, _ := s.runs.yields.Get(yieldName(two.Before, two.On))
	y, _ := s.runs.yields.Get(yieldName(two.After, two.On))
	if x != nil || y != nil {
		c.yield(two.On, x, y)
	}
	return c, nil
}

func compared(a, b *Proof) Compared {
	x, y := &a.Document, &b.Document
	c := Compared{Rows: []ComparedRow{}, Before: named(x), After: named(y)}
	c.add("verdict", x.Verdict, y.Verdict, "other")
	c.number("moves", count(x.Moves), count(y.Moves), 0, "")
	c.number("strokes", count(x.Strokes), count(y.Strokes), 0, "")
	for _, k := range []struct {
		name          string
		before, after *float64
	}{
		{"every step holds down to", x.Fit.Holds, y.Fit.Holds},
		{"leaks at and below", x.Fit.Leak, y.Fit.Leak},
		{"binds above", x.Fit.Bind, y.Fit.Bind},
		{"least room on the way", narrow(x), narrow(y)},
	} {
		if a.Asked || b.Asked {
			c.open(k.name, a.Asked, b.Asked, inNumbers(k.before, 3, " mm"), inNumbers(k.after, 3, " mm"))
		} else {
			c.number(k.name, k.before, k.after, 3, " mm")
		}
	}
	c.number("mass, printed solid", &a.Grams, &b.Grams, 1, " g")
	c.findings(a, b)
	return c
}

// findings counts them; of a proof whose findings are not all found yet there is no count.
func (c *Compared) findings(a, b *Proof) {
	n, m := float64(len(a.Document.Findings)), float64(len(b.Document.Findings))
	if !a.Partial && !b.Partial {
		c.number("findings", &n, &m, 0, "")
		return
	}
	c.open("findings", a.Partial, b.Partial, wording.Number(n, 0), wording.Number(m, 0))
}

// open sets side by side what is not known of one of two proofs: the one before was left
// before it was over.
func (c *Compared) open(name string, openBefore, openAfter bool, before, after string) {
	if openBefore {
		before = "not worked out"
	}
	if openAfter {
		after = "being worked out"
	}
	c.Rows = append(c.Rows, ComparedRow{name, before, after, "not known yet"})
}

// named tells what a proof was of: the revision, or else the first of its hash, and
// the params that are not as in the file.
func named(d *export.Document) string {
	out := "as first read"
	switch {
	case d.Design.Revision != "":
		out = "revision " + d.Design.Revision
	case len(d.DesignSHA256) >= 8:
		out = d.DesignSHA256[:8]
	}
	var set []string
	for _, p := range d.Params {
		if p.Value != p.Default {
			set = append(set, fmt.Sprintf("%s %g", p.Name, p.Value))
		}
	}
	if len(set) > 0 {
		out += " with " + strings.Join(set, ", ")
	}
	return out
}

func (c *Compared) add(name, before, after, change string) {
	if before == after {
		change = ""
	}
	c.Rows = append(c.Rows, ComparedRow{name, before, after, change})
}

func (c *Compared) number(name string, x, y *float64, decimals int, unit string) {
	change := "other"
	if x != nil && y != nil {
		change = wording.Signed(*y-*x, decimals) + unit
	}
	c.add(name, inNumbers(x, decimals, unit), inNumbers(y, decimals, unit), change)
}

func inNumbers(v *float64, decimals int, unit string) string {
	if v == nil {
		return "none found"
	}
	return wording.Number(*v, decimals) + unit
}

// yield sets what is foretold of the prints side by side. Intervals that overlap tell
// no difference.
func (c *Compared) yield(on string, x, y *Yield) {
	word := func(v *Yield) string {
		if v == nil {
			return "not worked out"
		}
		return fmt.Sprintf("%s %% (%s to %s)", wording.Number(100*v.Works, 1), wording.Number(100*v.Lo, 1), wording.Number(100*v.Hi, 1))
	}
	change := "not known"
	if x != nil && y != nil {
		change = wording.Signed(100*(y.Works-x.Works), 1) + " %"
		if x.Lo <= y.Hi && y.Lo <= x.Hi {
			change += ", within what is uncertain"
		}
	}
	if on == "" {
		on = "an unknown printer"
	}
	c.add("yield on "+on, word(x), word(y), change)
}

func count(n *int) *float64 {
	if n == nil {
		return nil
	}
	f := float64(*n)
	return &f
}

func narrow(d *export.Document) *float64 {
	if d.Fit.Tightest == nil {
		return nil
	}
	return &d.Fit.Tightest.Clearance
}

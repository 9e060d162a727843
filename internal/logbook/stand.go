package logbook

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Bound is what a standing check is to hold: a quantity or a rule, and how much.
// By is measured from the revision on which the fault was seen.
type Bound struct {
	Rule            string
	AtLeast, AtMost *float64
	By              *float64
}

// ReadBound reads "bind by 0.03", "leak at most -0.08", "moves at least 6" or the bare
// name of a rule. rules are the names of the verdict's rules.
func ReadBound(text string, rules []string) (*Bound, error) {
	words := strings.Fields(strings.ReplaceAll(text, ",", "."))
	if len(words) == 0 {
		return nil, fmt.Errorf("say what is to hold: one of %s with a bound, or a rule", strings.Join(Quantities(), ", "))
	}
	b := &Bound{Rule: strings.ToLower(words[0])}
	known := slices.Concat(Quantities(), rules)
	if !slices.Contains(known, b.Rule) {
		if n := Nearest(b.Rule, known); n != "" {
			return nil, fmt.Errorf("there is no rule or quantity %q; did you mean %s?", b.Rule, n)
		}
		return nil, fmt.Errorf("there is no rule or quantity %q; the quantities are %s, the rules %s", b.Rule, strings.Join(Quantities(), ", "), strings.Join(rules, ", "))
	}
	for rest := words[1:]; len(rest) > 0; {
		var err error
		if rest, err = b.clause(rest); err != nil {
			return nil, err
		}
	}
	if IsQuantity(b.Rule) && b.AtLeast == nil && b.AtMost == nil && b.By == nil {
		return nil, fmt.Errorf("%s: by how much, at least or at most what? Such as: %s by 0.03", b.Rule, b.Rule)
	}
	if !IsQuantity(b.Rule) && b.By != nil {
		return nil, fmt.Errorf("%s: a rule has a margin of its own; say at least how much, or nothing", b.Rule)
	}
	return b, nil
}

// clause reads "by 0.03", "at least 0.1" or "at most 0.1" and gives what follows.
func (b *Bound) clause(w []string) ([]string, error) {
	into, n := &b.By, 1
	switch {
	case w[0] == "by":
	case w[0] == "at" && len(w) > 1 && w[1] == "least":
		into, n = &b.AtLeast, 2
	case w[0] == "at" && len(w) > 1 && w[1] == "most":
		into, n = &b.AtMost, 2
	case w[0] == "and":
		return w[1:], nil
	default:
		return nil, fmt.Errorf("%q: write by, at least or at most, and a number", strings.Join(w, " "))
	}
	if len(w) <= n {
		return nil, fmt.Errorf("%q: a number is missing", strings.Join(w, " "))
	}
	v, err := strconv.ParseFloat(w[n], 64)
	if err != nil || !finite(v) {
		return nil, fmt.Errorf("%q is not a number", w[n])
	}
	*into = &v
	rest := w[n+1:]
	if len(rest) > 0 && rest[0] == "mm" {
		rest = rest[1:]
	}
	return rest, nil
}

// Stand makes a standing check of a fault: it ties the fault to the rule and the
// margin and adds the check, narrowed to the fault's parts where the rule is of
// parts. seen is what the check says of the very revision on which the fault was seen,
// if that was proved: it should return, or the check would not have foretold it.
func Stand(ctx context.Context, t *Tx, fault ID, b *Bound) (c Check, seen *Ruling, err error) {
	f, err := Get[Fault](ctx, t, fault)
	if err != nil {
		return c, nil, err
	}
	r, err := Get[Revision](ctx, t, f.Revision)
	if err != nil {
		return c, nil, err
	}
	proof, proved, err := ProofOf(ctx, t, r.SHA256)
	if err != nil {
		return c, nil, err
	}
	c = Check{Design: r.Design, Fault: fault, Rule: b.Rule, AtLeast: b.AtLeast, AtMost: b.AtMost, Note: f.What}
	if b.Rule == "clearance" || !IsQuantity(b.Rule) {
		c.Parts = f.Parts
	}
	if IsQuantity(b.Rule) && b.Rule != "moves" {
		c.Unit = "mm"
	}
	if b.By != nil {
		if !proved {
			d, err := Get[Design](ctx, t, r.Design)
			if err != nil {
				return c, nil, err
			}
			return c, nil, fmt.Errorf("revision %d of %s, on which fault %d was seen, has no proof in the logbook to measure from: ask feint prove %s while it is that revision, or say how much itself, such as %s at least 0.15 or at most -0.05",
				r.Number, d.Name, fault, d.File, b.Rule)
		}
		if err := c.measure(&proof, *b.By); err != nil {
			return c, nil, err
		}
	}
	f.Rule, f.Margin, f.Unit = b.Rule, firstOf(b.By, c.AtLeast, c.AtMost), c.Unit
	if err := joined(Change(t, &f), Add(t, &c)); err != nil {
		return c, nil, err
	}
	if proved {
		k := Judge(&c, &proof)
		seen = &k
	}
	return c, seen, nil
}

func firstOf(vs ...*float64) *float64 {
	for _, v := range vs {
		if v != nil {
			return v
		}
	}
	return nil
}

// measure sets the bound by a margin from what the faulty revision had, from that
// end of the bracket which makes the check the stricter. A leak must come to lie lower,
// everything else higher.
func (c *Check) measure(p *Proof, by float64) error {
	b, _, unknown := quantity(c, p)
	if unknown != "" {
		return errors.New(unknown)
	}
	if by <= 0 {
		return fmt.Errorf("by %g: a margin is more than nothing", by)
	}
	base, sign := b.hi, 1.0
	if strings.HasPrefix(c.Rule, "leak") {
		base, sign = b.lo, -1
	}
	if math.IsInf(b.lo, -1) && math.IsInf(b.hi, -1) {
		return fmt.Errorf("no %s was found by the proof of the faulty revision, so it gives nothing to measure from; say: %s at most VALUE, a growth in mm such as -0.08", c.Rule, c.Rule)
	}
	if !finite(base) {
		return fmt.Errorf("the proof of the faulty revision %s, which gives nothing to measure from; say at least or at most how much", b.words(c.Rule == "moves"))
	}
	bound := base + sign*by
	if sign > 0 {
		c.AtLeast = &bound
	} else {
		c.AtMost = &bound
	}
	return nil
}

package pipeline

import (
	"fmt"
	"math"
	"slices"

	"feint/internal/hands"
	"feint/internal/motion"
	"feint/internal/proof"
	"feint/internal/verdict"
)

// limits checks what the limits told rest on: the way at the greatest growth at which it is
// known to open, and that there is none at the least growths at which it, or a way past a
// step, is told not to. (The shortcuts are among the ways.)
func (c *checker) limits(o Options) (*said, error) {
	r := c.result
	var certs []motion.Certificate
	var shut []*motion.Certificate
	for i := range r.Beyond {
		switch k := &r.Beyond[i]; {
		case !toldBy(r, k.Growth, k.Avoid): // parts that are not the hand's bring about another
		case k.Space != nil:
			certs = append(certs, *k)
		default:
			shut = append(shut, k)
		}
	}
	s, err := c.refuted(certs, o)
	if err != nil {
		return nil, err
	}
	for _, k := range shut {
		m := c.out.Mechanism
		rep, err := proof.Shut(c.ctx, m, c.trees, k.Growth)
		detail := ""
		if err == nil {
			detail = fmt.Sprintf("at the start %s and %s are %.4f mm apart and need %.4f", m.Parts[rep.A].Name, m.Parts[rep.B].Name, rep.Clearance, rep.Needed)
		}
		if err := s.note(claim(k), detail, err); err != nil {
			return nil, err
		}
	}
	if h := c.out.Hands; h != nil {
		return s, c.limitsDirected(h, s)
	}
	if r.AtBind != nil {
		err = c.walked("the way where there is least room to open it, walked on the meshes", r.AtBind, s)
	}
	return s, err
}

// toldBy tells whether a limit that is told, of the bind or of the step avoid, lies at the
// growth.
func toldBy(r *motion.Result, growth float64, avoid int) bool {
	if avoid < 0 {
		return r.Fit.Bind != nil && r.Fit.Bind.Hi == growth
	}
	return r.Steps[avoid].HoldsTo == growth
}

// limitsDirected checks what limits rest on where parts fall and are pushed, beside what
// hands that reach everything cannot do.
func (c *checker) limitsDirected(h *hands.Result, s *said) error {
	for _, k := range h.AtLimit {
		name := "the way where there is least room to open it, led on the meshes"
		if k.Avoid >= 0 {
			name = fmt.Sprintf("the way past %q, led on the meshes", c.out.Mechanism.Steps[k.Avoid].Name)
		}
		if err := c.led(name, k.Way, k.Avoid, s); err != nil {
			return err
		}
	}
	for i := range h.Beyond {
		if err := directedNo(&h.Beyond[i], s); err != nil {
			return err
		}
	}
	for _, name := range c.bare(h) {
		s.ok = false
		s.checks = append(s.checks, verdict.Check{Name: name, Detail: "it rests on the first method alone"})
	}
	return nil
}

// bare names the limits that neither what was looked for beyond the growths asked nor an
// answer at these shows.
func (c *checker) bare(h *hands.Result) []string {
	var out []string
	r, m := c.result, c.out.Mechanism
	if b := r.Fit.Bind; b != nil {
		if b.Seen() && !c.opensAt(h, -1, b.Lo) {
			out = append(out, fmt.Sprintf("that it opens at growth %+.3f mm", b.Lo))
		}
		if !math.IsInf(b.Hi, 1) && !c.shutAt(h, -1, b.Hi) {
			out = append(out, fmt.Sprintf("that it does not open above growth %+.3f mm", b.Hi))
		}
	}
	for i := range r.Steps {
		st, name := &r.Steps[i], m.Steps[i].Name
		if l := st.Bypass; l != nil && l.Seen() && !c.opensAt(h, i, l.Lo) {
			out = append(out, fmt.Sprintf("that %q can be left out at growth %+.3f mm", name, l.Lo))
		}
		if g := st.HoldsTo; !math.IsInf(g, 1) && !c.shutAt(h, i, g) && !c.shutAt(h, -1, g) {
			out = append(out, fmt.Sprintf("that %q cannot be left out above growth %+.3f mm", name, g))
		}
	}
	return out
}

// opensAt tells whether a way at the growth, past step avoid if it is not -1, was led.
func (c *checker) opensAt(h *hands.Result, avoid int, g float64) bool {
	ways := []*hands.Way{h.Drawn.Way, h.Tight.Way, h.Loose.Way}
	if avoid >= 0 {
		ways = []*hands.Way{h.Steps[avoid].Shortcut}
	}
	for _, k := range h.AtLimit {
		if k.Avoid == avoid {
			ways = append(ways, k.Way)
		}
	}
	return slices.ContainsFunc(ways, func(w *hands.Way) bool { return w != nil && w.Growth == g })
}

// shutAt tells whether it was followed that there is no way at the growth.
func (c *checker) shutAt(h *hands.Result, avoid int, g float64) bool {
	by := func(k motion.Certificate) bool { return k.Avoid == avoid && k.Growth == g }
	no := func(n hands.No) bool { return n.Avoid == avoid && n.Growth == g }
	return slices.ContainsFunc(c.result.Beyond, by) || slices.ContainsFunc(c.result.Certificates, by) ||
		slices.ContainsFunc(h.Beyond, no) || slices.ContainsFunc(h.Noes, no)
}

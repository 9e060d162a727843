package design

import (
	"math"
	"slices"

	"go.starlark.net/starlark"

	"feint/internal/stack"
)

func chainWords() []word {
	return []word{{
		group: groupSheet, name: "chain", gives: "nothing", run: addChain,
		doc: "A chain of dimensions whose tolerances add up, for feint stack: a lid's gap, say, from the box, the ring and the washer under it.",
		args: []arg{
			{"name", "words", "", "what the sum is called"},
			{"dims", "table", "", "{name: (size, tolerance), ...}, mm: a size that is taken away is negative. (size, up, down) gives two tolerances, a number alone none"},
			{"lo", "mm", "None", "least value that the sum must keep"},
			{"hi", "mm", "None", "greatest value that the sum must keep"},
		},
		example: `chain("lid gap", {"box": (40, 0.1), "ring": (-25, 0.05), "washer": (-14.7, 0.03, 0.01)}, lo = 0.1)`,
	}}
}

// maxDims bounds the dimensions of a chain, maxChains the chains of a design.
const (
	maxDims   = 200
	maxChains = 200
)

func addChain(c *call) starlark.Value {
	k := stack.Chain{Name: c.name("chain"), Lo: math.Inf(-1), Hi: math.Inf(1)}
	if c.has("lo") {
		k.Lo = c.length("lo", 0)
	}
	if c.has("hi") {
		k.Hi = c.length("hi", 0)
	}
	k.Dims = c.dims()
	if c.failed {
		return starlark.None
	}
	if err := k.Check(); err != nil {
		c.problem("dims", "mend the chain", "%v", err)
		return starlark.None
	}
	have := c.l.draft.sheet.Chains
	switch {
	case len(have) >= maxChains:
		c.problem("", "leave some out", "chain: more than %d chains", maxChains)
	case slices.ContainsFunc(have, func(o stack.Chain) bool { return o.Name == k.Name }):
		c.problem("name", "choose another name", "chain: there is already a chain called %q", k.Name)
	default:
		c.l.draft.sheet.Chains = append(slices.Clip(have), k)
	}
	return starlark.None
}

// dims reads the table of dimensions.
func (c *call) dims() []stack.Dim {
	v := c.value("dims")
	if v == nil {
		return nil
	}
	d, ok := v.(*starlark.Dict)
	if !ok || d.Len() == 0 || d.Len() > maxDims {
		c.problem("dims", `write a table: {"box": (40, 0.1), "ring": (-25, 0.05)}`, "chain: dims cannot be %s", describe(v))
		return nil
	}
	var out []stack.Dim
	for _, kv := range d.Items() {
		if isUnknown(kv[0]) {
			c.failed = true
			continue
		}
		name, ok := starlark.AsString(kv[0])
		if why := badName(name); !ok || why != "" {
			c.problem("dims", "use letters, digits, spaces, - and _", "chain: %s is no name for a dimension", describe(kv[0]))
			continue
		}
		out = append(out, c.dim(name, kv[1]))
	}
	return out
}

// dim reads (size, tolerance), (size, up, down) or a size.
func (c *call) dim(name string, v starlark.Value) stack.Dim {
	d := stack.Dim{Name: name}
	vs, ok := elements(v)
	if !ok {
		vs = []starlark.Value{v}
	}
	if len(vs) < 1 || len(vs) > 3 {
		c.problem("dims", "write (size, tolerance) or (size, up, down)", "chain: %q has %d numbers", name, len(vs))
		return d
	}
	to := []*float64{&d.Nominal, &d.Plus, &d.Minus}
	for i, x := range vs {
		f, ok := c.asLength("dims", name, x)
		if ok && i > 0 && f < 0 {
			c.problem("dims", "give 0 or more; a size that is taken away is negative, its tolerance is not", "chain: the tolerance of %q is %s mm", name, num(f))
		}
		*to[i] = f
	}
	if len(vs) == 2 {
		d.Minus = d.Plus
	}
	return d
}

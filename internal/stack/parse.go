package stack

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Parse reads a chain as it is written on a drawing:
//
//	box: 40 +-0.1 - ring: 25 +-0.05 - washer: 2 +0.03 -0.01 uniform
//
// Dimensions are joined by + and - that stand alone; a name ends with a colon; the
// tolerance follows its dimension, without a space behind its sign: +-0.1 or ±0.1
// both ways, +0.03 or -0.01 one way; then normal (which may be left out), uniform
// or triangle.
func Parse(name, text string) (Chain, error) {
	c := Chain{Name: name, Lo: math.Inf(-1), Hi: math.Inf(1)}
	p := parser{text: text, fields: fields(text)}
	sign := 1.0
	if p.take("-") {
		sign = -1
	} else {
		p.take("+")
	}
	for {
		d, err := p.dim(sign)
		if err != nil {
			return c, err
		}
		c.Dims = append(c.Dims, d)
		switch {
		case len(p.fields) == 0:
			return c, c.Check()
		case p.take("+"):
			sign = 1
		case p.take("-"):
			sign = -1
		default:
			return c, fmt.Errorf("chain %q: after %q comes %q; join dimensions with + or - that stand alone: 40 +-0.1 - 25 +-0.05", text, p.last, p.fields[0])
		}
	}
}

// fields splits at spaces, and before a tolerance that is written without one.
func fields(text string) []string {
	text = strings.ReplaceAll(text, "±", "+-")
	text = strings.ReplaceAll(text, ":", ": ")
	var out []string
	for _, f := range strings.Fields(text) {
		for {
			i := strings.IndexAny(f[1:], "+-") + 1
			if i <= 0 || !digit(f[i-1]) {
				break
			}
			out = append(out, f[:i])
			f = f[i:]
		}
		out = append(out, f)
	}
	return out
}

func digit(b byte) bool { return b >= '0' && b <= '9' || b == '.' }

type parser struct {
	text   string
	fields []string
	last   string
}

func (p *parser) take(f string) bool {
	if len(p.fields) > 0 && p.fields[0] == f {
		p.last, p.fields = f, p.fields[1:]
		return true
	}
	return false
}

// dim reads one dimension with its tolerances.
func (p *parser) dim(sign float64) (Dim, error) {
	var d Dim
	var words []string
	for len(p.fields) > 0 {
		f := p.fields[0]
		if v, err := strconv.ParseFloat(f, 64); err == nil && !strings.HasPrefix(f, "+") && !strings.HasPrefix(f, "-") {
			p.last, p.fields = f, p.fields[1:]
			d.Nominal = sign * v
			d.Name = strings.TrimSuffix(strings.Join(words, " "), ":")
			return d, p.tolerances(&d)
		}
		if len(words) > 0 && strings.HasSuffix(words[len(words)-1], ":") {
			break
		}
		words = append(words, f)
		p.last, p.fields = f, p.fields[1:]
	}
	return d, fmt.Errorf("chain %q: a dimension in mm is missing after %q", p.text, p.last)
}

func (p *parser) tolerances(d *Dim) error {
	for len(p.fields) > 0 {
		f := p.fields[0]
		both, isBoth := strings.CutPrefix(f, "+-")
		up, isUp := strings.CutPrefix(f, "+")
		down, isDown := strings.CutPrefix(f, "-")
		switch {
		case isBoth && both != "":
			v, err := p.number(both, f)
			if err != nil {
				return err
			}
			d.Plus, d.Minus = v, v
		case isUp && up != "" && !isBoth:
			v, err := p.number(up, f)
			if err != nil {
				return err
			}
			d.Plus = v
		case isDown && down != "":
			v, err := p.number(down, f)
			if err != nil {
				return err
			}
			d.Minus = v
		case f == Normal.String() || f == Uniform.String() || f == Triangle.String():
			d.Shape = map[string]Shape{"normal": Normal, "uniform": Uniform, "triangle": Triangle}[f]
		default:
			return nil
		}
		p.last, p.fields = f, p.fields[1:]
	}
	return nil
}

func (p *parser) number(s, field string) (float64, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || v < 0 {
		return 0, fmt.Errorf("chain %q: %q is no tolerance; write +-0.1, or +0.03 -0.01", p.text, field)
	}
	return v, nil
}

package calibrate

import "math"

// class is what readings have in common that depend alike on the unknowns, were taken
// with the same uncertainty and, if felt, feel the same.
type class struct {
	felt     bool
	own      float64 // variance of the instrument or of the feeling hand, mm2
	surfaces float64
	coef     local // the growth of the print, which adds to that in plane, counts by the same coefficient
	cols     []int // the unknowns of which it is not 0
	lo, hi   int   // the unknowns that are the limits of the feel, none for -1
}

// none is the limit of a feel that has none, and of a measured size.
const none = -1

// classKey tells classes apart.
type classKey struct {
	kind    Kind
	felt    Feel
	nominal float64
	own     float64
}

// cell is the readings of one print and one class.
type cell struct {
	print, class int
	from, to     int // of fitter.order
}

// sort lays the readings out by print and class, in the order in which those come.
func (f *fitter) sort(readings []Reading) {
	prints, classes, cells := map[string]int{}, map[classKey]int{}, map[[2]int]int{}
	f.cellOf = make([]int, len(readings))
	var of [][]int
	for i := range readings {
		r := &readings[i]
		print, ok := prints[r.Print]
		if !ok {
			print = len(prints)
			prints[r.Print] = print
		}
		key := classKey{r.Kind, r.Felt, r.Nominal, r.own()}
		c, ok := classes[key]
		if !ok {
			c = len(classes)
			classes[key] = c
			f.classes = append(f.classes, r.class())
		}
		at, ok := cells[[2]int{print, c}]
		if !ok {
			at = len(cells)
			cells[[2]int{print, c}] = at
			f.cells, of = append(f.cells, cell{print: print, class: c}), append(of, nil)
		}
		of[at] = append(of[at], i)
		f.cellOf[i] = at
	}
	for at := range f.cells {
		f.cells[at].from = len(f.order)
		f.order = append(f.order, of[at]...)
		f.cells[at].to = len(f.order)
	}
	f.prints = len(prints)
	f.place = make([]float64, len(f.order))
	for k, i := range f.order {
		f.place[k] = readings[i].place()
	}
	f.activate()
}

// activate lists the unknowns that any reading touches.
func (f *fitter) activate() {
	var used [unknowns]bool
	for i := range f.classes {
		c := &f.classes[i]
		for _, a := range c.cols {
			used[a] = true
		}
		for _, a := range []int{c.lo, c.hi} {
			if a != none {
				used[a] = true
			}
		}
	}
	for a, u := range used {
		if u {
			f.active = append(f.active, a)
		}
	}
}

// class is that of a reading.
func (r *Reading) class() class {
	c := class{felt: r.Kind == Fit, own: r.own(), surfaces: r.surfaces(), lo: none, hi: none}
	_, coef := r.row()
	copy(c.coef[:], coef[:])
	c.coef[unknowns] = coef[uInPlane]
	for a, x := range coef {
		if x != 0 {
			c.cols = append(c.cols, a)
		}
	}
	if r.Kind == Fit && r.Felt > Stuck {
		c.lo = uStuck + int(r.Felt) - 1
	}
	if r.Kind == Fit && r.Felt < Loose {
		c.hi = uStuck + int(r.Felt)
	}
	return c
}

// place is how far a measured size is above what it would be with all unknowns 0, and
// of a felt fit the gap that there would be.
func (r *Reading) place() float64 {
	base, _ := r.row()
	if r.Kind == Fit {
		return base
	}
	return r.Size - base
}

// expected is what the readings of a class should be at x but for their own base.
func (c *class) expected(x *vector, print float64) float64 {
	e := c.coef[unknowns] * print
	for _, a := range c.cols {
		e += c.coef[a] * x[a]
	}
	return e
}

// limits are the gaps between which a fit feels so.
func (c *class) limits(x *vector) (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	if c.lo != none {
		lo = x[c.lo]
	}
	if c.hi != none {
		hi = x[c.hi]
	}
	return lo, hi
}

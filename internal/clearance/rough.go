package clearance

// In a large cell of a roomy map nearly all pairs of triangles may come near each other
// somewhere, and a list of them tells little. Such cells are bounded by the clearance at
// their middle, which changes by no more than the lesser part's reach; lists are begun
// in cells that move nothing farther than roughReach.
const roughReach = 0.25 // mm

// rough tells whether the cell that was placed is bounded by its middle alone.
func (w *worker) rough() bool { return w.m.roomy() && w.reach > max(roughReach, w.width/2) }

// byMiddle bounds a rough cell and tells along which coordinate to divide it, -1 if it
// is done.
func (w *worker) byMiddle(c *cell, t *task) int {
	open := w.open(c)
	whole := [1]pair{{a: w.m.fa.root, b: w.m.fb.root}}
	cut := max(open[len(open)-1], 0) + w.reach + max(w.width/8, w.reach/4) + 2*w.m.slack
	least, _, p, near := w.distance(whole[:], max(w.width/8, w.reach/4), cut)
	if least -= w.reach + w.m.slack; least > w.touch() {
		w.beside(c, t, least)
	}
	if p != nil && !w.settled(c) {
		w.learnFrom(c, t, near)
	}
	return w.axis(c, &t.crit)
}

package motion

import "feint/internal/diagram"

// PastWithout is a way as drawn into the goal that avoids a step and looks at every pair
// of parts but one, on the maps as they are; nil if none is seen. It tells where two parts
// would go through each other if they could. pair counts as Pairs does.
func (j *Judge) PastWithout(step, pair int) *Way {
	w := j.w
	w.tidy()
	var sets []diagram.Set
	for i, n := range j.Even(0) {
		if i != pair {
			sets = append(sets, w.pairs[i].set(w, n, strict))
		}
	}
	free := w.sp.Minus(w.all(sets), w.region(&w.m.Steps[step], rounding(w.touching)))
	layers, ok := w.layers(free, strict)
	if !ok {
		return nil
	}
	b := w.board(free)
	narrow := b.Narrow(layers, w.goal[strict])
	wk := &walker{w: w, b: b, way: &Way{}, at: append([]float64(nil), w.m.Start...)}
	wk.unit = w.startPoint(narrow[0])
	if w.trouble() != nil {
		return nil
	}
	b.Walk(narrow, wk.unit, wk.move)
	return wk.way
}

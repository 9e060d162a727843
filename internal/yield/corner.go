package yield

import "feint/internal/printed"

// CornerFate is what becomes of a print at a corner of the model.
type CornerFate struct {
	Name   string
	Fate   Fate
	Surely Fate // whichever face decides
	Steps  []Answer
}

// Corners judges the model as expected and at its corners, k standard deviations
// from print to print off, the spread between features left out.
func (b *Bench) Corners(k float64) ([]CornerFate, error) {
	var out []CornerFate
	if b.led != nil {
		b.led.allow(othersWork)
	}
	for _, c := range printed.Corners(k) {
		j, err := b.judge(b.At(c.Scores), true)
		if err != nil {
			return nil, err
		}
		out = append(out, CornerFate{Name: c.Name, Fate: j.Fate, Surely: j.Surely, Steps: j.Steps})
	}
	return out, nil
}

package motion

import "slices"

// PlayRow is what is known at one share of the parts' play, by growth.
type PlayRow struct {
	Share float64  // of the play that is used, 0 to 1
	Opens []Answer // by growth: whether there is a way
	Leaks []Answer // by growth: whether some step can be left out
}

// PlayChart is where the box opens and where it leaks, by growth and by how much of
// the parts' play is used.
type PlayChart struct {
	Growths []float64 // ascending, mm
	Rows    []PlayRow // by share, ascending
	Asked   int       // questions put to the maps
}

// PlayChart asks the maps as they are at every growth and share, both ascending.
// Nothing is refined: what the maps leave open is Undecided.
//
// More growth never opens a way and more play never closes one. So what is known
// at one growth and share is known of all tighter, or all looser, ones, and only the
// places where the answer changes are looked for.
func (j *Judge) PlayChart(growths, shares []float64) (*PlayChart, error) {
	c := &charter{j: j, out: &PlayChart{Growths: growths}}
	var open, leak front
	for i, share := range shares {
		if i == 0 {
			open, leak = c.start(c.opens), c.start(c.leaks)
		} else {
			open, leak = c.move(open, share, c.opens), c.move(leak, share, c.leaks)
		}
		c.out.Rows = append(c.out.Rows, PlayRow{Share: share, Opens: open.answers(len(growths)), Leaks: leak.answers(len(growths))})
		if err := j.w.trouble(); err != nil {
			return nil, err
		}
	}
	return c.out, nil
}

// front tells of a row of growths: up to yes (exclusive) the answer is Yes, from no
// on it is No.
type front struct{ yes, no int }

func (f front) answers(n int) []Answer {
	out := make([]Answer, n)
	for i := range out {
		switch {
		case i < f.yes:
			out[i] = Yes
		case i >= f.no:
			out[i] = No
		}
	}
	return out
}

type charter struct {
	j   *Judge
	out *PlayChart
}

// asks answers a question of needs for one reading: whether the way asked for is
// there strictly, or whether it may be there.
type asks func(needs []float64, by reading) bool

func (c *charter) opens(needs []float64, by reading) bool { return c.way(needs, -1, by) }

// leaks tells whether some step can be left out.
func (c *charter) leaks(needs []float64, by reading) bool {
	for i := range c.j.w.m.Steps {
		if c.way(needs, i, by) {
			return true
		}
	}
	return false
}

func (c *charter) way(needs []float64, step int, by reading) bool {
	c.out.Asked++
	yes, _ := c.j.look(needs, step, by)
	return yes
}

// needs are the needs at growth i with so much of the play used.
func (c *charter) needs(i int, share float64) []float64 {
	even := c.j.Even(c.out.Growths[i])
	for k, n := range c.j.WithPlay(even) {
		even[k] += share * (n - even[k])
	}
	return even
}

// start finds the front of the first row by halving.
func (c *charter) start(q asks) front {
	n := len(c.out.Growths)
	last := func(by reading, lo, hi int) int { // the first growth at which q does not hold
		for lo < hi {
			if mid := (lo + hi) / 2; q(c.needs(mid, 0), by) {
				lo = mid + 1
			} else {
				hi = mid
			}
		}
		return lo
	}
	yes := last(strict, 0, n)
	return front{yes, last(generous, yes, n)}
}

// move takes the front of the row below on to a greater share: it can only go up.
func (c *charter) move(f front, share float64, q asks) front {
	n := len(c.out.Growths)
	for f.yes < n && q(c.needs(f.yes, share), strict) {
		f.yes++
	}
	f.no = max(f.no, f.yes)
	for f.no < n && q(c.needs(f.no, share), generous) {
		f.no++
	}
	return f
}

// Shares are n+1 even steps from 0 to 1.
func Shares(n int) []float64 {
	out := make([]float64, n+1)
	for i := range out {
		out[i] = float64(i) / float64(n)
	}
	return slices.Clip(out)
}

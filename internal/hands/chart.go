package hands

import (
	"math"
	"slices"

	"feint/internal/diagram"
	"feint/internal/motion"
)

// PlayChart is where the box opens and where it leaks, by growth and by how much of the
// parts' play is used, in fields: between two growths and two shares of the play.
type PlayChart struct {
	Growths []float64         // ascending, mm: the edges of the columns, none looser than From
	Shares  []float64         // ascending, 0 to 1: those of the rows
	Opens   [][]motion.Answer // by row and column: whether there is a way
	Leaks   [][]motion.Answer // whether some step can be left out
	From    float64           // the least growth at which a way was found, mm; -Inf if none was
	Asked   int               // questions put to the maps
}

// chartAsks bounds the questions of a chart. What is not asked any more is Undecided.
const chartAsks = 64

// PlayChart asks the maps as they are; what they leave open is Undecided. j, for hands that
// reach everything, is asked first: what they cannot do need not be asked of the directed
// law. It is nil if there is nothing to be asked. The context given to Solve must still
// hold.
//
// The law is not monotone in the growth, so fields are asked as a whole, many at once where
// that answers. "No" is said where nothing leads to the goal at whatever growth within the
// field and however much of the play up to its greater share is used, for or against the
// hand: the generous reading takes for possibly free what is so at the loose edge with the
// play, and for surely free only what is so at the tight edge with the play used up. "Yes"
// is said between the growths at which ways were found, as by the limits of Result: who may
// use play need not. Looser than the loosest way found nothing is asked.
func (r *Result) PlayChart(j *motion.Judge, growths, shares []float64) (*PlayChart, error) {
	s := r.solver
	if s == nil || j == nil || len(growths) < 2 || len(shares) < 2 {
		return nil, nil
	}
	c := &charter{s: s, j: j, place: map[[2]int]int{}}
	for i, p := range j.Pairs() {
		c.place[p] = i
	}
	c.found(r)
	lo, _ := slices.BinarySearch(growths, c.from)
	if lo > 0 {
		growths = append([]float64{c.from}, growths[lo:]...)
	}
	c.out = &PlayChart{Growths: growths, Shares: shares, From: c.from}
	if len(growths) < 2 {
		return nil, nil
	}
	c.out.Opens, c.out.Leaks = c.fields(c.most), c.fields(c.leak)
	c.opens()
	c.leaks()
	return c.out, s.b.trouble()
}

type charter struct {
	s     *solver
	j     *motion.Judge
	out   *PlayChart
	place map[[2]int]int // by the parts of a pair, its place among the needs of j
	// from, most and leak are the least and the greatest growth at which ways were found,
	// and the greatest at which one leaves out a step; -Inf if none was
	from, most, leak float64
}

// found takes up what the ways found tell.
func (c *charter) found(r *Result) {
	var at []float64
	for _, o := range [3]*Opening{&r.Loose, &r.Drawn, &r.Tight} {
		if o.Opens == motion.Yes {
			at = append(at, o.Growth)
		}
	}
	if r.Bind != nil && r.Bind.Seen() {
		at = append(at, r.Bind.Lo)
	}
	c.from, c.most, c.leak = math.Inf(-1), math.Inf(-1), math.Inf(-1)
	for i := range r.Steps {
		if l := r.Steps[i].Bypass; l != nil && l.Seen() {
			at, c.leak = append(at, l.Lo), max(c.leak, l.Lo)
		}
	}
	if len(at) > 0 {
		c.from, c.most = slices.Min(at), slices.Max(at)
	}
}

// fields are Yes up to a growth and Undecided above it.
func (c *charter) fields(most float64) [][]motion.Answer {
	out := make([][]motion.Answer, len(c.out.Shares)-1)
	for k := range out {
		for _, g := range c.out.Growths[1:] {
			a := motion.Undecided
			if g <= most {
				a = motion.Yes
			}
			out[k] = append(out[k], a)
		}
	}
	return out
}

// opens looks for where nothing opens, in the columns in which no way is known.
func (c *charter) opens() {
	n := len(c.out.Growths) - 1
	no := c.shut(-1, func(i int) bool { return c.out.Opens[0][i] == motion.Undecided })
	for i := range n {
		for k := range no[i] {
			c.out.Opens[k][i] = motion.No
		}
	}
}

// leaks looks for where no step can be left out.
func (c *charter) leaks() {
	n := len(c.out.Growths) - 1
	all := make([]int, n)
	for i := range all {
		all[i] = len(c.out.Shares) - 1
	}
	for st := range c.s.b.m.Steps {
		no := c.shut(st, func(i int) bool {
			return c.out.Leaks[0][i] != motion.Yes && c.out.Opens[0][i] != motion.No && all[i] > 0
		})
		for i := range all {
			all[i] = min(all[i], no[i])
		}
	}
	for i := range all {
		for k := range all[i] {
			if c.out.Leaks[k][i] == motion.Undecided {
				c.out.Leaks[k][i] = motion.No
			}
		}
	}
}

// shut is by column in how many of its rows nothing leads to the goal, out of a step if
// that is not negative; only the columns wanted are looked at.
func (c *charter) shut(avoid int, wanted func(i int) bool) []int {
	out := make([]int, len(c.out.Growths)-1)
	for i := 0; i < len(out); {
		k := i
		for k < len(out) && wanted(k) == wanted(i) {
			k++
		}
		if wanted(i) {
			c.front(i, k, avoid, out)
		}
		i = k
	}
	return out
}

// front finds, in the columns from lo to hi, for every row the first column from which on
// all are shut: with all the play by halving, with less of it from there to the loose.
func (c *charter) front(lo, hi, avoid int, out []int) {
	most := len(c.out.Shares) - 1
	first := c.border(lo, hi, most, avoid)
	for row := most; row > 0; row-- {
		for row < most && first > lo && c.no(first-1, first, row, avoid) {
			first--
		}
		for i := first; i < hi; i++ {
			out[i] = max(out[i], row)
		}
	}
}

// border is the first of the columns from lo to hi from which on all are shut with the play
// of a row. More growth seldom opens a way: the tight half is asked first.
func (c *charter) border(lo, hi, row, avoid int) int {
	switch {
	case c.no(lo, hi, row, avoid):
		return lo
	case hi-lo == 1:
		return hi
	}
	mid := (lo + hi) / 2
	if k := c.border(mid, hi, row, avoid); k > mid {
		return k
	}
	return c.border(lo, mid, row, avoid)
}

// no tells whether nothing leads to the goal at any growth of the columns from lo to hi
// with up to the play of row; false if that is not known.
func (c *charter) no(lo, hi, row, avoid int) bool {
	return c.out.Asked < chartAsks && c.s.b.trouble() == nil && !c.may(lo, hi, row, avoid)
}

// may tells whether there may be a way at a growth of the columns from lo to hi with up to
// the play of row.
func (c *charter) may(lo, hi, row, avoid int) bool {
	share := c.out.Shares[row]
	loose, tight := c.j.Even(c.out.Growths[lo]), c.j.Even(c.out.Growths[hi])
	played := c.j.WithPlay(loose)
	for i := range loose {
		gain := share * (loose[i] - played[i])
		loose[i] -= gain
		tight[i] += gain
	}
	if no, err := c.j.NoWay(loose, avoid); err != nil || no {
		return err != nil
	}
	c.out.Asked++
	b := c.s.b
	l := law{by: generous, avoid: avoid, needs: make([][2]float64, len(b.lat.Pairs()))}
	for k, p := range b.lat.Pairs() {
		l.needs[k] = [2]float64{tight[c.place[p]], loose[c.place[p]]}
	}
	kept := b.boards
	defer func() { b.boards = kept }()
	board := b.board(l)
	reach := board.Reach(c.s.begin(board))
	return reach == diagram.Empty || b.sp.Meets(reach, c.s.goal(generous))
}

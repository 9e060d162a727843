package export

import (
	"fmt"
	"math"
	"slices"

	"feint/internal/hands"
	"feint/internal/mechanism"
)

// AttitudeInfo is what gravity alone does in some attitudes of the box at the start, the
// hand moving nothing.
type AttitudeInfo struct {
	Down   [][]float64 `json:"down"`   // of the middles of faces, edges and corners, those that point to the ground, as drawn
	Share  float64     `json:"share"`  // of all attitudes, by even shares of the sphere, 0 to 1
	Runs   []string    `json:"runs"`   // what may run, "part travel"
	Surely []string    `json:"surely"` // of them what runs whatever is not known of friction
	Opens  string      `json:"opens"`  // yes, no, undecided: whether that brings the goal about
}

// Attitudes puts into the document what runs in which attitude: named are the directions
// that are listed, even those of which each stands for an equal share of the sphere.
// Attitudes in which the same comes of it stand together, the largest share first.
func (d *Document) Attitudes(m *mechanism.Mechanism, named, even []hands.Attitude) {
	if d.Handling == nil {
		return
	}
	b := &builder{m: m}
	of := map[string]int{}
	out := []AttitudeInfo{}
	at := func(a *hands.Attitude) *AttitudeInfo {
		key := fmt.Sprint(a.Loose, a.Sure, a.Opens)
		i, ok := of[key]
		if !ok {
			i = len(out)
			of[key] = i
			out = append(out, AttitudeInfo{Down: [][]float64{}, Runs: b.travels(a.Loose), Surely: b.travels(a.Sure), Opens: a.Opens.String()})
		}
		return &out[i]
	}
	for i := range named {
		a := at(&named[i])
		v := named[i].Down
		a.Down = append(a.Down, []float64{thousandth(v.X), thousandth(v.Y), thousandth(v.Z)})
	}
	for i := range even {
		at(&even[i]).Share += 1 / float64(len(even))
	}
	for i := range out {
		out[i].Share = thousandth(out[i].Share)
	}
	slices.SortStableFunc(out, func(a, b AttitudeInfo) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	d.Handling.Attitudes = out
}

func (b *builder) travels(ts []int) []string {
	out := []string{}
	for _, t := range ts {
		out = append(out, b.travel(t))
	}
	return out
}

func thousandth(v float64) float64 { return math.Round(v*1000)/1000 + 0 }

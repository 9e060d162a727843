package printable

import (
	"errors"
	"fmt"
	"runtime"
	"sync"

	"feint/internal/mesh"
)

var errNoSolid = errors.New("the mesh has no triangles or no volume")

// Look tells how a part will print: as drawn, and compared with other ways up.
// workers is how many ways are measured at once (0: as many as there are
// processors); no result depends on it.
func Look(p Piece, s Settings, workers int) (*Report, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	if p.Mesh == nil || len(p.Mesh.T) == 0 || p.Mesh.Volume() <= 0 {
		return nil, fmt.Errorf("how it prints cannot be told: %w", errNoSolid)
	}
	beside := neighbours(p.Mesh)
	r := &Report{Volume: p.Mesh.Volume(), Area: p.Mesh.Area()}
	cs := candidates(p.Mesh, p.Up)
	all := make([]WayUp, len(cs)+1)
	run(len(all), workers, func(i int) {
		if i == 0 {
			all[0] = wayUp(&p, "as drawn", p.Up, beside, fine, &s)
			return
		}
		all[i] = wayUp(&p, cs[i-1].name, cs[i-1].up, beside, coarse, &s)
	})
	r.Given, r.Ways = all[0], all[1:]
	r.Best, r.Why = compare(&r.Given, r.Ways)
	for seen := map[string]bool{}; r.Best >= 0 && !seen[r.Ways[r.Best].Name]; r.Best, r.Why = compare(&r.Given, r.Ways) {
		b := &r.Ways[r.Best]
		seen[b.Name] = true
		*b = wayUp(&p, b.Name, b.Up, beside, fine, &s)
	}
	for i := range r.Ways {
		r.Ways[i].Patches = nil // they have been counted
	}
	l := lay(p.Mesh, p.Up, beside)
	r.Levels = l.levels(p.Slides, &s)
	t := mesh.NewTree(p.Mesh)
	ps := places(p.Mesh)
	r.Thin = thins(ps, t, l, &s, workers)
	r.Walls, r.Shares = walls(ps, t, &s, workers)
	r.Webs = webs(&p, t, workers)
	r.Spare = append(shaved(&p, &r.Given.Estimate, beside, &s), spares(&p, t, l, &s, workers)...)
	return r, nil
}

// run calls do for 0 to n-1 on several goroutines.
func run(n, workers int, do func(i int)) {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var wg sync.WaitGroup
	next := make(chan int)
	for range min(workers, n) {
		wg.Go(func() {
			for i := range next {
				do(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
}

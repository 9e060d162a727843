package picture

import "image"

// Picture is what Render gives.
type Picture struct {
	Image *image.NRGBA
	Spots []Spot // one a model, where its number can stand
}

// Spot is a place in a picture, pixels, deep within what is seen of a model.
type Spot struct {
	X, Y float64
	Room float64 // distance to the next other thing, pixels; 0 if the model is not seen
}

// coarse is how many samples a step of the search for spots is wide: a spot need
// not be exact.
const coarse = 2 * fine

// spots finds for every model the seen place farthest from anything else, by
// sweeping distances forwards and backwards over a coarse grid (city-block; A.
// Rosenfeld and J. Pfaltz, 1966).
func (p *painter) spots() []Spot {
	w, h := p.w/coarse, p.h/coarse
	id := make([]int16, w*h)
	for i := range id {
		id[i] = p.buf[(i/w*coarse+coarse/2)*p.w+i%w*coarse+coarse/2].model
	}
	far := make([]int32, w*h)
	relax := func(i, j int, inside bool) {
		if !inside || id[i] != id[j] {
			far[i] = min(far[i], 1)
			return
		}
		far[i] = min(far[i], far[j]+1)
	}
	for i := range far {
		far[i] = int32(w + h)
		relax(i, i-1, i%w > 0)
		relax(i, i-w, i >= w)
	}
	for i := len(far) - 1; i >= 0; i-- {
		relax(i, i+1, i%w < w-1)
		relax(i, i+w, i < len(far)-w)
	}
	out := make([]Spot, len(p.models))
	for i, m := range id {
		if m < 0 {
			continue
		}
		if room := float64(far[i]) * coarse / fine; room > out[m].Room {
			out[m] = Spot{(float64(i%w) + 0.5) * coarse / fine, (float64(i/w) + 0.5) * coarse / fine, room}
		}
	}
	return out
}

package picture

import (
	"image"
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// ink is the colour of edges.
func ink() [3]float64 { return [3]float64{0x22, 0x26, 0x2b} }

// paper is what faded parts fade into.
func paper() [3]float64 { return [3]float64{0xf4, 0xf2, 0xec} }

// An edge is drawn between neighbouring samples whose faces meet at more than
// creaseCos (35 degrees, more than the facets of a round surface make, less than
// a 45-degree chamfer does), or whose depths differ by more than jump samples
// beyond what the faces' slopes explain.
const (
	creaseCos = 0.8191520442889918 // cos 35 deg
	jump      = 6
)

// develop shades the samples, draws the edges and brings fine x fine samples
// into one pixel.
func (p *painter) develop() *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, p.w/fine, p.h/fine))
	for y := range p.h / fine {
		for x := range p.w / fine {
			var sum [3]float64
			hits := 0
			if c, plain, empty := p.plain(x*fine, y*fine); empty {
				continue
			} else if plain {
				img.SetNRGBA(x, y, color.NRGBA{R: byteOf(c[0]), G: byteOf(c[1]), B: byteOf(c[2]), A: 255})
				continue
			}
			for k := range fine * fine {
				i, j := x*fine+k%fine, y*fine+k/fine
				c, ok := p.shade(i, j)
				if !ok {
					continue
				}
				hits++
				for n := range sum {
					sum[n] += c[n]
				}
			}
			if hits == 0 {
				continue
			}
			h := float64(hits)
			img.SetNRGBA(x, y, color.NRGBA{
				R: byteOf(sum[0] / h), G: byteOf(sum[1] / h), B: byteOf(sum[2] / h),
				A: byteOf(255 * h / (fine * fine)),
			})
		}
	}
	return img
}

// plain looks at a pixel and the samples right round it. Where all are ground the
// pixel is empty; where all are of one face and too near in depth for an edge, one
// colour does for all (a cut face has its lines and is never plain).
func (p *painter) plain(x, y int) (c [3]float64, plain, empty bool) {
	first := &p.buf[y*p.w+x]
	lo, hi := first.depth, first.depth
	for j := max(0, y-1); j <= min(p.h-1, y+fine); j++ {
		for i := max(0, x-1); i <= min(p.w-1, x+fine); i++ {
			s := &p.buf[j*p.w+i]
			if s.model != first.model || s.cut || s.normal != first.normal {
				return c, false, false
			}
			lo, hi = min(lo, s.depth), max(hi, s.depth)
		}
	}
	if first.model < 0 {
		return c, false, true
	}
	if float64(hi-lo)*p.cam.Scale > jump {
		return c, false, false
	}
	k := p.models[first.model].Color
	base := [3]float64{float64(k.R), float64(k.G), float64(k.B)}
	return p.faded(int(first.model), p.lit(base, first)), true, false
}

// byteOf rounds to steps of four: no eye sees them, and the file is half as long.
func byteOf(v float64) uint8 { return uint8(min(255, max(0, math.Round(v/4)*4))) }

// shade is the colour of one sample; false is the ground.
func (p *painter) shade(x, y int) ([3]float64, bool) {
	s := &p.buf[y*p.w+x]
	if s.model < 0 {
		// The line round a part lies half outside it.
		if m := p.beside(x, y); m >= 0 {
			return p.faded(m, ink()), true
		}
		return [3]float64{}, false
	}
	k := &p.models[s.model]
	base := [3]float64{float64(k.Color.R), float64(k.Color.G), float64(k.Color.B)}
	if p.edgeAt(x, y) {
		return p.faded(int(s.model), ink()), true
	}
	if s.cut {
		return p.faded(int(s.model), hatched(base, k.Hatch, x, y)), true
	}
	return p.faded(int(s.model), p.lit(base, s)), true
}

func (p *painter) faded(model int, c [3]float64) [3]float64 {
	if p.models[model].Faded {
		return mix(c, paper(), 0.62)
	}
	return c
}

func mix(a, b [3]float64, share float64) [3]float64 {
	for i := range a {
		a[i] += share * (b[i] - a[i])
	}
	return a
}

// lit is a colour in the light of a lamp at the eye's upper left.
func (p *painter) lit(c [3]float64, s *sample) [3]float64 {
	lamp := r3.Unit(r3.Add(r3.Scale(-1, p.cam.In), r3.Add(r3.Scale(0.9, p.cam.Up), r3.Scale(-0.7, p.cam.Right))))
	l := 0.56 + 0.34*max(0, s.towards(lamp)) + 0.16*max(0, -s.towards(p.cam.In))
	for i := range c {
		c[i] = min(255, c[i]*l)
	}
	return c
}

// Hatching is one of the hatchings of cut faces: lines across (dx, dy), every so
// many pixels. Neighbouring parts should differ; their lines then do in direction
// or distance, as is the practice of technical drawing (ISO 128).
func Hatching(kind int) (dx, dy, every float64) {
	kinds := [...][3]float64{
		{1, 1, 7}, {1, -1, 7}, {1, 1, 4.5}, {1, -1, 4.5}, {0, 1, 6}, {1, 0, 6}, {1, 1, 11}, {1, -1, 11},
	}
	k := kinds[((kind%len(kinds))+len(kinds))%len(kinds)]
	return k[0], k[1], k[2]
}

// hatched is the face of a cut: the part's colour made light, with lines across.
func hatched(c [3]float64, hatch, x, y int) [3]float64 {
	dx, dy, every := Hatching(hatch)
	along := (dx*float64(x) + dy*float64(y)) / math.Hypot(dx, dy) / fine
	if r := math.Mod(along, every); r < 1 && r >= 0 || r < 1-every {
		return mix(c, [3]float64{}, 0.35)
	}
	return mix(c, [3]float64{255, 255, 255}, 0.55)
}

// beside gives the model of a sample right beside (x, y), -1 if there is none.
func (p *painter) beside(x, y int) int {
	for _, d := range [...][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		if s := p.at(x+d[0], y+d[1]); s != nil && s.model >= 0 {
			return int(s.model)
		}
	}
	return -1
}

func (p *painter) at(x, y int) *sample {
	if x < 0 || y < 0 || x >= p.w || y >= p.h {
		return nil
	}
	return &p.buf[y*p.w+x]
}

// edgeAt tells whether an edge runs by the sample: against any neighbour within
// two samples, so that lines are about one pixel wide.
func (p *painter) edgeAt(x, y int) bool {
	s := p.at(x, y)
	for _, d := range [...][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		o := p.at(x+d[0], y+d[1])
		if o == nil {
			continue
		}
		if o.model != s.model || o.cut != s.cut {
			if o.model < 0 || o.depth > s.depth { // drawn on the nearer of the two
				return true
			}
			continue
		}
		dot := 0
		for i := range s.normal {
			dot += int(s.normal[i]) * int(o.normal[i])
		}
		if float64(dot) < creaseCos*127*127 || p.jumps(s, o) {
			return true
		}
	}
	return false
}

// jumps tells whether o lies behind s by more than the slope of either face
// explains from one sample to the next.
func (p *painter) jumps(s, o *sample) bool {
	step := 1 / p.cam.Scale
	slope := func(k *sample) float64 {
		c := math.Abs(k.towards(p.cam.In))
		return math.Sqrt(max(0, 1-c*c)) / max(c, 0.02)
	}
	return float64(o.depth-s.depth) > step*(jump+2*max(slope(s), slope(o)))
}

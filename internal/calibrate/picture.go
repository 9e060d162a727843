package calibrate

import (
	"fmt"
	"html"
	"io"
	"math"
	"strings"
)

// dot is one reading as the growth of a surface that it tells by itself.
type dot struct {
	x, y, lo, hi float64 // drawn size; growth a surface with its ends, mm
	kind         Kind
	slip         bool
	name         string
}

// dots turns readings into growths a surface: of a size half of what it is off;
// of a fit, what the gap a side must have lost to feel so, half to each surface.
func dots(readings []Reading, r *Result) []dot {
	slips := map[int]bool{}
	for _, o := range r.Outliers {
		slips[o.Index] = true
	}
	var out []dot
	for i := range readings {
		k := &readings[i]
		d := dot{x: k.Nominal, kind: k.Kind, slip: slips[i], name: k.Name}
		sd := k.Sd
		if sd == 0 {
			sd = CaliperSd
		}
		n := k.surfaces()
		switch k.Kind {
		case Fit:
			var at vector
			for u := range at {
				at[u] = r.Estimates[u].Value
			}
			c := k.class()
			lo, hi := c.limits(&at)
			d.lo, d.hi = (k.Gap-hi)/2, (k.Gap-lo)/2
			d.y = (max(d.lo, d.hi-0.2) + min(d.hi, d.lo+0.2)) / 2
			if math.IsInf(hi, 1) {
				d.y = d.hi
			} else if math.IsInf(lo, -1) {
				d.y = d.lo
			}
		case Hole:
			d.y = (k.Nominal - k.Size) / n
			d.lo, d.hi = d.y-2*sd/n, d.y+2*sd/n
		default:
			d.y = (k.Size - k.Nominal) / n
			d.lo, d.hi = d.y-2*sd/n, d.y+2*sd/n
		}
		out = append(out, d)
	}
	return out
}

// curve is the fitted growth a surface of a kind at a drawn size.
func (r *Result) curve(kind Kind, d float64) float64 {
	at := func(k int) float64 { return r.Estimates[k].Value }
	d = max(d, smallest)
	switch kind {
	case Hole:
		return at(uInPlane) + at(uBore) + at(uBoreSmall)/d + at(uShrink)*d/2
	case Peg:
		return at(uInPlane) + at(uPegSmall)/d - at(uShrink)*d/2
	case Tall:
		return at(uHeight) - at(uShrink)*d
	case Fit:
		return at(uInPlane) + (at(uBore)+at(uBoreSmall)/d+at(uPegSmall)/d)/2
	default:
		return at(uInPlane) - at(uShrink)*d/2
	}
}

// The size of the picture, in its own units.
const (
	wide, high                = 720, 420
	left, right, top, bottom  = 64, 150, 24, 44
	plotWide, plotHigh        = wide - left - right, high - top - bottom
	yTicks, xTicks            = 6, 6
	leastSpanX, leastSpanY    = 1.0, 0.1
	curvePoints               = 60
	markSize                  = 4
	legendStep, legendFirst   = 20, 12
	legendLine                = 30
	textColour, gridColour    = "#333333", "#dddddd"
	slipColour, slipHalo      = "#000000", 8
	captionSize, captionBelow = 12, 34
)

// Picture draws the readings and the fitted curves as SVG: growth a surface
// against drawn size, kinds told apart by form, dashes and colour, slips crossed.
func (r *Result) Picture(w io.Writer, readings []Reading) error {
	ds := dots(readings, r)
	x1 := leastSpanX
	y0, y1 := math.Inf(1), math.Inf(-1)
	for _, d := range ds {
		x1 = max(x1, d.x)
		for _, y := range []float64{d.y, r.curve(d.kind, max(d.x, 1))} {
			y0, y1 = min(y0, y), max(y1, y)
		}
	}
	x1 *= 1.05
	mid, span := (y0+y1)/2, max(leastSpanY, (y1-y0)*1.25)
	y0, y1 = mid-span/2, mid+span/2
	px := func(x float64) float64 { return left + x/x1*plotWide }
	py := func(y float64) float64 { return top + (y1-min(y1, max(y0, y)))/(y1-y0)*plotHigh }
	b := &strings.Builder{}
	fmt.Fprintf(b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="sans-serif" font-size="%d" role="img" class="learnt">`+"\n", wide, high, captionSize)
	fmt.Fprintf(b, "<title>Growth a surface by drawn size, %d readings of %d prints</title>\n<rect class=\"ground\" width=\"%d\" height=\"%d\" fill=\"#ffffff\"/>\n", len(readings), r.Prints, wide, high)
	for _, y := range ticks(y0, y1, yTicks) {
		fmt.Fprintf(b, `<path class="grid" d="M%d %.1fH%d" stroke="%s"/><text x="%d" y="%.1f" text-anchor="end" fill="%s">%+.2f</text>`+"\n", left, py(y), wide-right, gridColour, left-6, py(y)+4, textColour, y)
	}
	for _, x := range ticks(0, x1, xTicks) {
		fmt.Fprintf(b, `<text x="%.1f" y="%d" text-anchor="middle" fill="%s">%g</text>`+"\n", px(x), high-bottom+16, textColour, x)
	}
	fmt.Fprintf(b, `<text x="%d" y="%d" text-anchor="middle" fill="%s">drawn size, mm</text><text x="14" y="%d" transform="rotate(-90 14 %d)" text-anchor="middle" fill="%s">growth a surface, mm</text>`+"\n",
		left+plotWide/2, high-bottom+captionBelow, textColour, top+plotHigh/2, top+plotHigh/2, textColour)
	seen := r.curves(b, ds, x1, px, py)
	for _, d := range ds {
		mark(b, &d, px(d.x), py(d.y), py(d.lo), py(d.hi))
	}
	legend(b, seen)
	b.WriteString("</svg>\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// ticks are some round numbers from lo to hi: 1, 2 or 5 of a power of ten apart.
func ticks(lo, hi float64, about int) []float64 {
	raw := (hi - lo) / float64(about)
	ten := math.Pow(10, math.Floor(math.Log10(raw)))
	step := 10 * ten
	for _, k := range []float64{1, 2, 5} {
		if k*ten >= raw {
			step = k * ten
			break
		}
	}
	var out []float64
	for n := math.Ceil(lo / step); n*step <= hi; n++ {
		out = append(out, math.Round(n*step*1e6)/1e6+0) // no rounding noise in the words, and no minus before nought
	}
	return out
}

// curves draws the fitted curve of every kind that was read.
func (r *Result) curves(b *strings.Builder, ds []dot, x1 float64, px, py func(float64) float64) []Kind {
	var seen []Kind
	for k := Outside; k <= Fit; k++ {
		any := false
		for _, d := range ds {
			any = any || d.kind == k
		}
		if !any {
			continue
		}
		seen = append(seen, k)
		b.WriteString(`<polyline fill="none" stroke-width="1.5" stroke="` + colour(k) + `" stroke-dasharray="` + dashes(k) + `" points="`)
		for i := range curvePoints + 1 {
			x := 1 + (x1-1)*float64(i)/curvePoints
			fmt.Fprintf(b, "%.1f,%.1f ", px(x), py(r.curve(k, x)))
		}
		b.WriteString("\"/>\n")
	}
	return seen
}

// colour tells kinds apart; the palette keeps its differences for the colour
// blind (M. Okabe and K. Ito, "Color universal design", 2008).
func colour(k Kind) string {
	return [...]string{"#0072b2", "#009e73", "#d55e00", "#cc79a7", "#666666"}[k]
}

// dashes tell the curves of kinds apart without their colours.
func dashes(k Kind) string {
	return [...]string{"none", "9 3", "4 3", "9 3 2 3", "2 3"}[k]
}

// mark draws one reading: a square, a disc, a ring, a triangle or a bar.
func mark(b *strings.Builder, d *dot, x, y, lo, hi float64) {
	c := colour(d.kind)
	fmt.Fprintf(b, `<g><title>%s</title><path d="M%.1f %.1fV%.1f" stroke="%s"/>`, html.EscapeString(d.name), x, lo, hi, c)
	form(b, d.kind, x, y)
	if d.slip {
		fmt.Fprintf(b, `<path class="slip" d="M%.1f %.1fl%d %dm0 %dl%d %d" stroke="%s" stroke-width="2"/>`, x-slipHalo, y-slipHalo, 2*slipHalo, 2*slipHalo, -2*slipHalo, -2*slipHalo, 2*slipHalo, slipColour)
	}
	b.WriteString("</g>\n")
}

func form(b *strings.Builder, k Kind, x, y float64) {
	c := colour(k)
	switch k {
	case Outside:
		fmt.Fprintf(b, `<rect x="%.1f" y="%.1f" width="%d" height="%d" fill="%s"/>`, x-markSize, y-markSize, 2*markSize, 2*markSize, c)
	case Peg:
		fmt.Fprintf(b, `<circle cx="%.1f" cy="%.1f" r="%d" fill="%s"/>`, x, y, markSize, c)
	case Hole:
		fmt.Fprintf(b, `<circle class="hollow" cx="%.1f" cy="%.1f" r="%d" fill="#ffffff" stroke="%s" stroke-width="2"/>`, x, y, markSize, c)
	case Tall:
		fmt.Fprintf(b, `<path d="M%.1f %.1fl%d %dh%dz" fill="%s"/>`, x, y-markSize, markSize, 2*markSize, -2*markSize, c)
	default:
		fmt.Fprintf(b, `<path d="M%.1f %.1fh%d" stroke="%s" stroke-width="3"/>`, x-markSize, y, 2*markSize, c)
	}
}

func legend(b *strings.Builder, ks []Kind) {
	for i, k := range ks {
		y := float64(top + legendFirst + i*legendStep)
		fmt.Fprintf(b, `<path d="M%d %.1fh%d" stroke="%s" stroke-width="1.5" stroke-dasharray="%s"/>`, wide-right+8, y, legendLine, colour(k), dashes(k))
		form(b, k, wide-right+8+legendLine/2, y)
		fmt.Fprintf(b, `<text x="%d" y="%.1f" fill="%s">%s</text>`+"\n", wide-right+8+legendLine+6, y+4, textColour, [...]string{"outer sizes", "pegs", "holes", "heights", "fits by feel"}[k])
	}
	fmt.Fprintf(b, `<text x="%d" y="%d" fill="%s">crossed: may be a slip</text>`+"\n", wide-right+8, top+legendFirst+len(ks)*legendStep+8, textColour)
}

package server

import (
	"context"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// visible finds where in the picture a part is under the pointer, the place nearest to the
// middle of all such places.
func (p *person) visible(part string) (x, y float64, ok bool) {
	p.t.Helper()
	var at []float64
	p.js(fmt.Sprintf(`(() => {
		const c = document.querySelector("#view canvas"), r = c.getBoundingClientRect(), hits = [], under = document.getElementById("under");
		for (let i = 0; i < 36; i++) for (let k = 0; k < 30; k++) {
			const x = r.x + r.width * (i + 0.5) / 36, y = r.y + r.height * (k + 0.5) / 30;
			if (document.elementFromPoint(x, y) !== c) continue; // out of sight
			c.dispatchEvent(new PointerEvent("pointermove", {clientX: x, clientY: y, pointerType: "mouse", bubbles: true}));
			if (under.textContent.startsWith(%q)) hits.push([x, y]);
		}
		if (hits.length === 0) return [];
		const m = [0, 1].map(j => hits.reduce((s, h) => s + h[j], 0) / hits.length);
		hits.sort((a, b) => Math.hypot(a[0] - m[0], a[1] - m[1]) - Math.hypot(b[0] - m[0], b[1] - m[1]));
		return hits[0];
	})()`, part+":"), &at)
	if len(at) != 2 {
		return 0, 0, false
	}
	return at[0], at[1], true
}

var standing = regexp.MustCompile(`: [a-z ]+ (-?[0-9.]+) (?:mm|deg)`)

// drawnTo is where the part in hand stands, as the line under the box tells while it is drawn.
func (p *person) drawnTo() (float64, bool) {
	p.t.Helper()
	var words string
	p.js(`document.getElementById("under").innerText`, &words)
	m := standing.FindStringSubmatch(words)
	if m == nil {
		return 0, false
	}
	v, err := strconv.ParseFloat(m[1], 64)
	return v, err == nil
}

// mouse is one event of the mouse, with the left button.
func (p *person) mouse(kind input.MouseType, x, y float64) {
	p.t.Helper()
	p.do("mouse", chromedp.ActionFunc(func(ctx context.Context) error {
		e := input.DispatchMouseEvent(kind, x, y).WithButton(input.Left).WithClickCount(1)
		if kind == input.MouseMoved {
			e = e.WithButtons(1)
		}
		return e.Do(ctx)
	}), chromedp.Sleep(40*time.Millisecond))
}

// draw takes the part where it is seen, feels by small movements of the pointer which way
// it goes, draws it towards a value and lets go.
func (p *person) draw(part string, k int, turns bool, to float64) {
	p.t.Helper()
	x, y, ok := p.visible(part)
	if !ok {
		p.shot("failed")
		p.t.Fatalf("%s is nowhere in the picture", part)
	}
	p.mouse(input.MousePressed, x, y)
	p.ready()
	at := p.value(k)
	const little = 10
	var g [2]float64
	for axis := range 2 {
		for _, sign := range []float64{1, -1} {
			d := [2]float64{}
			d[axis] = sign * little
			p.mouse(input.MouseMoved, x+d[0], y+d[1])
			if v, ok := p.drawnTo(); ok {
				if s := sign * off(at, v, turns) / little; math.Abs(s) > math.Abs(g[axis]) {
					g[axis] = s
				}
			}
		}
	}
	n := g[0]*g[0] + g[1]*g[1]
	if n > 0 {
		f := off(at, to, turns) / n
		for i := 1; i <= 8; i++ {
			p.mouse(input.MouseMoved, x+g[0]*f*float64(i)/8, y+g[1]*f*float64(i)/8)
		}
		x, y = x+g[0]*f, y+g[1]*f
	}
	p.mouse(input.MouseReleased, x, y)
	p.do("settle", chromedp.Sleep(150*time.Millisecond))
	p.ready()
}

// TestFlagshipByDrags: the lighthouse is opened with the pointer alone: every part is
// taken where it is seen and drawn along the way that the proof tells. The column is
// seen when the box is cut, the rooms from outside.
func TestFlagshipByDrags(t *testing.T) {
	p, way := lighthouse(t)
	p.ready()
	cut := true
	for i, m := range way {
		k, turns := p.travelOf(m.Part)
		if inside := m.Part == "column"; inside != cut {
			p.do("cut", chromedp.Click("#cut-on"))
			cut = inside
		}
		near := 0.2 // mm, or degrees: the pins have 0.25 mm, at 8 mm from the axis 1.8 degrees
		if turns {
			near = 1
		}
		to := m.Strokes[len(m.Strokes)-1].To
		for try := 0; ; try++ {
			p.draw(m.Part, k, turns, to)
			v := p.value(k)
			if math.Abs(off(v, to, turns)) < near {
				break
			}
			if try == 5 {
				p.shot("failed")
				t.Fatalf("move %d, %s stands at %g, %g is meant", i+1, m.Part, v, to)
			}
		}
		p.reads("count", fmt.Sprintf("%d move", i+1))
		if i == 4 {
			p.shot("flagship-drawn")
		}
	}
	p.reads("count", fmt.Sprintf("%d moves", len(way)))
	p.reads("left", "the goal is met")
	p.shot("flagship-opened-by-drags")
	p.clean()
}

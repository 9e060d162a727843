package export

import (
	"fmt"
	"html/template"
	"maps"
	"math"
	"runtime"
	"strings"

	"feint/internal/export/picture"
	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/motion"
	"feint/internal/verdict/wording"

	"golang.org/x/sync/errgroup"
)

// Widths of the pictures, pixels. More moves than maxFrames have no picture
// each: the page would grow past what a browser likes.
const (
	plateW    = 620
	frameW    = 380
	maxFrames = 80
)

// plateView is one picture of the whole box.
type plateView struct {
	Drawing template.HTML
	Caption string
	Words   string
}

// legendEntry is one part in the list that goes with the pictures.
type legendEntry struct {
	N      int
	Name   string
	Color  template.CSS
	Hatch  template.HTML
	Role   string // "frame", or its travels
	Whole  string // how the cut shows it
	Unseen string // in which pictures it is not seen
}

// frameView is one picture of the storyboard.
type frameView struct {
	N       int
	Part    string
	Words   []string
	Room    string
	Held    string // how the box is held, where the words do not say so
	Drawing template.HTML
}

// drawn is a picture as an SVG that holds it, with room for what is drawn over it.
func drawn(class, name string, p *picture.Picture, over func(g *svgText)) (template.HTML, error) {
	uri, err := picture.DataURI(p.Image)
	if err != nil {
		return "", err
	}
	w, h := float64(p.Image.Rect.Dx()), float64(p.Image.Rect.Dy())
	var g svgText
	g.open(class, name, w, h)
	fmt.Fprintf(&g.b, `<image href="%s" width="%s" height="%s"/>`, uri, num(w), num(h))
	over(&g)
	return template.HTML(g.close()), nil //nolint:gosec // built from numbers, base64 and escaped words
}

// plates are the box assembled and cut open, both at the start, with the parts'
// numbers, and which parts are seen in each.
func (s *stage) plates() (plates []plateView, seen [2][]bool, err error) {
	c := s.camera([][]float64{s.m.Start}, plateW)
	for i, cut := range []*picture.Plane{nil, &s.cut} {
		p := picture.Render(s.models(s.m.Start, nil), c, cut)
		v := plateView{Caption: "Assembled, at the start."}
		if cut != nil {
			v.Caption = "Cut open, at the start. " + s.cutWords()
		}
		seen[i] = make([]bool, len(p.Spots))
		v.Drawing, err = drawn("plate", v.Caption+" The text beside says the same.", p, func(g *svgText) {
			for k, at := range p.Spots {
				if at.Room >= 4 {
					seen[i][k] = true
					g.numbered(at.X, at.Y, 12, fmt.Sprint(k+1))
				}
			}
		})
		if err != nil {
			return nil, seen, err
		}
		plates = append(plates, v)
	}
	for i := range plates {
		plates[i].Words = s.seenWords(seen[i], i == 1)
	}
	return plates, seen, nil
}

// seenWords says which parts a picture shows.
func (s *stage) seenWords(seen []bool, cut bool) string {
	var shown, not []string
	for k := range s.m.Parts {
		n := fmt.Sprintf("%s (%d)", wording.Part(s.m, k), k+1)
		switch {
		case !seen[k]:
			not = append(not, n)
		case cut && s.whole[k]:
			shown = append(shown, fmt.Sprintf("%s (%d, left whole)", wording.Part(s.m, k), k+1))
		default:
			shown = append(shown, n)
		}
	}
	out := "It shows " + wording.List(shown) + "."
	if len(shown) == 0 {
		out = "Nothing can be shown."
	}
	if len(not) > 0 {
		out += " Not seen, or too little to number: " + wording.List(not) + "."
	}
	return out
}

// cutWords says where the cut runs.
func (s *stage) cutWords() string {
	n, p := s.cut.Normal, s.cut.Point
	switch {
	case n.Z > 0.999 || n.Z < -0.999:
		return fmt.Sprintf("The cut is level, at a height of %s mm.", wording.Number(p.Z, 1))
	case n.Y < -0.999 || n.Y > 0.999:
		return fmt.Sprintf("The cut is upright and runs along x, at y = %s mm.", wording.Number(p.Y, 1))
	case n.X > 0.999 || n.X < -0.999:
		return fmt.Sprintf("The cut is upright and runs along y, at x = %s mm.", wording.Number(p.X, 1))
	default:
		return fmt.Sprintf("The cut runs through %s.", wording.Place(p))
	}
}

// frames is the storyboard of a way: the box after each move as it is held then, what
// was moved in full colour, with an arrow for each stroke.
func (s *stage) frames(w *motion.Way, hand *hands.Way, infos []MoveInfo) ([]frameView, error) {
	shots := s.shots(w, hand)
	out := make([]frameView, len(shots))
	var jobs errgroup.Group
	jobs.SetLimit(max(1, min(4, runtime.GOMAXPROCS(0)))) // each holds a picture's samples, some 20 MB
	for i := range out {
		jobs.Go(func() error {
			v, err := shots[i].frame(&w.Moves[i], infos[i].Part, infos[i].Words)
			v.N, v.Room = i+1, roomWords(&infos[i])
			out[i] = v
			return err
		})
	}
	return out, jobs.Wait()
}

func (k *shot) frame(move *motion.Move, part string, words []string) (frameView, error) {
	s := k.stage
	v := frameView{Part: part, Words: words}
	if !k.told {
		v.Held = k.held
	}
	full := s.carried(move.Part)
	for _, st := range move.Strokes { // what is pushed, falls or springs as well
		maps.Copy(full, s.carried(s.m.Travels[st.Travel].Part))
	}
	models := s.models(k.after, full)
	for i := range models {
		if k.absent[i] {
			models[i].Mesh = nil
		}
	}
	p := picture.Render(models, *k.camera, &s.cut)
	q := append([]float64{}, k.before...)
	name := "After this move, cut open; " + v.Part + " is in full colour. The text beside says the same."
	if k.held != "" {
		name = "After this move, cut open, held so that " + k.held + "; " + v.Part + " is in full colour. The text beside says the same."
	}
	var err error
	v.Drawing, err = drawn("frame-picture", name, p, func(g *svgText) {
		var tails [][2]float64
		for _, st := range move.Strokes {
			line := s.path(s.m.Travels[st.Travel].Part, st, q, k.camera)
			tails = append(tails, line[0])
			g.arrow(line, 11)
		}
		first := max(0, len(words)-len(tails)) // that the box is turned has no arrow
		apart(tails, k.camera)
		for i, t := range tails {
			if len(words) > 1 {
				g.numbered(t[0], t[1], 9, string(rune('a'+(first+i)%26)))
			}
		}
	})
	return v, err
}

// apart moves the places of letters away from each other, so that all can be read.
func apart(at [][2]float64, c *picture.Camera) {
	const room = 38.0 // of a letter with its disc, as large as a phone shows it
	for i := 1; i < len(at); i++ {
		for k := range i {
			dx, dy := at[i][0]-at[k][0], at[i][1]-at[k][1]
			d := math.Hypot(dx, dy)
			if d >= room {
				continue
			}
			if d < 1 {
				dx, dy, d = 1, 0, 1
			}
			at[i] = [2]float64{at[k][0] + dx*room/d, at[k][1] + dy*room/d}
		}
		at[i][0] = min(max(at[i][0], room/2), float64(c.W)-room/2)
		at[i][1] = min(max(at[i][1], room/2), float64(c.H)-room/2)
	}
}

// carried are a part and all that it carries: they move together.
func (s *stage) carried(part int) map[int]bool {
	out := map[int]bool{}
	for i := range s.m.Parts {
		for p := i; p >= 0; p = s.m.Parts[p].Carrier {
			if p == part {
				out[i] = true
			}
		}
	}
	return out
}

// legend lists the parts.
func (s *stage) legend(seen [2][]bool) []legendEntry {
	out := make([]legendEntry, len(s.m.Parts))
	for i := range s.m.Parts {
		p := &s.m.Parts[i]
		e := legendEntry{N: i + 1, Name: wording.Name(p.Name), Role: s.role(i), Whole: "cut"}
		c := colorOf(p.Color)
		e.Color = template.CSS(fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B)) //nolint:gosec // three numbers
		if s.whole[i] {
			e.Whole = "left whole"
		}
		if !s.has(i) {
			e.Whole = "no mesh"
		}
		for k, name := range [2]string{"assembled", "cut open"} {
			if i < len(seen[k]) && !seen[k][i] {
				if e.Unseen != "" {
					e.Unseen += ", "
				}
				e.Unseen += name
			}
		}
		out[i] = e
	}
	return out
}

// role says how a part moves.
func (s *stage) role(i int) string {
	p := &s.m.Parts[i]
	if p.Frame {
		return "frame, held in the hand"
	}
	var w []string
	for _, k := range p.Travels {
		t := &s.m.Travels[k]
		limits := fmt.Sprintf("%s to %s", wording.Value(t, t.Lo), wording.Value(t, t.Hi))
		if t.Full {
			limits = "all round"
		}
		kind := t.Kind.String() + ", "
		if t.Name == t.Kind.String() {
			kind = ""
		}
		w = append(w, fmt.Sprintf("%s (%s%s)", wording.Name(t.Name), kind, limits))
	}
	if len(w) == 0 {
		return "fixed"
	}
	return strings.Join(w, "; ")
}

// sizeWords says how large the box is at the start.
func (s *stage) sizeWords() string {
	b := s.box(s.all(), s.m.Start)
	d := geom.Vec{X: b.Hi.X - b.Lo.X, Y: b.Hi.Y - b.Lo.Y, Z: b.Hi.Z - b.Lo.Z}
	return fmt.Sprintf("%s x %s x %s mm", wording.Number(d.X, 1), wording.Number(d.Y, 1), wording.Number(d.Z, 1))
}

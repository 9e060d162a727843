package solid

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

func square(a float64) []mechanism.ProfilePoint {
	return []mechanism.ProfilePoint{{X: 0, Y: 0}, {X: a, Y: 0}, {X: a, Y: a}, {X: 0, Y: a}}
}

func ringLoop(x, y, r float64) []mechanism.ProfilePoint {
	return []mechanism.ProfilePoint{{X: x - r, Y: y, Bulge: 1}, {X: x + r, Y: y, Bulge: 1}}
}

// Volumes of elementary solids are the textbook formulas named in each case
// (Bronshtein et al., Handbook of Mathematics, sections 3.1 and 3.3).
func TestVolumes(t *testing.T) {
	pi := math.Pi
	block := func(e mechanism.Edge, edges string) mechanism.Block {
		return mechanism.Block{Lo: geom.Vec{X: -5, Y: -4, Z: 1}, Hi: geom.Vec{X: 7, Y: 4, Z: 7}, Edge: e, Edges: edges}
	}
	a, b, c := 12.0, 8.0, 6.0
	round := mechanism.Edge{Round: 1}
	cases := []struct {
		name   string
		p      mechanism.Primitive
		volume float64
	}{
		{"block", block(mechanism.Edge{}, ""), a * b * c},
		// four quarter prisms less: (1 - pi/4) r^2 each
		{"block, vertical rounds", block(round, "vertical"), a*b*c - 4*(1-pi/4)*c},
		// Steiner: the parallel body at distance r of a block (a-2r)(b-2r)(c-2r)
		{"block, all rounds", block(round, "all"), 10*6*4 + 2*(10*6+6*4+4*10) + pi*(10+6+4) + 4*pi/3},
		// half of that block and its lower edges sharp: vertical and top rounds
		{"block, vertical and top", block(round, "vertical, top"), a*b*5 - 4*(1-pi/4)*5 + (10*6 + 2*(10+6)*pi/4 + 2*pi/3)},
		// sections (a-2i)(b-2i), i = r - sqrt(r^2 - z^2): integrals of i and i^2 are 1 - pi/4 and 5/3 - pi/2
		{"block, top rounds", block(round, "top"), a*b*5 + a*b - 2*(a+b)*(1-pi/4) + 4*(5.0/3-pi/2)},
		// frustum h/3 (A + B + sqrt(A B)) holds for similar ends only: prismatoid h/6 (A + 4 M + B)
		{"block, bottom chamfer", block(mechanism.Edge{Chamfer: 1}, "bottom"), a*b*5 + (a*b+4*(a-1)*(b-1)+(a-2)*(b-2))/6},
		{"block, vertical chamfer", block(mechanism.Edge{Chamfer: 1}, "vertical"), a*b*c - 2*c},
		// edges' prisms c^2/2 over the full lengths, less what two of three share at
		// a corner, 1/3 each of three, plus what all three share, 1/4
		{"block, all chamfers", block(mechanism.Edge{Chamfer: 1}, "all"), a*b*c - 2*(a+b+c) + 8*(3*1.0/3-1.0/4)},
		{"cylinder", mechanism.Cylinder{R: 5, H: 8}, pi * 25 * 8},
		{"thin cylinder", mechanism.Cylinder{R: 0.4, H: 8}, pi * 0.16 * 8},
		// frustum pi h/3 (R^2 + R r + r^2)
		{"cylinder, chamfered", mechanism.Cylinder{R: 5, H: 8, Top: mechanism.Edge{Chamfer: 1}, Bottom: mechanism.Edge{Chamfer: 2}}, pi*25*5 + pi/3*(25+20+16) + 2*pi/3*(25+15+9)},
		// Pappus: quarter disc, centroid 4 r/(3 pi) from the edge of the square
		{"cylinder, round rim", mechanism.Cylinder{R: 5, H: 8, Top: mechanism.Edge{Round: 2}}, pi*25*6 + pi*9*2 + 2*pi*pi*(3+8/(3*pi))},
		{"cone", mechanism.Cone{R0: 5, H: 9}, pi * 25 * 9 / 3},
		{"frustum", mechanism.Cone{R0: 2, R1: 5, H: 9}, pi * 9 / 3 * (4 + 10 + 25)},
		{"sphere", mechanism.Sphere{R: 6}, 4 * pi / 3 * 216},
		{"small sphere", mechanism.Sphere{R: 0.5}, 4 * pi / 3 * 0.125},
		{"extrusion", mechanism.Extrusion{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{square(10), ringLoop(5, 5, 3)}}, H: 4}, (100 - 9*pi) * 4},
		{"chamfered extrusion", mechanism.Extrusion{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{square(10), ringLoop(5, 5, 3)}}, H: 4, Chamfer: 0.5}, (100-9*pi)*4 - 2*(100*0.5-(100+4*9.5*9.5+81)*0.5/6)},
		// sections A - P d + 5 d^2 - pi/4 d^2: five corners that stick out, one that points in
		{"chamfered angle", mechanism.Extrusion{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 4}, {X: 4, Y: 4}, {X: 4, Y: 10}, {X: 0, Y: 10}}}}, H: 6, Chamfer: 1}, 64*6 - 2*(40.0/2-(5-pi/4)/3)},
		{"arc too flat to see", mechanism.Extrusion{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{{{X: 0, Y: 0, Bulge: 1e-17}, {X: 10, Y: 0}, {X: 0, Y: 10}}}}, H: 6}, 300},
		// a corner replaced by an arc loses r^2 (tan(w/2) - w/2), w the turn
		{"rounded extrusion", mechanism.Extrusion{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{{{X: 0, Y: 0, Round: 1}, {X: 10, Y: 0, Round: 2}, {X: 0, Y: 10}}}}, H: 3}, 3 * (50 - (1 - pi/4) - 4*(math.Tan(3*pi/8)-3*pi/8))},
		// Pappus: 2 pi x area
		{"ring", mechanism.Revolution{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{ringLoop(8, 0, 2)}}, Angle: 2 * pi}, 2 * pi * 8 * 4 * pi},
		{"hollow ring", mechanism.Revolution{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{ringLoop(8, 0, 2), ringLoop(8, 0, 1)}}, Angle: 2 * pi}, 2 * pi * 8 * 3 * pi},
		{"part of a ring", mechanism.Revolution{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{ringLoop(8, 0, 2)}}, Angle: 1}, 8 * 4 * pi},
		{"most of a ring", mechanism.Revolution{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{ringLoop(8, 0, 2)}}, Angle: 5}, 5 * 8 * 4 * pi},
		{"half a bowl", mechanism.Revolution{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{{{X: 0, Y: 0}, {X: 6, Y: 0, Bulge: math.Tan(pi / 8)}, {X: 0, Y: 6}}}}, Angle: pi}, pi / 3 * 216},
		// a ridge of mean section width fills starts w/lead of every turn: 2 pi H starts/lead int r w dr
		{"thread", mechanism.Thread{Root: 5, Crest: 6, RootWidth: 1.6, CrestWidth: 0.4, H: 10, Lead: 3, Starts: 1}, 2 * pi * 10 / 3 * 5.4},
		{"left thread, three starts", mechanism.Thread{Root: 5, Crest: 6, RootWidth: 1.6, CrestWidth: 0.4, H: 10, Lead: -9, Starts: 3}, 2 * pi * 10 / 3 * 5.4},
		{"sharp thread", mechanism.Thread{Root: 5, Crest: 6, RootWidth: 2, CrestWidth: 0, H: 10, Lead: 3, Starts: 1}, 2 * pi * 10 / 3 * (2 * (5.0/2 + 1.0/6))},
		{"nut thread", mechanism.Thread{Root: 6, Crest: 5, RootWidth: 1.6, CrestWidth: 0.4, H: 10, Lead: 3, Starts: 1}, 2 * pi * 10 / 3 * 5.6},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) { full(t, leaf(c.p), c.volume) })
	}
}

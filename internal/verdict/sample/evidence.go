package sample

import (
	"feint/internal/forces"
	"feint/internal/forces/magnet"
	"feint/internal/forces/survey"
	"feint/internal/geom"
	"feint/internal/mating"
	"feint/internal/printable"
	"feint/internal/verdict/finding"
)

// Survey is one of the sample's printing in which nothing is known yet.
func Survey() *printable.Survey {
	n := len(Mechanism().Parts)
	return &printable.Survey{Settings: printable.Default(), Reports: make([]*printable.Report, n), Pieces: make([]printable.Piece, n)}
}

// Fitted is the case with the fit f of the rod in the gallery and nothing else known
// of printing.
func Fitted(f mating.Fit) *finding.Case {
	s := Survey()
	for i := range s.Reports {
		s.Reports[i] = &printable.Report{}
		s.Pieces[i].Up = geom.Identity()
	}
	f.Outer, f.Inner = Gallery, Rod
	f.Axis.Dir, f.Relative = geom.Vec{Z: 1}, geom.Identity()
	s.Fits = []mating.Fit{f}
	k := Case()
	k.Evidence.Printing = s
	return k
}

// Magnets is the lamp's magnet over the tower's: what is meant of them, what they do,
// and with what pull, N.
func Magnets(meant, sense magnet.Sense, pull float64) *survey.Survey {
	p := survey.Place{Config: Mechanism().Start, Meeting: magnet.Meeting{Apart: 1.5, Sense: sense, Pull: forces.About(pull, 0.1)}}
	m := survey.Meeting{A: 0, B: 1, Meant: meant, Nearest: p}
	if meant == magnet.Attract && sense == magnet.Repel || meant == magnet.Repel && sense == magnet.Attract {
		m.Against = &p
	}
	return &survey.Survey{
		Magnets:  []magnet.Placed{{Name: "stone", Part: Tower}, {Name: "eye", Part: Lamp}},
		Meetings: []survey.Meeting{m},
	}
}

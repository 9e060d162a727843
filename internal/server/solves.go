package server

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"strings"

	"feint/internal/logbook"
	"feint/internal/verdict/wording"
)

// SolveGiven is a session of play to be kept as a solve.
type SolveGiven struct {
	Who     string       `json:"who"` // initials, or none
	GaveUp  bool         `json:"gave_up"`
	Minutes *float64     `json:"minutes"`
	Hints   int          `json:"hints"`
	Moves   int          `json:"moves"` // that were played
	Shown   bool         `json:"shown"` // the whole way was shown
	Set     []ParamValue `json:"set"`
}

// mostPlayed bounds what a session can be told to have taken: moves, hints, minutes.
const mostPlayed = 1e6

// note tells where a solve was played.
func (a *SolveGiven) note() string {
	out := "on the bench, " + wording.Count(a.Moves, "move")
	if a.Shown {
		out += ", the whole way was shown"
	}
	return out
}

// logSolve keeps a session of play as a solve of the design as it is set. It belongs to
// no print: nobody held one.
func (s *Server) logSolve(_ http.ResponseWriter, r *http.Request) (any, error) {
	name := r.PathValue("design")
	if err := designName(name); err != nil {
		return nil, err
	}
	var a SolveGiven
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	if a.Moves < 0 || a.Moves > mostPlayed || a.Hints > mostPlayed || a.Minutes != nil && !(math.Abs(*a.Minutes) <= mostPlayed) {
		return nil, bad("Nobody plays that long: give at most %d moves, hints and minutes.", int(mostPlayed))
	}
	k := logbook.Solve{Who: strings.ToUpper(strings.TrimSpace(a.Who)), Minutes: a.Minutes, GaveUp: a.GaveUp, Hints: a.Hints, Note: a.note()}
	out := Logged{Words: []string{}}
	err := s.printOf(r.Context(), name, a.Set, func(b *logbook.Book, p *logbook.Printed, _ []string) error {
		return out.attempt(r.Context(), b, p, &k)
	})
	if err != nil {
		return nil, asked422(err)
	}
	s.noted(r.Context(), name)
	return out, nil
}

func (out *Logged) attempt(ctx context.Context, b *logbook.Book, p *logbook.Printed, k *logbook.Solve) error {
	var rev logbook.Revision
	deed, err := b.Do(ctx, "log "+p.Design.Name+" "+pick(k.GaveUp, "gave up", "solved")+" on the bench", func(t *logbook.Tx) (err error) {
		rev, err = logbook.Attempt(ctx, t, p, k)
		return err
	})
	if err != nil {
		return err
	}
	out.Deed = int64(deed)
	out.Words = append(out.Words, fmt.Sprintf("Kept with revision %d: %s.", rev.Number, solveWords(k)))
	return nil
}

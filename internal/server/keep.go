package server

import (
	"context"
	"net/http"
	"strings"

	"feint/internal/logbook"
	"feint/internal/pipeline"
)

// KeepAsked says which proof's revision is kept in the logbook, and why.
type KeepAsked struct {
	Proof    string `json:"proof"`
	Question string `json:"question"` // what the revision is to answer
}

// RevisionKept is the revision that was kept.
type RevisionKept struct {
	Number int  `json:"number"`
	New    bool `json:"new"`
}

// longestQuestion is how long a question may be, letters.
const longestQuestion = 500

// keep keeps the revision of a finished proof, as feint prove --keep does.
func (s *Server) keep(_ http.ResponseWriter, r *http.Request) (any, error) {
	var a KeepAsked
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	if len(a.Question) > longestQuestion {
		return nil, bad("A question of more than %d letters is an essay; keep it short.", longestQuestion)
	}
	p, err := s.proof(a.Proof)
	if err != nil {
		return nil, err
	}
	d := p.Proof.Document
	var out RevisionKept
	err = s.withBook(r.Context(), func(b *logbook.Book) error {
		k, err := pipeline.KeepProof(r.Context(), b, &d, pipeline.Keeping{
			Path: s.path(d.Design.Name + suffix), What: "keep " + d.Design.Name + " from the bench", Revision: true, Question: strings.TrimSpace(a.Question),
		})
		if err == nil {
			out = RevisionKept{k.Revision.Number, k.NewRev}
		}
		return err
	})
	if err != nil {
		return nil, asked422(err)
	}
	s.hub.tell("", Event{Kind: "logbook"})
	return out, nil
}

// keepKnown keeps the proof of a revision that the maker's own logbook has, so that the
// tree of revisions can tell it. What cannot be kept costs nothing but that.
func (s *Server) keepKnown(ctx context.Context, name string, p *Proof) {
	d := p.Document
	wanted := false
	_ = s.lookBook(ctx, func(b *logbook.Book) error {
		if s.cfg.Own != nil && !s.cfg.Own(ctx, b) {
			return nil
		}
		known, err := logbook.All[logbook.Revision](ctx, b, "sha256 = ? LIMIT 1", d.DesignSHA256)
		if err != nil || len(known) == 0 {
			return err
		}
		have, err := logbook.All[logbook.Proof](ctx, b, "sha256 = ? AND growth_lo_mm = ? AND growth_hi_mm = ? LIMIT 1", d.DesignSHA256, d.Growth.Lo, d.Growth.Hi)
		wanted = err == nil && len(have) == 0
		return err
	})
	if !wanted {
		return
	}
	_ = s.withBook(ctx, func(b *logbook.Book) error {
		_, err := pipeline.KeepProof(ctx, b, &d, pipeline.Keeping{Path: s.path(name), What: "prove " + d.Design.Name})
		return err
	})
}

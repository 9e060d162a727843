package server

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"feint/internal/logbook"
	"feint/internal/verdict"
)

// RecordSet are fields of a record to be set, as feint log edit takes them: field=value;
// field= empties it.
type RecordSet struct {
	Set []string `json:"set"`
}

// Done tells what was done to the logbook.
type Done struct {
	ID   int64 `json:"id"`
	Deed int64 `json:"deed"` // 0 if nothing was changed
}

// Record is one record of the logbook with what it was before.
type Record struct {
	Kind   string     `json:"kind"`
	ID     int64      `json:"id"`
	Fields []FieldRow `json:"fields"`
	Past   []PastRow  `json:"past"` // the newest first
}

// FieldRow is one field of a record in words.
type FieldRow struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

// PastRow is what a record was before a deed.
type PastRow struct {
	Deed   int64      `json:"deed"` // 0: another program than feint
	At     string     `json:"at"`
	What   string     `json:"what"`
	Act    string     `json:"act"`    // added, changed, removed
	Before []FieldRow `json:"before"` // the fields that were otherwise; all of them where it was removed
}

// Deeds are what was done to the logbook.
type Deeds struct {
	Deeds []DeedRow `json:"deeds"` // the newest first
}

// DeedRow is one deed.
type DeedRow struct {
	ID     int64  `json:"id"`
	At     string `json:"at"`
	What   string `json:"what"`
	Rows   int    `json:"rows"`
	Undone int64  `json:"undone"` // the deed that took it back, 0 for none
	Undoes int64  `json:"undoes"` // the deed that it took back
}

// BoundGiven says what a fault's standing check is to hold: "bind by 0.03".
type BoundGiven struct {
	Bound string `json:"bound"`
}

// Stood is the standing check that was made.
type Stood struct {
	Check int64    `json:"check"`
	Deed  int64    `json:"deed"`
	Words []string `json:"words"`
}

// shownDeeds is how many deeds the page lists.
const shownDeeds = 60

// addable and editable are the kinds of record that the page adds and changes. Designs,
// proofs and yields are feint's own notes.
func addable() []string { return []string{"printer", "nozzle", "spool", "profile"} }

func editable() []string {
	return append(addable(), "revision", "trial", "part", "reading", "photo", "fault", "check", "solve")
}

func kindOf(r *http.Request, among []string) (string, error) {
	k := r.PathValue("kind")
	if !slices.Contains(among, k) {
		return "", bad("%q is no kind of record that is changed here; those are %s.", k, strings.Join(among, ", "))
	}
	return k, nil
}

func kindAndNumber(r *http.Request) (string, logbook.ID, error) {
	k, err := kindOf(r, editable())
	if err != nil {
		return "", 0, err
	}
	n, err := number(r.PathValue("record"))
	return k, logbook.ID(n), err
}

// readSet reads what is to be set; many are a mistake.
func readSet(r *http.Request) ([]string, error) {
	var a RecordSet
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	if len(a.Set) > mostNumbers {
		return nil, bad("A record has not so many fields.")
	}
	return a.Set, nil
}

// deed does one deed in the logbook and tells the tabs.
func (s *Server) deed(ctx context.Context, what string, do func(*logbook.Tx) error) (logbook.ID, error) {
	var deed logbook.ID
	err := s.withBook(ctx, func(b *logbook.Book) (err error) {
		deed, err = b.Do(ctx, what, do)
		return err
	})
	if err != nil {
		return 0, asked422(err)
	}
	s.hub.tell("", Event{Kind: "logbook"})
	return deed, nil
}

func (s *Server) addRecord(_ http.ResponseWriter, r *http.Request) (any, error) {
	kind, err := kindOf(r, addable())
	if err != nil {
		return nil, err
	}
	set, err := readSet(r)
	if err != nil {
		return nil, err
	}
	var id logbook.ID
	deed, err := s.deed(r.Context(), "add "+kind+" "+strings.Join(set, " "), func(t *logbook.Tx) (err error) {
		id, err = logbook.AddKind(r.Context(), t, kind, set)
		return err
	})
	return Done{int64(id), int64(deed)}, err
}

func (s *Server) editRecord(_ http.ResponseWriter, r *http.Request) (any, error) {
	kind, id, err := kindAndNumber(r)
	if err != nil {
		return nil, err
	}
	set, err := readSet(r)
	if err != nil {
		return nil, err
	}
	deed, err := s.deed(r.Context(), fmt.Sprintf("edit %s %d %s", kind, id, strings.Join(set, " ")), func(t *logbook.Tx) error {
		return logbook.EditKind(r.Context(), t, kind, id, set)
	})
	return Done{int64(id), int64(deed)}, err
}

func (s *Server) dropRecord(_ http.ResponseWriter, r *http.Request) (any, error) {
	kind, id, err := kindAndNumber(r)
	if err != nil {
		return nil, err
	}
	deed, err := s.deed(r.Context(), fmt.Sprintf("drop %s %d", kind, id), func(t *logbook.Tx) error { return logbook.DropKind(t, kind, id) })
	return Done{int64(id), int64(deed)}, err
}

// record shows one record with what it was.
func (s *Server) record(_ http.ResponseWriter, r *http.Request) (any, error) {
	kind, id, err := kindAndNumber(r)
	if err != nil {
		return nil, err
	}
	out := Record{Kind: kind, ID: int64(id), Fields: []FieldRow{}, Past: []PastRow{}}
	err = s.lookBook(r.Context(), func(b *logbook.Book) error {
		fields, past, err := logbook.Show(r.Context(), b, kind, id)
		if err != nil {
			return gone(err.Error())
		}
		for _, f := range fields {
			out.Fields = append(out.Fields, FieldRow(f))
		}
		deeds, err := logbook.Deeds(r.Context(), b, 0)
		if err != nil {
			return err
		}
		by := map[logbook.ID]*logbook.Deed{}
		for i := range deeds {
			by[deeds[i].ID] = &deeds[i]
		}
		for _, p := range past {
			row := PastRow{Deed: int64(p.Deed), Act: p.Act, Before: []FieldRow{}}
			if d := by[p.Deed]; d != nil {
				row.At, row.What = day(d.At), d.What
			}
			for _, f := range p.Before {
				row.Before = append(row.Before, FieldRow(f))
			}
			out.Past = append(out.Past, row)
		}
		return nil
	})
	return out, err
}

// history lists what was done to the logbook.
func (s *Server) history(_ http.ResponseWriter, r *http.Request) (any, error) {
	out := Deeds{Deeds: []DeedRow{}}
	err := s.lookBook(r.Context(), func(b *logbook.Book) error {
		ds, err := logbook.Deeds(r.Context(), b, shownDeeds)
		for _, d := range ds {
			out.Deeds = append(out.Deeds, DeedRow{int64(d.ID), day(d.At), d.What, d.Rows, int64(d.Undone), int64(d.Undoes)})
		}
		return err
	})
	return out, err
}

// stand makes a fault a standing check, as feint log stand does.
func (s *Server) stand(_ http.ResponseWriter, r *http.Request) (any, error) {
	n, err := number(r.PathValue("fault"))
	if err != nil {
		return nil, err
	}
	var a BoundGiven
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	bound, err := logbook.ReadBound(a.Bound, verdict.RuleNames())
	if err != nil {
		return nil, bad("%v", err)
	}
	var c logbook.Check
	var seen *logbook.Ruling
	deed, err := s.deed(r.Context(), fmt.Sprintf("stand %d %s", n, a.Bound), func(t *logbook.Tx) (err error) {
		c, seen, err = logbook.Stand(r.Context(), t, logbook.ID(n), bound)
		return err
	})
	if err != nil {
		return nil, err
	}
	out := Stood{int64(c.ID), int64(deed), []string{fmt.Sprintf("Check %d: %s %s.", c.ID, c.Rule, c.Wanted())}}
	if seen != nil && seen.Answer != logbook.Returns {
		out.Words = append(out.Words, fmt.Sprintf("Take care: of the revision on which the fault was seen it says %q, so it would not have foretold the fault. %s", seen.Answer, seen.Why))
	}
	return out, nil
}

package logbook

import (
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"
)

// lettersOfInitials is how much of a solver's name is kept: initials, so that a
// logbook handed on names nobody.
const lettersOfInitials = 4

// fit checks a record before it is written and fills in what may be left out:
// the time, a scale of 1, one copy.
func fit[T Record](v *T, now time.Time) error {
	switch r := any(v).(type) {
	case *Printer:
		return named("printer", r.Name)
	case *Nozzle:
		return named("nozzle", r.Name)
	case *Spool:
		return named("spool", r.Name)
	case *Profile:
		return named("profile", r.Name)
	case *Design:
		return named("design", r.Name)
	case *Revision:
		return fitRevision(r, now)
	case *Proof:
		r.At = orNow(r.At, now)
	case *Yield:
		r.At = orNow(r.At, now)
		if r.Prints != r.Work+r.Bind+r.Leak+r.Unknown {
			return fmt.Errorf("yield: %d prints, but %d are told apart", r.Prints, r.Work+r.Bind+r.Leak+r.Unknown)
		}
	case *Trial:
		return fitTrial(r, now)
	case *TrialPart:
		r.Copies = max(r.Copies, 1)
		return named("part", r.Part)
	case *Reading:
		return fitReading(r, now)
	case *Photo:
		r.At = orNow(r.At, now)
		if len(r.SHA256) != 64 {
			return fmt.Errorf("photo: %q is no content hash", r.SHA256)
		}
	case *Fault:
		r.At = orNow(r.At, now)
		if r.What == "" {
			return errors.New("fault: say what went wrong")
		}
	case *Check:
		r.At = orNow(r.At, now)
		return fitCheck(r)
	case *Solve:
		return fitSolve(r, now)
	}
	return nil
}

func orNow(t, now time.Time) time.Time {
	if t.IsZero() {
		return now
	}
	return t.Truncate(time.Second)
}

func named(what, name string) error {
	switch {
	case strings.TrimSpace(name) == "":
		return fmt.Errorf("%s: it needs a name", what)
	case strings.TrimSpace(name) != name || strings.ContainsAny(name, "\n\r\t,"):
		return fmt.Errorf("%s %q: a name has no comma and no space at its ends", what, name)
	default:
		return nil
	}
}

func fitRevision(r *Revision, now time.Time) error {
	r.At = orNow(r.At, now)
	if r.Number < 1 {
		return fmt.Errorf("revision: %d is no number of a revision", r.Number)
	}
	if r.Parent == r.ID && r.ID != 0 {
		return errors.New("revision: it cannot be its own parent")
	}
	return nil
}

func fitTrial(r *Trial, now time.Time) error {
	r.At = orNow(r.At, now)
	if r.Scale == 0 {
		r.Scale = 1
	}
	r.Copies = max(r.Copies, 1)
	if r.Scale < 0 {
		return fmt.Errorf("trial: a scale of %g makes no print", r.Scale)
	}
	if err := notNegative("trial: minutes", r.Minutes); err != nil {
		return err
	}
	if err := notNegative("trial: grams", r.Grams); err != nil {
		return err
	}
	return oneOf("outcome", r.Outcome, Outcomes(), true)
}

func notNegative(what string, v *float64) error {
	if v != nil && *v < 0 {
		return fmt.Errorf("%s: %g is below zero", what, *v)
	}
	return nil
}

func fitReading(r *Reading, now time.Time) error {
	r.At = orNow(r.At, now)
	if (r.Measured == nil) == (r.Felt == "") {
		return errors.New("reading: give a measured size or a felt fit, and not both")
	}
	if r.Felt != "" && r.Gap == nil {
		return errors.New("reading: a felt fit needs the drawn gap per side that was felt")
	}
	if r.Measured == nil && r.Uncertainty != nil {
		return errors.New("reading: an uncertainty belongs to a measured size")
	}
	if err := notNegative("reading: measured_mm", r.Measured); err != nil {
		return err
	}
	if err := notNegative("reading: uncertainty_mm", r.Uncertainty); err != nil {
		return err
	}
	if err := oneOf("felt", r.Felt, Felts(), true); err != nil {
		return err
	}
	if err := oneOf("axis", r.Axis, []string{"x", "y", "z"}, true); err != nil {
		return err
	}
	return oneOf("kind", r.Kind, Features(), false)
}

func fitCheck(r *Check) error {
	if r.Rule == "" {
		return errors.New("check: it needs a rule or a quantity")
	}
	if IsQuantity(r.Rule) && r.AtLeast == nil && r.AtMost == nil {
		return fmt.Errorf("check of %s: say at least or at most how much", r.Rule)
	}
	return nil
}

func fitSolve(r *Solve, now time.Time) error {
	r.At = orNow(r.At, now)
	if utf8.RuneCountInString(r.Who) > lettersOfInitials {
		return fmt.Errorf("solve: %q is longer than %d letters; a logbook keeps initials or nothing", r.Who, lettersOfInitials)
	}
	if r.Hints < 0 {
		return fmt.Errorf("solve: %d hints", r.Hints)
	}
	return notNegative("solve: minutes", r.Minutes)
}

package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"feint/internal/logbook"
	"feint/internal/verdict/wording"
)

// trialWords says what is known of a trial that printed some parts only, or, with
// none, the whole box.
func trialWords(t *logbook.Trial, setup [4]string, asLast bool, parts []string) []string {
	var out []string
	var with []string
	for i, name := range setup {
		if name != "" {
			with = append(with, []string{"", "nozzle ", "", ""}[i]+wording.Name(name))
		}
	}
	if len(with) > 0 {
		w := "on " + strings.Join(with, ", ")
		if setup[0] == "" {
			w = "with " + strings.Join(with, ", ")
		}
		if asLast {
			w += " (as last time)"
		}
		out = append(out, w)
	}
	if t.Minutes != nil {
		out = append(out, fmt.Sprintf("%g min", *t.Minutes))
	}
	if t.Grams != nil {
		out = append(out, fmt.Sprintf("%g g", *t.Grams))
	}
	if t.Copies != 1 {
		out = append(out, fmt.Sprintf("%d copies", t.Copies))
	}
	if t.Scale != 1 {
		out = append(out, fmt.Sprintf("scale %g", t.Scale))
	}
	if len(parts) > 0 {
		names := make([]string, len(parts))
		for i, p := range parts {
			names[i] = wording.Name(p)
		}
		out = append(out, "only "+strings.Join(names, " + "))
	}
	out = append(out, outcomeWords(t))
	if t.Note != "" {
		out = append(out, "note: "+wording.Name(t.Note))
	}
	return out
}

func outcomeWords(t *logbook.Trial) string {
	switch {
	case t.Outcome == "":
		return "outcome not known yet"
	case t.Place == "":
		return string(t.Outcome)
	default:
		return string(t.Outcome) + " at " + wording.Name(t.Place)
	}
}

func readingWords(r *logbook.Reading) string {
	feature := ""
	if r.Feature != "" {
		feature = " " + wording.Name(r.Feature)
	}
	if r.Felt != "" {
		return fmt.Sprintf("gap%s, drawn %g mm a side: %s", feature, *r.Gap, r.Felt)
	}
	w := fmt.Sprintf("%s%s: %g mm", r.Kind, feature, *r.Measured)
	if r.Uncertainty != nil {
		w += fmt.Sprintf(" +-%g", *r.Uncertainty)
	}
	if r.Nominal != nil {
		w += fmt.Sprintf(", drawn %g", *r.Nominal)
	}
	if r.Axis != "" {
		w += ", along " + r.Axis
	}
	return w
}

func solveWords(s *logbook.Solve) string {
	w := "solved"
	if s.GaveUp {
		w = "given up"
	}
	if s.Who != "" {
		w += " by " + wording.Name(s.Who)
	}
	if s.Minutes != nil {
		w += fmt.Sprintf(" after %g min", *s.Minutes)
	}
	if s.Hints > 0 {
		w += ", with " + wording.Count(s.Hints, "hint")
	}
	return w
}

// recentTrials is how many prints feint log shows by itself: a screen's worth.
const recentTrials = 10

// recent shows the last prints, the newest last.
func recent(ctx context.Context, w io.Writer, b *logbook.Book) error {
	lines, err := logbook.LastTrials(ctx, b, recentTrials)
	if err != nil {
		return err
	}
	if len(lines) == 0 {
		fmt.Fprintln(w, "nothing printed yet; such as: feint log tower.star 95 min, 41 g")
		return nil
	}
	for i := range lines {
		l := &lines[i]
		fmt.Fprintf(w, "%4d  %s  %s revision %d: %s\n", l.ID, l.At.Format("2006-01-02 15:04"), wording.Name(l.Design), l.Number,
			strings.Join(trialWords(&l.Trial, l.Setup, false, l.Parts), "; "))
	}
	return nil
}

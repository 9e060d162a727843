package pipeline

import (
	"fmt"
	"io"
	"text/tabwriter"

	"feint/internal/export"
	"feint/internal/geom"
	"feint/internal/printable"
	"feint/internal/verdict/wording"
)

// Write tells in words how the parts will print.
func (out *PrintingOutcome) Write(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	fmt.Fprintf(t, "part\tsize mm\tgrams\tfilament m\tminutes\tsupport mm3\ton the plate mm2\n")
	var grams, metres, minutes float64
	for i, r := range out.Survey.Reports {
		if r == nil {
			continue
		}
		e := &r.Given.Estimate
		fmt.Fprintf(t, "%s\t%.1f x %.1f x %.1f\t%.1f\t%.2f\t%.0f\t%.0f\t%.0f\n", wording.Part(out.Mechanism, i),
			r.Given.Size.X, r.Given.Size.Y, r.Given.Size.Z, e.Grams, e.Metres, e.Minutes, r.Given.Support, r.Given.Contact)
		grams, metres, minutes = grams+e.Grams, metres+e.Metres, minutes+e.Minutes
	}
	fmt.Fprintf(t, "together\t\t%.1f\t%.2f\t%.0f\t\t\n", grams, metres, minutes)
	if err := t.Flush(); err != nil {
		return err
	}
	for i, r := range out.Survey.Reports {
		if r != nil {
			wayWords(w, wording.Part(out.Mechanism, i), r)
		}
	}
	if len(out.Findings) > 0 {
		fmt.Fprintln(w)
	}
	for i := range out.Findings {
		f := &out.Findings[i]
		fmt.Fprintf(w, "%s (%s): %s\n    %s\n", f.Severity, f.Rule, f.Message, f.Change)
	}
	_, err := fmt.Fprintf(w, "\nEstimates by feint's own model; a slicer's figures and the clock are the truth.\n")
	return err
}

// wayWords tells which way up is best, and why.
func wayWords(w io.Writer, name string, r *printable.Report) {
	if r.Best < 0 {
		fmt.Fprintf(w, "\n%s: as drawn is best\n", name)
	} else {
		b := &r.Ways[r.Best]
		fmt.Fprintf(w, "\n%s: better with %s: %.0f min, %.1f g\n    in the design: %s\n", name, b.Name, b.Estimate.Minutes, b.Estimate.Grams, export.DownWords(downOf(b)))
	}
	for _, y := range r.Why {
		fmt.Fprintf(w, "    %s\n", y)
	}
}

// downOf is the direction of the part as drawn that points to the plate.
func downOf(b *printable.WayUp) geom.Vec {
	inv := b.Up.Inverse()
	return inv.Turn(geom.Vec{Z: -1})
}

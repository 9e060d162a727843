package pipeline

import (
	"fmt"
	"io"
	"slices"
	"text/tabwriter"

	"feint/internal/export"
	"feint/internal/geom"
	"feint/internal/printable"
	"feint/internal/verdict"
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
			spareWords(w, r.Spare, out.Survey.Settings.Keep)
		}
	}
	fmt.Fprintf(w, "\n%s\n", out.spareSum())
	told := slices.DeleteFunc(slices.Clone(out.Findings), func(f verdict.Finding) bool { return f.Rule == "thick-wall" }) // is told above
	if len(told) > 0 {
		fmt.Fprintln(w)
	}
	times := map[string]int{} // that something is said in the same words
	for i := range told {
		times[told[i].Message]++
	}
	for i := range told {
		f := &told[i]
		n := times[f.Message]
		if n == 0 {
			continue // told
		}
		times[f.Message] = 0
		rule := f.Rule
		if n > 1 {
			rule += fmt.Sprintf(", in %d places", n)
		}
		fmt.Fprintf(w, "%s (%s): %s\n    %s\n", f.Severity, rule, f.Message, f.Change)
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

// spareWords tells where plastic could be left out of a part, keep mm being left.
func spareWords(w io.Writer, all []printable.Spare, keep float64) {
	for i := range all {
		k := &all[i]
		saves := fmt.Sprintf("%s g and %s minutes less", wording.Number(k.Grams, 1), wording.Number(k.Minutes, 0))
		if len(k.Sides) == 0 {
			fmt.Fprintf(w, "    thick: %s by a pocket %s at (%s, %s, %s) as drawn, with %s left everywhere\n", saves, k.Open,
				wording.Number(k.At.X, 0), wording.Number(k.At.Y, 0), wording.Number(k.At.Z, 0), wording.Length(keep))
			continue
		}
		var sides []string
		for _, d := range k.Sides {
			sides = append(sides, wording.Towards(d.Out)+" by "+wording.Length(d.Depth))
		}
		fmt.Fprintf(w, "    thick: %s with the outside farther in (%s), %s before all that is within\n", saves, wording.List(sides), wording.Length(keep))
	}
}

// spareSum tells what all parts could do without.
func (out *PrintingOutcome) spareSum() string {
	var grams, minutes float64
	for _, r := range out.Survey.Reports {
		if r == nil {
			continue
		}
		for i := range r.Spare {
			grams, minutes = grams+r.Spare[i].Grams, minutes+r.Spare[i].Minutes
		}
	}
	keep := wording.Length(out.Survey.Settings.Keep)
	if grams == 0 {
		return fmt.Sprintf("No part is needlessly thick: leaving %s of wall, no pocket and no smaller outside saves anything worth drawing.", keep)
	}
	return fmt.Sprintf("Thick walls: together %s g and %s minutes could be left out, unless a place must be strong or heavy, or the hand wants the size.",
		wording.Number(grams, 1), wording.Number(minutes, 0))
}

// downOf is the direction of the part as drawn that points to the plate.
func downOf(b *printable.WayUp) geom.Vec {
	inv := b.Up.Inverse()
	return inv.Turn(geom.Vec{Z: -1})
}

package calibrate

import (
	"fmt"
	"io"
	"strings"
)

// Row is one estimate in words.
type Row struct {
	Name, Now, Interval, Before string // with their unit; the interval is that of 95 %
}

// Rows words the estimates.
func (r *Result) Rows() []Row {
	var out []Row
	for _, e := range r.Estimates {
		f := 1.0
		unit := e.Unit
		if unit == "" {
			f, unit = 100, "%"
		}
		out = append(out, Row{
			e.Name, fmt.Sprintf("%+.3f %s", f*e.Value, unit), fmt.Sprintf("%+.3f to %+.3f", f*e.Lo, f*e.Hi), fmt.Sprintf("%+.3f +- %.3f", f*e.Prior, f*e.PriorSd),
		})
	}
	return out
}

// keptWords are for readings that taught nothing.
const keptWords = "The readings foretell each other worse than what was held before, so that is kept. Measure again, or look for two printers' readings in one."

// Doubts are what a person should look at: that nothing was learnt, and every
// reading that looks like a slip.
func (r *Result) Doubts() []string {
	var out []string
	if r.Kept {
		out = append(out, keptWords)
	}
	for _, o := range r.Outliers {
		out = append(out, fmt.Sprintf("%s may be a slip (%.0f %%): %s.", orNumber(o.Name, o.Index), 100*o.Chance, o.Message))
	}
	return out
}

// Words tells the fit to a person.
func (r *Result) Words(w io.Writer) error {
	b := &strings.Builder{}
	doubts := r.Doubts()
	if r.Kept {
		b.WriteString(doubts[0] + "\n\n")
		doubts = doubts[1:]
	}
	fmt.Fprintf(b, "%-38s %12s   %-22s %s\n", "", "now", "95 % interval", "before")
	for _, k := range r.Rows() {
		fmt.Fprintf(b, "%-38s %12s   %-22s %s\n", k.Name, k.Now, k.Interval, k.Before)
	}
	for _, d := range doubts {
		fmt.Fprintf(b, "\n%s\n", d)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func orNumber(name string, i int) string {
	if name == "" {
		return fmt.Sprintf("reading %d", i+1)
	}
	return name
}

// Told is what one reading tells by itself, as the picture draws it.
type Told struct {
	Name, Print, Kind string
	Drawn             float64 // size, mm; of a fit the gap a side
	Read              string  // what was measured or felt
	Lo, Hi            float64 // growth a surface, mm; of a felt fit one end may be infinite
	Fitted            float64 // growth a surface of its kind at its size, as learnt, mm
	Slip              bool
}

// Told lists what every reading tells by itself, beside what was learnt from all. The
// ends are two standard uncertainties of the instrument away, or those of the feel.
func (r *Result) Told(readings []Reading) []Told {
	var out []Told
	for i, d := range dots(readings, r) {
		k := &readings[i]
		t := Told{Name: orNumber(k.Name, i), Print: k.Print, Kind: k.Kind.String(), Drawn: k.Nominal, Lo: d.lo, Hi: d.hi, Fitted: r.curve(k.Kind, k.Nominal), Slip: d.slip}
		if k.Kind == Fit {
			t.Drawn, t.Read = k.Gap, k.Felt.String()
		} else {
			sd := k.Sd
			if sd == 0 {
				sd = CaliperSd
			}
			t.Read = fmt.Sprintf("%.2f +- %.2f mm", k.Size, 2*sd)
		}
		out = append(out, t)
	}
	return out
}

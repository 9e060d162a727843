package logbook

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
)

// ReadingsTable writes readings as the table (CSV) from which feint printer fit
// learns how a printer prints: sizes as they were meant at the scale of the print,
// uncertainties as standard ones. Readings that such a table cannot tell are left
// out and counted: those of slots, and sizes without the drawn one.
func ReadingsTable(w io.Writer, rs []Sized) (left int, err error) {
	out := csv.NewWriter(w)
	if err := out.Write([]string{"name", "print", "kind", "nominal", "size", "sd", "gap", "felt"}); err != nil {
		return 0, err
	}
	for i := range rs {
		r := &rs[i]
		kind := map[Feature]string{Bore: "hole", Peg: "peg", Gap: "fit", Wall: "outside", Length: "outside", Height: "tall"}[r.Kind]
		if kind == "" || r.Measured != nil && (r.Nominal == nil || r.Kind == Gap) {
			left++
			continue
		}
		name := orElse(r.Feature, fmt.Sprintf("%s %d", r.Kind, r.ID))
		row := []string{name, fmt.Sprintf("trial %d", r.Trial), kind, times(r.Nominal, r.Scale), times(r.Measured, 1), times(r.Uncertainty, 1/coverage), times(r.Gap, r.Scale), string(r.Felt)}
		if err := out.Write(row); err != nil {
			return left, err
		}
	}
	out.Flush()
	return left, out.Error()
}

// coverage is how many standard uncertainties Reading.Uncertainty is
// (JCGM 100:2008, 6.2.1 and G.6.6: 2 for 95 %).
const coverage = 2.0

func times(v *float64, by float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v*by, 'g', -1, 64)
}

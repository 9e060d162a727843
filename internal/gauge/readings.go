package gauge

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// Felt is how a plug goes into a socket.
type Felt uint8

// How it goes. NotFelt is a place that was measured, or not looked at.
const (
	NotFelt Felt = iota
	Stuck        // does not go in, or not out again by hand
	Tight        // goes in and out with force
	Slides       // goes in and out by itself or with a finger, without shaking about
	Loose        // shakes about
)

func (f Felt) String() string { return [...]string{"", "stuck", "tight", "slides", "loose"}[f] }

// Reading is one place of a gauge as the maker found it.
type Reading struct {
	Gauge       string
	Place       Place
	Felt        Felt    // NotFelt if it was measured
	Measured    float64 // mm; 0 if it was felt
	Uncertainty float64 // of Measured, mm, one standard deviation
	Note        string
}

// Growth is how far each of the two surfaces stands proud of the drawn one by a
// measured reading, mm, with its standard deviation. ok is false for a felt one.
func (r *Reading) Growth() (g, sd float64, ok bool) {
	if r.Felt != NotFelt || r.Measured == 0 {
		return 0, 0, false
	}
	g = (r.Measured - r.Place.Nominal) / 2
	if r.Place.Hollow {
		g = -g
	}
	return g, r.Uncertainty / 2, true
}

// DefaultUncertainty of calipers, mm: a hand calipers' 0.02 mm and the roughness
// of a printed face (common practice, no source).
const DefaultUncertainty = 0.03

func columns() []string {
	return []string{
		"gauge", "label", "what", "gap per side mm", "gap across mm", "drawn mm",
		"felt (stuck tight slides loose)", "measured mm", "uncertainty mm", "note",
	}
}

// WriteReadings writes the table that a maker fills in: one row a place, "felt" or
// "measured" left empty. Rows that stay empty are no readings.
func WriteReadings(w io.Writer, gs []Gauge) error {
	c := csv.NewWriter(w)
	if err := c.Write(columns()); err != nil {
		return err
	}
	for i := range gs {
		for _, p := range gs[i].Places {
			row := []string{gs[i].Name, p.Label, p.What, "", "", "", "", "", "", ""}
			if p.Felt {
				row[3], row[4], row[7] = fmt.Sprintf("%.2f", p.Gap), fmt.Sprintf("%.2f", 2*p.Gap), "-"
			} else {
				row[5], row[6], row[8] = fmt.Sprintf("%.2f", p.Nominal), "-", fmt.Sprintf("%.2f", DefaultUncertainty)
			}
			if err := c.Write(row); err != nil {
				return err
			}
		}
	}
	c.Flush()
	return c.Error()
}

// ReadReadings reads such a table against the gauges it belongs to, as feint wrote it
// or as a spreadsheet saved it: with semicolons or tabs between the columns, commas in
// numbers, labels without their last noughts. An error names every row that cannot be
// used; nothing is guessed.
func ReadReadings(r io.Reader, gs []Gauge) ([]Reading, error) {
	in := bufio.NewReader(r)
	if mark, err := in.Peek(3); err == nil && string(mark) == "\ufeff" {
		_, _ = in.Discard(3) // of a spreadsheet
	}
	c := csv.NewReader(in)
	c.FieldsPerRecord = len(columns())
	c.Comma = separator(in)
	rows, err := c.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("readings: %w; keep the ten columns of the file that feint wrote", err)
	}
	if len(rows) == 0 || rows[0][0] != columns()[0] {
		return nil, errors.New("readings: the first row must hold the names of the columns, as in the file that feint wrote")
	}
	var out []Reading
	var errs []error
	for i, row := range rows[1:] {
		k, ok, err := reading(row, gs)
		switch {
		case err != nil:
			errs = append(errs, fmt.Errorf("readings, row %d: %w", i+2, err))
		case ok:
			out = append(out, k)
		}
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	return out, nil
}

// separator is what stands between the columns of a table.
func separator(in *bufio.Reader) rune {
	head, _ := in.Peek(256) // as much as there is
	line, _, _ := strings.Cut(string(head), "\n")
	best := ','
	for _, c := range ";\t" {
		if strings.Count(line, string(c)) > strings.Count(line, string(best)) {
			best = c
		}
	}
	return best
}

// feltAs reads how a place felt; the first letters will do where they leave no doubt.
func feltAs(t string) (found Felt, err error) {
	for f := Stuck; f <= Loose; f++ {
		if !strings.HasPrefix(f.String(), t) {
			continue
		}
		if found != NotFelt {
			return NotFelt, fmt.Errorf("%q may be %s or %s: write a letter more", t, found, f)
		}
		found = f
	}
	if found == NotFelt {
		return found, fmt.Errorf("%q is not stuck, tight, slides or loose", t)
	}
	return found, nil
}

// sameLabel compares labels; a spreadsheet takes those that are numbers for such.
func sameLabel(a, b string) bool {
	x, errX := number(a)
	y, errY := number(b)
	return a == b || errX == nil && errY == nil && x == y
}

// reading takes one row; ok is false for a row that was not filled in.
func reading(row []string, gs []Gauge) (k Reading, ok bool, err error) {
	cell := func(i int) string {
		t := strings.TrimSpace(row[i])
		if t == "-" {
			return ""
		}
		return t
	}
	felt, measured := strings.ToLower(cell(6)), cell(7)
	if felt == "" && measured == "" {
		return k, false, nil
	}
	k = Reading{Gauge: cell(0), Note: cell(9)}
	p, err := placeOf(gs, k.Gauge, cell(1), cell(2), felt != "")
	if err != nil {
		return k, false, err
	}
	k.Place = *p
	if felt != "" {
		if measured != "" {
			return k, false, errors.New("both felt and measured are filled in: give each a row of its own")
		}
		k.Felt, err = feltAs(felt)
		return k, err == nil, err
	}
	if k.Measured, err = number(measured); err != nil || k.Measured <= 0 {
		return k, false, fmt.Errorf("measured %q is not a size in mm", measured)
	}
	if math.Abs(k.Measured-p.Nominal) > 2 {
		return k, false, fmt.Errorf("measured %s mm where %.2f mm are drawn: the wrong place, or a slip", measured, p.Nominal)
	}
	k.Uncertainty = DefaultUncertainty
	if t := cell(8); t != "" {
		if k.Uncertainty, err = number(t); err != nil || k.Uncertainty <= 0 {
			return k, false, fmt.Errorf("uncertainty %q must be a positive number of mm", t)
		}
	}
	return k, true, nil
}

// WriteTable writes readings as the table from which a printer is learnt: name,
// print, kind (outside, peg, hole or fit), nominal, size, sd, gap, felt. Every
// gauge counts as a print of its own.
func WriteTable(w io.Writer, rs []Reading) error {
	c := csv.NewWriter(w)
	if err := c.Write([]string{"name", "print", "kind", "nominal", "size", "sd", "gap", "felt"}); err != nil {
		return err
	}
	text := func(v float64) string {
		if v == 0 {
			return ""
		}
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	for i := range rs {
		r := &rs[i]
		row := []string{r.Gauge + " " + r.Place.Label, r.Gauge, "fit", text(r.Place.Across), "", "", text(r.Place.Gap), r.Felt.String()}
		if r.Felt == NotFelt {
			kind := r.Place.What
			if kind == "length" {
				kind = "outside"
			}
			row = []string{r.Gauge + " " + r.Place.Label, r.Gauge, kind, text(r.Place.Nominal), text(r.Measured), text(r.Uncertainty), "", ""}
		}
		if err := c.Write(row); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// number reads decimals written with a point or a comma.
func number(t string) (float64, error) {
	v, err := strconv.ParseFloat(strings.Replace(t, ",", ".", 1), 64)
	if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
		err = strconv.ErrRange
	}
	return v, err
}

func placeOf(gs []Gauge, gauge, label, what string, felt bool) (*Place, error) {
	for i := range gs {
		if gs[i].Name != gauge {
			continue
		}
		for k := range gs[i].Places {
			if p := &gs[i].Places[k]; sameLabel(p.Label, label) && p.What == what && p.Felt == felt {
				return p, nil
			}
		}
		if felt {
			return nil, fmt.Errorf("gauge %q has no place %q of kind %q to be felt", gauge, label, what)
		}
		return nil, fmt.Errorf("gauge %q has no place %q of kind %q to be measured", gauge, label, what)
	}
	return nil, fmt.Errorf("there is no gauge %q", gauge)
}

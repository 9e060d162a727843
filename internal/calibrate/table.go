package calibrate

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
)

// columns are those of a table of readings.
func columns() []string {
	return []string{"name", "print", "kind", "nominal", "size", "sd", "gap", "felt"}
}

// ReadTable reads readings from CSV (RFC 4180): a head with the names of columns
// (name, print, kind, nominal, size, sd, gap, felt; any order, those that are not
// needed may be missing), then a line a reading. kind is outside, peg, hole, tall or
// fit; felt is stuck, tight, slides or loose. A table that a spreadsheet saved with
// semicolons or tabs, and with commas in numbers, will do. Errors name file and line.
func ReadTable(name string, r io.Reader) ([]Reading, error) {
	in := bufio.NewReader(r)
	c := csv.NewReader(in)
	c.Comma = separator(in)
	c.TrimLeadingSpace = c.Comma != '\t'
	c.Comment = '#'
	head, err := c.Read()
	if errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s: the table is empty; its first line names the columns: %s", name, strings.Join(columns(), ","))
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	at := map[string]int{}
	for i, h := range head {
		h = strings.ToLower(strings.TrimSpace(strings.TrimPrefix(h, "\ufeff")))
		if !slices.Contains(columns(), h) {
			return nil, fmt.Errorf("%s:1: no column is called %q; they are %s", name, h, strings.Join(columns(), ", "))
		}
		at[h] = i
	}
	if _, ok := at["kind"]; !ok {
		return nil, fmt.Errorf("%s:1: the column kind is missing", name)
	}
	var out []Reading
	for {
		row, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := c.FieldPos(0)
		k, err := readingOf(func(col string) string {
			if i, ok := at[col]; ok {
				return strings.TrimSpace(row[i])
			}
			return ""
		})
		if err == nil {
			err = k.Check()
		}
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, line, err)
		}
		out = append(out, k)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: there are no readings below the head", name)
	}
	return out, nil
}

// separator is what stands between the columns of a table: what its head has most of.
func separator(in *bufio.Reader) rune {
	head, _ := in.Peek(256) // as much as there is
	best, most := ',', 0
	for line := range strings.Lines(string(head)) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		for _, c := range ",;\t" {
			if n := strings.Count(line, string(c)); n > most {
				best, most = c, n
			}
		}
		break
	}
	return best
}

func readingOf(col func(string) string) (Reading, error) {
	r := Reading{Name: col("name"), Print: col("print")}
	k, err := choose(col("kind"), "kind", Outside, Peg, Hole, Tall, Fit)
	if err != nil {
		return r, err
	}
	r.Kind = k
	needs := []string{"nominal", "size"}
	if k == Fit {
		needs = []string{"gap", "felt"}
		if r.Felt, err = choose(col("felt"), "felt", Stuck, Tight, Slides, Loose); err != nil {
			return r, err
		}
	}
	for _, n := range needs {
		if col(n) == "" {
			return r, fmt.Errorf("a reading of kind %s needs %s", k, n)
		}
	}
	for n, to := range map[string]*float64{"nominal": &r.Nominal, "size": &r.Size, "sd": &r.Sd, "gap": &r.Gap} {
		s := col(n)
		if s == "" {
			continue
		}
		if *to, err = strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64); err != nil {
			return r, fmt.Errorf("%s %q is no number; write it as 9.85", n, s)
		}
	}
	return r, nil
}

// choose picks a word's value.
func choose[T fmt.Stringer](s, what string, of ...T) (T, error) {
	var names []string
	for _, v := range of {
		if strings.EqualFold(s, v.String()) {
			return v, nil
		}
		names = append(names, v.String())
	}
	var none T
	return none, fmt.Errorf("%s %q is none of %s", what, s, strings.Join(names, ", "))
}
